"""A lens that ends in a sharp rim is one that can be asked for: what doubles leave of its edge is no want of an edge."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.chain import evaluate
from lenscalc.errors import InputError
from lenscalc.lens import recut, volume_mm3, why_not

LENSES = {"power_D": st.floats(5.0, 30.0), "n": st.floats(1.42, 1.6), "D": st.floats(4.0, 7.0)}


@given(**LENSES)
def test_a_lens_without_edge_is_found_again_from_its_thickness(power_D, n, D):
    """Equi-convex: t is twice the sag of its surface, R − √(R² − D²/4), by Pythagoras."""
    cut = recut(power_D, n, wanted_edge_thickness_mm=0.0, optic_diameter_mm=D)
    R, t = float(cut.front_radius_mm), float(cut.center_thickness_mm)
    assert t == pytest.approx(2.0 * (D * D / 4.0) / (R + np.sqrt(R * R - D * D / 4.0)), rel=1e-9, abs=0.0)
    again = recut(power_D, n, center_thickness_mm=t, optic_diameter_mm=D)
    assert float(again.edge_thickness_mm) == pytest.approx(0.0, abs=1e-9)
    assert float(again.edge_thickness_mm) >= 0.0
    assert why_not(R, -R, t, D) is None
    assert float(volume_mm3(R, -R, t, optic_diameter_mm=D)) > 0.0


def test_every_way_to_such_a_lens_takes_it():
    """One of those that doubles leave a negative edge of 1e-17 mm."""
    cut = recut(13.53473243984535, 1.4258542080450967, wanted_edge_thickness_mm=0.0, optic_diameter_mm=5.501148444987438)
    row = {
        "front_radius_mm": float(cut.front_radius_mm), "back_radius_mm": float(cut.back_radius_mm), "n_lens": 1.4258542080450967,
        "center_thickness_mm": float(cut.center_thickness_mm), "optic_diameter_mm": 5.501148444987438,
    }  # fmt: skip
    assert float(evaluate({name: [value] for name, value in row.items()}).columns["power_D"][0]) == pytest.approx(13.53473243984535, abs=1e-9)


@pytest.mark.parametrize("less_mm", [1e-9, 0.01])
def test_a_real_want_of_an_edge_is_refused(less_mm):
    cut = recut(20.0, 1.49, wanted_edge_thickness_mm=0.0, optic_diameter_mm=6.0)
    with pytest.raises(InputError, match=r"edge thickness -0\.0.* must be 0 or more"):
        recut(20.0, 1.49, center_thickness_mm=float(cut.center_thickness_mm) - less_mm, optic_diameter_mm=6.0)
    assert "must be 0 or more" in why_not(float(cut.front_radius_mm), float(cut.back_radius_mm), float(cut.center_thickness_mm) - less_mm, 6.0)
