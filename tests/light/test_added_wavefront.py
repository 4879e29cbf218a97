"""A wavefront of a cornea, added to the paths of a perfect beam."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Surface,
    System,
    best_focus,
    longitudinal_spherical_aberration_mm,
    spot,
    wavefront_um,
    zernike_coefficients,
    zernike_index,
)


def test_an_added_wavefront_is_added():
    lens, beam = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), {"pupil_diameter_mm": 3.0, "vergence_D": 48.0}
    plain, added = (zernike_coefficients(lens, Beam(**beam, **more), focus="paraxial") for more in ({}, {"added_zernike_um": {4: 0.1, 6: -0.02}}))
    change = added.coefficients_um - plain.coefficients_um
    assert change[zernike_index(4, 0)] == pytest.approx(0.1, abs=1e-12)
    assert change[zernike_index(6, 0)] == pytest.approx(-0.02, abs=1e-12)
    assert np.abs(np.delete(change, [0, zernike_index(4, 0), zernike_index(6, 0)])).max() < 1e-12
    # √5(6ρ⁴ − 6ρ² + 1): the same at rim and middle, which the chief ray takes off; −1.5·√5 between ρ = 1/√2 and them
    W = wavefront_um(lens, Beam(**beam, added_zernike_um={4: 0.1}), pupil_x=[0.5**0.5, 1.0], pupil_y=0.0, focus="paraxial")
    without = wavefront_um(lens, Beam(**beam), pupil_x=[0.5**0.5, 1.0], pupil_y=0.0, focus="paraxial")
    assert (W - without).ravel() == pytest.approx([-0.1 * 1.5 * 5**0.5, 0.0], abs=1e-12)


def test_an_added_wavefront_of_many_lenses():
    lens = System([Surface(np.array([15.0, 14.0])), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    both = [zernike_coefficients(lens, Beam(3.0, 48.0, c), focus="paraxial").zernike_4_0_um for c in ({}, {4: np.array([0.1, -0.2])})]
    assert both[1] - both[0] == pytest.approx([0.1, -0.2], abs=1e-12)


@pytest.mark.parametrize(
    ("added", "told"),
    [
        ({3: 0.1}, "radial orders are 2, 4"),
        ({True: 0.1}, "radial orders"),
        ({4: 1e3}, "added_zernike_um = 1000 µm"),
        ({4: float("nan")}, "added_zernike_um is missing or not a number"),
    ],
)
def test_an_added_wavefront_that_cannot_be_is_refused(added, told):
    with pytest.raises(InputError, match=told):
        Beam(3.0, 48.0, added)


def test_no_spot_of_an_added_wavefront():
    lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    for look in (best_focus, spot, longitudinal_spherical_aberration_mm, zernike_coefficients):
        with pytest.raises(InputError, match="know nothing of an added wavefront"):
            look(lens, Beam(3.0, 48.0, {4: 0.1}))
