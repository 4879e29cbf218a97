"""Surfaces out of their place, rays that do not go forward, and what stands at the end of a range."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Fate,
    Surface,
    System,
    moved,
    mtf,
    paraxial_image,
    point_spread,
    seidel_sums,
    snell_deg,
    through_focus_mtf,
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


def test_a_sixth_power_of_the_height_is_no_third_order():
    figured = System([Surface(15.0, aspheric={6: 1e-4}), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    assert seidel_sums(figured, pupil_diameter_mm=3.0, field_deg=5.0) == seidel_sums(LENS, pupil_diameter_mm=3.0, field_deg=5.0)


def test_light_on_the_axis_has_one_of_seidels_sums_alone():
    assert [float(s) for s in seidel_sums(LENS, pupil_diameter_mm=3.0)[1:]] == [0.0, 0.0, 0.0, 0.0]


@pytest.mark.parametrize(("pupil", "vergence"), [(0.5, 0.0), (8.0, 0.0), (3.0, -10.0), (3.0, 30.0)])
def test_distortion_of_three_surfaces_is_that_of_an_exact_chief_ray(pupil, vergence):
    """How far the chief ray is from its paraxial height in the image, S5/(2·n′·u′) in third order."""
    system, field = System([Surface(40.0), Surface(-15.0), Surface(-25.0)], [1.0, 1.49, 1.7, 1.336], [8.0, 6.0]), 3.0
    s = seidel_sums(system, pupil_diameter_mm=pupil, field_deg=field, vergence_D=vergence)
    image = paraxial_image(system, vergence_D=vergence)
    tan = np.tan(np.deg2rad(field))

    def height(t):
        at = float(image.image_distance_mm)
        return trace_rays(system, x_mm=0, y_mm=0, z_mm=0, direction_x=0, direction_y=t, direction_z=1.0, plane_mm=at).y_mm

    u = -pupil / 2.0 * float(image.convergence_D) / 1000.0 / 1.336
    assert height(tan) - height(1e-5) / 1e-5 * tan == pytest.approx(float(s.S5) / (2.0 * 1.336 * u), rel=0.02, abs=0.0)


def test_a_ray_across_the_axis_never_comes_to_a_surface():
    with pytest.raises(InputError, match=r"^direction_z: must be above 0, light travels \+z$"):
        trace_rays(LENS, x_mm=0.0, y_mm=0.0, z_mm=0.0, direction_x=1.0, direction_y=0.0, direction_z=0.0)


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


@pytest.mark.parametrize("weights", [[1.0], [1.0, 1.0, 1.0], [1.0, np.nan], [1.0, -1.0], [1.0, -1e-9], [0.0, 0.0]])
def test_weights_that_are_not_one_a_colour(weights):
    system = System([Surface(15.0), Surface(-15.0)], [np.full(2, 1.336), np.array([1.50, 1.49]), np.full(2, 1.336)], [0.9])
    with pytest.raises(InputError, match="must be 2 numbers, 0 or more, one a wavelength"):
        mtf(system, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=np.array([400.0, 546.07]), weights=weights)


def test_a_body_turns_about_its_pivot_as_scipys_rotations_do():
    """The back vertex, 0.5 mm behind the pivot, and the front one, 0.4 mm before it; then the shift."""
    body = moved(LENS, shift_x_mm=0.2, shift_y_mm=-0.1, tilt_x_deg=12.0, tilt_y_deg=25.0, pivot_mm=0.4)
    turn = Rotation.from_euler("XY", [12.0, 25.0], degrees=True)
    for surface, z in zip(body.surfaces, (0.0, 0.9), strict=True):
        x, y, along = turn.apply([0.0, 0.0, z - 0.4])
        found = [float(v) for v in (surface.shift_x_mm, surface.shift_y_mm, surface.shift_z_mm)]
        assert found == pytest.approx([x + 0.2, y - 0.1, along + 0.4 - z], abs=1e-14)


def test_the_weights_are_as_many_as_the_last_axis():
    n = np.array([[1.50, 1.49, 1.48], [1.51, 1.50, 1.49]])
    table = System([Surface(15.0), Surface(-15.0)], [1.336, n, 1.336], [0.9])
    with pytest.raises(InputError, match="must be 3 numbers, 0 or more, one a wavelength"):
        mtf(table, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=546.07, weights=[1.0, 1.0])


def test_lines_run_along_x_unless_it_is_said_otherwise():
    lens = System([Surface(15.0, tilt_x_deg=8.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    asked = {"frequency_per_mm": 50.0, "wavelength_nm": 546.07}
    assert mtf(lens, Beam(3.0), **asked) == mtf(lens, Beam(3.0), **asked, azimuth_deg=0.0)
    one, other = (through_focus_mtf(lens, Beam(3.0), focus_shift_mm=[-0.2], **asked, **said) for said in ({}, {"azimuth_deg": 0.0}))
    assert one.tolist() == other.tolist()


def test_of_order_0_there_is_the_mean_alone():
    """The first of orthonormal terms is 1 over the disc, whatever terms stand beside it; all the rest is left out."""
    alone, more = (zernike_coefficients(LENS, Beam(3.0), order=order) for order in (0, 2))
    assert alone.coefficients_um.tolist() == [more.coefficients_um[0]]
    assert alone.rms_left_out_um == pytest.approx(more.rms_wavefront_um, rel=1e-9, abs=0.0)
    zernike_coefficients(LENS, Beam(3.0), order=20)
    for order in (-1, 21):
        with pytest.raises(InputError, match=f"order = {order}: must be a whole number, 0 to 20"):
            zernike_coefficients(LENS, Beam(3.0), order=order)


def test_snells_angle_ends_where_all_is_reflected():
    """From 1.25 into 1 at arcsin 0.8 = 53.13°, along the surface; 60° gives 1.25·0.866 = 1.083, which is nobody's sine."""
    assert snell_deg(1.0, 1.0, 90.0) == 90.0
    assert snell_deg(1.0, 1.25, 90.0) == pytest.approx(np.rad2deg(np.arctan2(4.0, 3.0)), rel=1e-15, abs=0.0)
    end = "light from 1.25 into 1 is totally reflected beyond the critical angle, 53.13°: a smaller angle is refracted"
    for angle, begin in ((60.0, "angle_deg = 60°: "), (-60.0, "angle_deg = -60°: "), ([10.0, 60.0], "row 2: angle_deg = 60°: ")):
        with pytest.raises(InputError) as error:
            snell_deg(1.25, 1.0, angle)
        assert str(error.value) == begin + end
