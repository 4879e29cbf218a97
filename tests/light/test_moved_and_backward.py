"""Surfaces out of their place, rays that do not go forward, and what stands at the end of a range."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Fate,
    Surface,
    System,
    mtf,
    paraxial_image,
    point_spread,
    seidel_sums,
    trace_rays,
    zernike_coefficients,
)

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


@pytest.mark.parametrize("tilts", [{"tilt_x_deg": 6.0}, {"tilt_y_deg": 6.0}, {"tilt_x_deg": 6.0, "tilt_y_deg": 5.0}])
def test_what_is_left_is_the_sum_of_squares_of_orthonormal_terms(tilts):
    """RMS² without piston and tilts is Σc² of all other terms and of what no term holds (Parseval)."""
    found = zernike_coefficients(System([Surface(15.0, **tilts), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), Beam(3.0), focus=0.4)
    others = float(np.sum(np.square(found.coefficients_um[3:])))
    assert found.rms_wavefront_um**2 == pytest.approx(others + found.rms_left_out_um**2, rel=1e-9, abs=0.0)
    assert np.max(np.abs(found.coefficients_um[3:5])) > 1e-4


def test_light_on_the_axis_has_one_of_seidels_sums_alone():
    assert [float(s) for s in seidel_sums(LENS, pupil_diameter_mm=3.0)[1:]] == [0.0, 0.0, 0.0, 0.0]


def test_distortion_of_three_surfaces_is_that_of_an_exact_chief_ray():
    """How far the chief ray is from its paraxial height in the image, S5/(2·n′·u′) in third order."""
    system, field = System([Surface(40.0), Surface(-15.0), Surface(-25.0)], [1.0, 1.49, 1.7, 1.336], [8.0, 6.0]), 3.0
    s = seidel_sums(system, pupil_diameter_mm=2.0, field_deg=field)
    image = paraxial_image(system)
    tan = np.tan(np.deg2rad(field))

    def height(t):
        at = float(image.image_distance_mm)
        return trace_rays(system, x_mm=0, y_mm=0, z_mm=0, direction_x=0, direction_y=t, direction_z=1.0, plane_mm=at).y_mm

    u = -float(image.convergence_D) / 1000.0 / 1.336
    assert height(tan) - height(1e-5) / 1e-5 * tan == pytest.approx(float(s.S5) / (2.0 * 1.336 * u), rel=0.02, abs=0.0)


@pytest.mark.parametrize(("N", "fate"), [(-0.1, Fate.MISSED), (0.1, Fate.ARRIVED)])
def test_light_travels_forward_or_it_is_lost(N, fate):
    """Both come along (−1, 0, N) to (4, 0, 2) of the sphere of 5 mm (3-4-5) and into the glass; one backwards, as the turned surface sees it."""

    def turned(x, z):  # about y by 60°, right-handed
        return x / 2.0 + z * 0.75**0.5, z / 2.0 - x * 0.75**0.5

    (x, z), (L, along) = turned(10.0, 2.0 - 6.0 * N), turned(-1.0, N)
    found = trace_rays(
        System([Surface(5.0, tilt_y_deg=60.0)], [1.0, 1.5], []), x_mm=x, y_mm=0.0, z_mm=z, direction_x=L, direction_y=0.0, direction_z=along
    )
    assert (found.fate, found.failed_at) == (fate, int(fate != Fate.ARRIVED))
    if fate == Fate.ARRIVED:
        assert (found.x_mm, found.z_mm) == pytest.approx(turned(4.0, 2.0), abs=1e-12)


def test_the_finest_image_of_a_point():
    assert point_spread(LENS, Beam(1.0), wavelength_nm=546.07, half_width_mm=0.001, points=2001).irradiance.shape == (2001, 2001)


def test_a_colour_without_weight_cuts_nothing_off():
    """The cut-off of a spectrum is the largest of its colours; 400 nm, without any weight, would reach further than 546."""
    n = np.array([1.50, 1.49])
    system = System([Surface(15.0), Surface(-15.0)], [np.full(2, 1.336), n, np.full(2, 1.336)], [0.9])
    found = mtf(system, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=np.array([400.0, 546.07]), weights=[0.0, 1.0])
    alone = mtf(LENS, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=546.07)
    assert float(found.cut_off_per_mm) == pytest.approx(float(alone.cut_off_per_mm), rel=1e-12, abs=0.0)


@pytest.mark.parametrize("weights", [[1.0], [1.0, 1.0, 1.0], [1.0, np.nan], [1.0, -1.0], [0.0, 0.0]])
def test_weights_that_are_not_one_a_colour(weights):
    system = System([Surface(15.0), Surface(-15.0)], [np.full(2, 1.336), np.array([1.50, 1.49]), np.full(2, 1.336)], [0.9])
    with pytest.raises(InputError, match="must be 2 numbers, 0 or more, one a wavelength"):
        mtf(system, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=np.array([400.0, 546.07]), weights=weights)
