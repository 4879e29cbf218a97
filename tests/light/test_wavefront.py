"""Focus, wavefront, Zernike coefficients and Seidel's sums: against each other, against theory, and by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Surface,
    System,
    best_focus,
    longitudinal_spherical_aberration_mm,
    moved,
    mtf,
    paraxial_image,
    seidel_sums,
    spot,
    strehl_ratio,
    trace_rays,
    wavefront_um,
    zernike,
    zernike_coefficients,
    zernike_index,
    zernike_orders,
)
from lenscalc.light.pupil import disc

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
ASPHERE = System([Surface(14.0, -1.5, {4: -2.5e-4}), Surface(-17.0, 0.4, {4: 1.2e-4, 6: -4e-6})], [1.336, 1.49, 1.336], [0.9])


@given(st.floats(5.0, 30.0), st.floats(1.0, 1.4), st.floats(1.42, 1.9), st.floats(1.0, 4.0))
def test_a_cartesian_surface_has_no_spherical_aberration(radius, n1, n2, pupil):
    # from infinity: an ellipsoid of eccentricity n1/n2 into the denser medium, k = −(n1/n2)² (Descartes)
    perfect = System([Surface(radius, conic=-((n1 / n2) ** 2))], [n1, n2])
    assert abs(longitudinal_spherical_aberration_mm(perfect, Beam(pupil))) < 1e-10
    assert zernike_coefficients(perfect, Beam(pupil), focus="paraxial").rms_wavefront_um < 1e-8


def test_a_hyperboloid_images_infinity_from_inside():
    # out of the denser medium: k = −(n1/n2)², now below −1
    perfect = System([Surface(-12.0, conic=-((1.5 / 1.0) ** 2))], [1.5, 1.0])
    assert abs(longitudinal_spherical_aberration_mm(perfect, Beam(6.0))) < 1e-12
    assert best_focus(perfect, Beam(6.0)).rms_spot_mm < 1e-12


def test_the_aplanatic_point_of_a_sphere():
    # a beam towards the point R(1 + n2/n1) behind the vertex of a sphere is imaged free of aberration at R(1 + n1/n2) (Young)
    R, n1, n2 = -10.0, 1.5, 1.0
    towards = R * (1 + n2 / n1)  # in front: the beam diverges from it
    system, beam = System([Surface(R)], [n1, n2]), Beam(4.0, vergence_D=1000 * n1 / towards)
    assert abs(float(paraxial_image(system, vergence_D=beam.vergence_D).image_distance_mm) - R * (1 + n1 / n2)) < 1e-12
    assert abs(longitudinal_spherical_aberration_mm(system, beam)) < 1e-12


@pytest.mark.parametrize("system", [LENS, ASPHERE, System([Surface(11.0, 0.7)], [1.0, 1.5])])
@pytest.mark.parametrize("vergence", [0.0, 40.0])
def test_seidels_first_sum_is_the_wavefront_of_a_small_aperture(system, vergence):
    # W040 = S1/8; what is left is of the sixth order: a sixteenth of the relative difference at a quarter of the aperture
    relative = []
    for pupil in (1.6, 0.4):
        beam = Beam(pupil, vergence)
        third = float(seidel_sums(system, pupil_diameter_mm=pupil, vergence_D=vergence).S1) / 8 * 1000
        four = zernike_coefficients(system, beam, focus="paraxial").zernike_4_0_um * 6 * 5**0.5
        relative.append(abs(four / third - 1.0))
    assert relative[1] < 2e-3
    assert 8 < relative[0] / relative[1] < 32


def test_seidels_coma_is_the_wavefront_of_a_slanted_beam():
    # W131 = S2/2·ρ³cos φ: of a collimated beam at 0.2° the cubic part of the rays' path on the tangential fan, by differences of the transverse ray
    field, pupil = 0.2, 0.5
    sums = seidel_sums(LENS, pupil_diameter_mm=pupil, field_deg=field)
    image = paraxial_image(LENS)
    h = pupil / 2
    y = np.array([-h, 0.0, h])
    tan = np.tan(np.deg2rad(field))
    rays = trace_rays(
        LENS, x_mm=0.0, y_mm=y, z_mm=0.0, direction_x=0.0, direction_y=tan, direction_z=1.0, plane_mm=float(image.image_distance_mm)
    )
    # tangential coma: mean of the two rim rays less the chief ray, 3·S2/(2 n'u') with u' = −h·F/n'
    coma = (rays.y_mm[0] + rays.y_mm[2]) / 2 - rays.y_mm[1]
    expected = 3 * float(sums.S2) / (2 * -h * float(image.convergence_D) / 1000)
    assert abs(coma / expected - 1.0) < 0.01


def test_the_least_spot_of_third_order_aberration_lies_at_two_thirds():
    # rays of LSA = a·ρ²: x = (z − aρ²)ρ/f; the mean of x² over the disc is least at z = 2a/3, and there (a/f)²/36: RMS |a|·NA/6
    beam = Beam(0.5)
    lsa, found = longitudinal_spherical_aberration_mm(LENS, beam), best_focus(LENS, beam)
    assert abs(found.shift_mm / lsa - 2 / 3) < 1e-4
    slope = 0.25 * 20.469666 / 1336
    assert abs(found.rms_spot_mm / (abs(lsa) * slope / 6) - 1.0) < 1e-3


@pytest.mark.parametrize("focus", ["paraxial", -0.5, 0.3])
def test_no_plane_has_a_smaller_spot_than_the_best(focus):
    assert spot(LENS, Beam(3.0), focus=focus).rms_spot_mm > best_focus(LENS, Beam(3.0)).rms_spot_mm


def test_the_wavefronts_slope_is_the_rays_aim():
    # ∂W/∂h = n'·(transverse aberration)/R to first order: from path to direction, two ways through the trace
    beam, pupil = Beam(2.0), np.linspace(0.05, 0.95, 10)
    h = 1e-3
    slope = np.diff(wavefront_um(LENS, beam, pupil_x=np.stack([pupil - h, pupil + h]).ravel(), pupil_y=0.0, focus="paraxial").reshape(2, -1), axis=0)
    slope = slope[0] / (2 * h) / 1000  # mm of path per unit of the pupil
    from lenscalc.light import trace

    image = paraxial_image(LENS)
    aim = trace(LENS, x_mm=pupil, plane_mm=float(image.image_distance_mm)).x_mm
    # n'·x·u' with u' = F/n' per mm of height, the pupil's radius 1 mm; towards the axis is ahead
    assert np.allclose(slope, -aim * float(image.convergence_D) / 1000, rtol=5e-3)


def test_zernike_polynomials_are_orthonormal_over_the_disc():
    x, y, weight = disc(20, 40)
    terms = np.stack([zernike(*zernike_orders(j), x, y) for j in range(45)])
    assert np.allclose((terms * weight) @ terms.T, np.eye(45), atol=1e-12)


@given(st.integers(0, 400))
def test_the_single_index_and_back(j):
    n, m = zernike_orders(j)
    assert zernike_index(n, m) == j
    assert abs(m) <= n


@pytest.mark.parametrize(
    ("n", "m", "formula"),
    [  # the first of them as the texts write them
        (1, -1, lambda r, t: 2 * r * np.sin(t)),
        (1, 1, lambda r, t: 2 * r * np.cos(t)),
        (2, -2, lambda r, t: 6**0.5 * r**2 * np.sin(2 * t)),
        (2, 0, lambda r, t: 3**0.5 * (2 * r**2 - 1)),
        (3, 1, lambda r, t: 8**0.5 * (3 * r**3 - 2 * r) * np.cos(t)),
        (4, 0, lambda r, t: 5**0.5 * (6 * r**4 - 6 * r**2 + 1)),
        (6, 0, lambda r, t: 7**0.5 * (20 * r**6 - 30 * r**4 + 12 * r**2 - 1)),
    ],
)
def test_zernike_polynomials_as_they_are_printed(n, m, formula):
    r, t = np.linspace(0, 1, 7), np.linspace(0, 6, 7)
    assert np.allclose(zernike(n, m, r * np.cos(t), r * np.sin(t)), formula(r, t), atol=1e-13)


def test_a_shifted_lens_shows_coma_and_prism():
    beam = Beam(3.0, 48.0)
    centred = zernike_coefficients(LENS, beam).coefficients_um
    off = zernike_coefficients(moved(LENS, shift_y_mm=0.5), beam).coefficients_um
    coma = zernike_index(3, -1)  # along y
    assert abs(centred[coma]) < 1e-10
    assert abs(off[coma]) > 1e-3
    other = zernike_coefficients(moved(LENS, shift_y_mm=-0.5), beam).coefficients_um
    assert abs(off[coma] + other[coma]) < 1e-10
    across = zernike_coefficients(moved(LENS, shift_x_mm=0.5), beam).coefficients_um
    assert abs(across[zernike_index(3, 1)] - off[coma]) < 1e-10


def test_the_least_wavefront_is_least():
    beam = Beam(3.0)
    best = zernike_coefficients(LENS, beam, focus="least_wavefront").rms_wavefront_um
    for focus in ("paraxial", "least_spot", -0.25, -0.15):
        assert zernike_coefficients(LENS, beam, focus=focus).rms_wavefront_um > best
    # of W040·ρ⁴ with the best defocus: W040/(6√5) (Maréchal)
    assert abs(best / (0.07507 / (6 * 5**0.5)) - 1.0) < 0.01


def test_strehl_of_a_small_aberration_is_marechals():
    beam, wavelength = Beam(2.0), 546.07
    sigma = zernike_coefficients(LENS, beam, focus="least_wavefront").rms_wavefront_um
    exact = strehl_ratio(LENS, beam, wavelength_nm=wavelength, focus="least_wavefront")
    assert abs(exact - np.exp(-((2 * np.pi * sigma / (wavelength / 1000)) ** 2))) < 1e-5


def test_arrays_of_lenses_are_lenses_one_by_one():
    R = np.array([12.0, 15.0, 20.0])
    many = System([Surface(R), Surface(-R)], [1.336, 1.49, 1.336], [0.9])
    beam = Beam(3.0, 30.0)
    z, f = zernike_coefficients(many, beam), best_focus(many, beam)
    assert z.coefficients_um.shape == (3, 45)
    for i, r in enumerate(R):
        one = System([Surface(r), Surface(-r)], [1.336, 1.49, 1.336], [0.9])
        assert abs(z.zernike_4_0_um[i] - zernike_coefficients(one, beam).zernike_4_0_um) < 1e-12
        assert abs(f.shift_mm[i] - best_focus(one, beam).shift_mm) < 1e-12
    pupils = longitudinal_spherical_aberration_mm(LENS, Beam(np.array([1.0, 2.0, 3.0])))
    assert np.all(np.diff(pupils) < 0)


NEGATIVE = System([Surface(-15.0), Surface(15.0)], [1.336, 1.49, 1.336], [0.5])


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: Beam(0.0), "pupil_diameter_mm = 0"),
        (lambda: Beam("3 mm"), "not a number"),
        (lambda: Beam(0.003), "is it in metres?"),
        (lambda: longitudinal_spherical_aberration_mm(moved(LENS, shift_y_mm=0.1), Beam(3.0)), "centred system"),
        (lambda: seidel_sums(moved(LENS, shift_y_mm=0.1), pupil_diameter_mm=3.0), "centred system"),
        (lambda: best_focus(LENS, Beam(32.0)), "256 of 512 rays are lost, the first is totally reflected at surface 2"),
        (lambda: wavefront_um(NEGATIVE, Beam(3.0), pupil_x=0.0, pupil_y=0.0), "no real image"),
        (lambda: wavefront_um(LENS, Beam(3.0), pupil_x=1.2, pupil_y=0.0), "outside the unit pupil"),
        (lambda: spot(LENS, Beam(3.0), focus="sharp"), "'least_spot', 'least_wavefront', 'paraxial'"),
        (lambda: spot(LENS, Beam(3.0), focus="best"), "focus = 'best': must be 'least_spot', 'least_wavefront', 'paraxial', or a shift"),
        (lambda: zernike_coefficients(LENS, Beam(3.0), order=30), "order = 30"),
        (lambda: strehl_ratio(LENS, Beam(3.0), wavelength_nm=0.546), "is it in µm?"),
        (lambda: zernike_index(3, 0), "n − m even"),
        (lambda: longitudinal_spherical_aberration_mm(System([Surface()], [1.0, 1.5]), Beam(3.0)), "no focus to measure from"),
        (lambda: best_focus(System([Surface([15.0, 16.0])], [1.0, 1.5]), Beam([1.0, 2.0, 3.0])), "must broadcast"),
    ],
)
def test_what_cannot_be_is_refused_in_words(call, told):
    with pytest.raises(InputError) as error:
        call()
    assert told in str(error.value)


def test_the_rim_and_its_rounding_belong_to_the_pupil():
    """The squares may add to 1 + 1e-12, which the square of 1.0000000000005 is, and to no more."""
    assert 1.0000000000005 * 1.0000000000005 == 1.0 + 1e-12
    on, within = (wavefront_um(LENS, Beam(3.0), pupil_x=x, pupil_y=0.0) for x in (1.0000000000005, 1.0))
    assert on == pytest.approx(within, rel=1e-9, abs=0.0)
    with pytest.raises(InputError, match="outside the unit pupil"):
        wavefront_um(LENS, Beam(3.0), pupil_x=1.00000000000051, pupil_y=0.0)


def test_the_squares_of_what_is_in_and_what_is_left_out_add_up():
    """The polynomials are orthonormal: of the wavefront without piston and tilt, Σc² is in them and the rest is left out."""
    strong = System([Surface(6.0), Surface(-9.0, conic=2.0)], [1.336, 1.49, 1.336], [1.5])
    z = zernike_coefficients(strong, Beam(4.0), order=4)
    assert z.rms_left_out_um > 0.01 * z.rms_wavefront_um
    assert z.rms_wavefront_um**2 == pytest.approx(np.sum(z.coefficients_um[3:] ** 2) + z.rms_left_out_um**2, rel=1e-9, abs=0.0)


def test_each_lens_may_have_points_of_its_own():
    x = np.array([[0.2, 0.5, 0.99], [0.1, 0.7, 0.9]])
    both = wavefront_um(System([Surface(np.array([15.0, 12.0])), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), Beam(3.0), pupil_x=x, pupil_y=0.1)
    assert both.shape == (2, 3)
    for row, R in enumerate((15.0, 12.0)):
        lens = System([Surface(R), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
        alone = wavefront_um(lens, Beam(3.0), pupil_x=x[row], pupil_y=0.1)
        assert both[row] == pytest.approx(alone, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("order", [3, 4, 5])
def test_the_fourth_order_has_a_name_from_the_fourth_on(order):
    """Zernike (4, 0) is number 12 of OSA/ANSI: (4·6 + 0)/2."""
    found = zernike_coefficients(LENS, Beam(3.0), order=order)
    assert found.coefficients_um.size == (order + 1) * (order + 2) // 2
    assert np.isnan(found.zernike_4_0_um) if order < 4 else found.zernike_4_0_um == found.coefficients_um[12]


@pytest.mark.parametrize(("n", "thick", "R", "pupil"), [(1.7, 3.0, 10.0, 8.0), (1.49, 0.9, 15.0, 6.0)])
def test_no_plane_beside_the_least_wavefront_has_less(n, thick, R, pupil):
    """Its square is a parabola about it: three planes 0.01 mm apart show the vertex of that."""
    lens, beam, apart = System([Surface(R), Surface(-R)], [1.0, n, 1.0], [thick]), Beam(pupil), 0.01
    least = float(mtf(lens, beam, frequency_per_mm=0.0, wavelength_nm=546.07, focus="least_wavefront").focus_shift_mm)
    before, at, behind = (zernike_coefficients(lens, beam, focus=least + apart * i).rms_wavefront_um ** 2 for i in (-1, 0, 1))
    assert apart / 2.0 * (before - behind) / (before - 2.0 * at + behind) == pytest.approx(0.0, abs=5e-5)
