"""Where iterations begin, that is what third order says: right where third order is, so that little is left to do."""

import sys

import numpy as np
import pytest

from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D
from lenscalc.lens.shape import conic_for_exact_aberration, least_aberration_shape


@pytest.mark.parametrize("radius_mm", [9.0, 15.0, 40.0])
@pytest.mark.parametrize("of", ["zernike", "marginal_ray"])
def test_the_conic_of_a_single_surface_begins_where_it_ends(monkeypatch, radius_mm, of):
    """From 1 into n collimated light has the Cartesian conic −(1/n)² at any pupil (Descartes), so third order has it too; the back parts nothing."""
    module, starts = sys.modules["lenscalc.lens.shape"], []
    whole = module._secant
    monkeypatch.setattr(module, "_secant", lambda missed, start, *more: (starts.append(start), whole(missed, start, *more))[1])
    given = {"back_radius_mm": 50.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "n_medium": 1.0, "n_medium_behind": 1.49}
    with np.errstate(divide="ignore", invalid="ignore"):
        found = conic_for_exact_aberration(radius_mm, **given, pupil_diameter_mm=1.0, surface="front", of=of)
    assert starts[0].item() == pytest.approx(-(1.49**-2), rel=1e-9, abs=0.0)
    assert found == pytest.approx(-(1.49**-2), rel=1e-5, abs=0.0)


@pytest.mark.parametrize("power_D", [5.0, 6.0])
def test_a_bending_without_aberration_is_looked_for_where_a_parabola_has_none(monkeypatch, power_D):
    """In third order the aberration of a thin lens is a parabola in the shape factor: from its least to its zero, within 1 % of the way."""
    module, starts = sys.modules["lenscalc.lens.shape"], []
    whole = module._newton
    monkeypatch.setattr(module, "_newton", lambda X, *more: (starts.append(X.item()), whole(X, *more))[1])
    found = least_aberration_shape(power_D, 1.49, center_thickness_mm=0.9, pupil_diameter_mm=2.0, vergence_D=MODEL_EYE_VERGENCE_D)
    least, zero = starts
    assert abs(zero - found.shape_factor) < 0.01 * (least - zero)
