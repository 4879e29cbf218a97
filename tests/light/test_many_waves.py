"""Strehl's ratio and the point spread where the first quadrature is too coarse: against sums of their own over the wave."""

import numpy as np
import pytest
from scipy.integrate import simpson

from lenscalc.errors import InputError
from lenscalc.light import Beam, Surface, System, mtf, point_spread, strehl_ratio, wavefront_um

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


@pytest.mark.parametrize("shift", [-20.0, -7.0, 9.0])
def test_strehls_ratio_of_many_waves(shift):
    """A wave that is the same all round: |2∫exp(2πi·W/λ)·ρ dρ|², by Simpson's rule on 6001 radii."""
    rho = np.linspace(0.0, 1.0, 6001)
    W = np.squeeze(wavefront_um(LENS, Beam(3.0), pupil_x=rho, pupil_y=0.0, focus=shift))
    assert np.ptp(W) / 0.54607 > 3.0
    expected = abs(simpson(2.0 * rho * np.exp(2j * np.pi * W / 0.54607), x=rho)) ** 2
    assert strehl_ratio(LENS, Beam(3.0), wavelength_nm=546.07, focus=shift) == pytest.approx(expected, abs=1e-7)


def test_far_from_the_middle_hardly_any_light_is_left():
    """Some 11 waves of tilt from the middle of the pupil to its rim: Airy's rings are below 4/(π·v³), v = 2π·11 for the sides."""
    far = point_spread(LENS, Beam(3.0), wavelength_nm=546.07, half_width_mm=0.2, points=3, focus="least_wavefront")
    corner = np.delete(far.irradiance.ravel(), 4)
    assert np.max(corner) < 4.0 / (np.pi * (2.0 * np.pi * 11.0) ** 3) * 2.0
    assert far.irradiance[1, 1] > 0.9


def test_lenses_that_need_different_numbers_of_points_are_each_as_if_alone():
    pupils = np.array([1.5, 3.0, 6.0])
    given = {"frequency_per_mm": [10.0, 40.0], "wavelength_nm": 546.07, "focus": "paraxial"}
    together = mtf(LENS, Beam(pupils), **given).mtf
    for i, pupil in enumerate(pupils):
        assert np.array_equal(together[i], mtf(LENS, Beam(float(pupil)), **given).mtf)


@pytest.mark.parametrize("points", [0, 2002, 3.5])
def test_a_point_spread_has_one_to_2001_points_a_side(points):
    with pytest.raises(InputError, match="1 to 2001"):
        point_spread(LENS, Beam(3.0), wavelength_nm=546.07, half_width_mm=0.01, points=points)
