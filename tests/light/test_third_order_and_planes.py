"""Seidel's sums of a thin lens and of a chief ray, planes that rays are followed to, and what is refused just beyond an edge."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Fate,
    Surface,
    System,
    aspheric_sag_mm,
    moved,
    mtf,
    paraxial_image,
    seidel_sums,
    trace,
    trace_rays,
    wavefront_um,
    zernike_coefficients,
)

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


# the stop at a thin lens in one medium m: S3 = H²·φ, S4 = H²·φ·m/n, each over m² here (lengths in the medium), S5 = 0; any bending (Welford, ch. 8,
# from memory, to be confirmed against the text)
@pytest.mark.parametrize(("R1", "R2", "n", "m"), [(15.0, -15.0, 1.49, 1.0), (10.0, 40.0, 1.55, 1.0), (12.0, -30.0, 1.46, 1.336)])
def test_a_thin_lens_at_the_stop(R1, R2, n, m):
    s = seidel_sums(System([Surface(R1), Surface(R2)], [m, n, m], [0.0]), pupil_diameter_mm=3.0, field_deg=4.0)
    H = m * 1.5 * np.tan(np.deg2rad(4.0))
    power = (n - m) * (1.0 / R1 - 1.0 / R2)
    astigmatism, curvature, distortion = s[2:]
    assert astigmatism == pytest.approx(H * H * power / (m * m), rel=1e-12, abs=0.0)
    assert curvature == pytest.approx(H * H * power / (n * m), rel=1e-12, abs=0.0)
    assert distortion == pytest.approx(0.0, abs=1e-15)


@pytest.mark.parametrize("back", [Surface(-15.0), Surface(-15.0, conic=-3.0), Surface(-15.0, aspheric={4: 1e-4})])
def test_distortion_is_that_of_an_exact_chief_ray(back):
    """Behind the stop by a thick lens: how far the chief ray is from its paraxial height in the image, S5/(2·n′·u′) in third order."""
    system, field = System([Surface(40.0), back], [1.0, 1.49, 1.336], [8.0]), 3.0
    s = seidel_sums(system, pupil_diameter_mm=2.0, field_deg=field)
    image = paraxial_image(system)
    tan = np.tan(np.deg2rad(field))
    def height(t):
        ray = trace_rays(system, x_mm=0, y_mm=0, z_mm=0, direction_x=0, direction_y=t, direction_z=1.0, plane_mm=float(image.image_distance_mm))
        return ray.y_mm

    paraxial = height(1e-5) / 1e-5 * tan
    u = -float(image.convergence_D) / 1000.0 / 1.336
    assert height(tan) - paraxial == pytest.approx(float(s.S5) / (2.0 * 1.336 * u), rel=0.02, abs=0.0)


@pytest.mark.parametrize("plane", [5.0, -1.0])
def test_a_plane_behind_adds_the_path_in_its_own_medium(plane):
    lens = System([Surface(15.0), Surface(-15.0)], [1.0, 1.49, 1.336], [0.9])
    at_vertex, at_plane = (trace(lens, x_mm=1.0, y_mm=0.5, plane_mm=z) for z in (0.0, plane))
    assert at_plane.z_mm == pytest.approx(plane, abs=1e-14)
    assert at_plane.optical_path_mm - at_vertex.optical_path_mm == pytest.approx(1.336 * plane / at_vertex.direction_z, rel=1e-12, abs=0.0)
    assert at_plane.y_mm - at_vertex.y_mm == pytest.approx(plane * at_vertex.direction_y / at_vertex.direction_z, rel=1e-12, abs=0.0)
    many = trace(lens, x_mm=[1.0, 0.3], y_mm=[0.5, 0.2], plane_mm=plane)
    assert many.optical_path_mm[0] == at_plane.optical_path_mm
    assert np.allclose(many.z_mm, plane, atol=1e-14)
    both = trace(lens, x_mm=[1.0, 0.3], y_mm=[0.5, 0.2], plane_mm=[0.0, plane])
    assert both.y_mm[:, 0].tolist() == [at_vertex.y_mm, at_plane.y_mm]


def test_a_ray_that_touches_nothing_is_not_said_to_arrive():
    """Towards a point 16.7 mm behind the vertex, beside a surface that bends away as −0.02·h⁴: from some height on no place of the ray is on it."""
    assert len(Fate) == 4
    surface = Surface(10.0, aspheric={4: -0.02})
    heights = np.linspace(3.0, 4.5, 200)
    rays = trace(System([surface], [1.0, 1.5]), x_mm=heights, vergence_D=60.0)
    z = np.linspace(-12.0, 8.0, 20_001)
    for h, fate in zip(heights, rays.fate, strict=True):
        along = h * (1.0 - z * 60.0 / 1000.0)
        within = np.abs(along) < 9.9
        off = z[within] - surface.sag_mm(np.abs(along[within]))
        if off.min() > 1e-3:
            assert fate in (Fate.MISSED, Fate.NOT_FOUND)
    assert Fate.NOT_FOUND in rays.fate


@pytest.mark.parametrize("power", [-2, 0, 3, 5, 32, True, 4.0, 4.5])
def test_powers_of_the_height_are_even_from_4_to_30(power):
    with pytest.raises(InputError, match=r"aspheric term of power .*: (the powers are even, 4, 6, 8 and so on|the highest is 30)"):
        Surface(15.0, aspheric={power: 1e-9})
    assert Surface(15.0, aspheric={30: 1e-30, 4: 1e-6}).aspheric[30] == 1e-30


@pytest.mark.parametrize(
    ("coefficient", "told"),
    [
        ("flat", "= 'flat' is not a number"), (1j, "= 1j is not a number"), ([1e-4, "steep"], "= 'steep' is not a number"),
        (10**400, "is a whole number too large for any measurement"), (np.inf, "= inf: must be finite"), (None, "= None: must be finite"),
    ],
)  # fmt: skip
def test_what_no_aspheric_term_is(coefficient, told):
    with pytest.raises(InputError, match=f"^aspheric term of power 4 {told}$"):
        Surface(15.0, aspheric={4: coefficient})


def test_a_point_of_the_pupil_lies_within_it_in_every_direction():
    for x, y in ((0.9, 0.9), (0.0, 1.01), (-1.01, 0.0)):
        with pytest.raises(InputError, match="outside the unit pupil"):
            wavefront_um(LENS, Beam(3.0), pupil_x=[x], pupil_y=y)
    assert np.isfinite(wavefront_um(LENS, Beam(3.0), pupil_x=[0.6], pupil_y=0.8)).all()
    with pytest.raises(InputError, match="20"):
        zernike_coefficients(LENS, Beam(3.0), order=21)


def test_a_spectrum_seen_from_its_mean_paraxial_focus_is_not_shifted():
    """Each colour's own focus is off the mean plane by its own shift; weighted, these are nothing."""
    n = np.array([1.500, 1.494, 1.489])
    found = mtf(System([Surface(15.0), Surface(-15.0)], [1.336, n, 1.336], [0.9]), Beam(3.0), frequency_per_mm=[20.0],
                wavelength_nm=[480.0, 546.0, 640.0], weights=[1.0, 3.0, 2.0], focus="paraxial")  # fmt: skip
    assert found.focus_shift_mm == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("tilt_x", "tilt_y"), [(5.0, 0.0), (0.0, -7.0), (4.0, 6.0)])
def test_a_body_keeps_its_length_and_its_pivot(tilt_x, tilt_y):
    """Turned about a point 0.4 mm behind the first vertex: vertices stay as far from it as they were, on one line through it."""
    body = moved(LENS, tilt_x_deg=tilt_x, tilt_y_deg=tilt_y, pivot_mm=0.4)
    places = [np.array([s.shift_x_mm, s.shift_y_mm, z + s.shift_z_mm - 0.4], dtype=float) for s, z in zip(body.surfaces, (0.0, 0.9), strict=True)]
    assert [np.linalg.norm(p) for p in places] == pytest.approx([0.4, 0.5], rel=1e-12, abs=0.0)
    assert np.allclose(places[0] / 0.4, -places[1] / 0.5, atol=1e-14)


def test_what_a_conic_adds_is_in_one_proportion_from_sum_to_sum():
    """A figure of depth A adds A·y⁴, A·y³ȳ, A·y²ȳ², nothing and A·yȳ³ (y of the rim's ray, ȳ of the chief ray): so a·e = b·c, b² = a·c."""
    sphere, figured = (
        seidel_sums(System([Surface(15.0), Surface(-15.0, conic=k)], [1.336, 1.49, 1.336], [0.9]), pupil_diameter_mm=3.0, field_deg=5.0)
        for k in (0.0, -4.0)
    )
    a, b, c, d, e = (float(x - y) for x, y in zip(figured, sphere, strict=True))
    assert abs(a) > 1e-5
    assert abs(e) > 1e-12
    assert d == 0.0
    assert b * b == pytest.approx(a * c, rel=1e-6, abs=0.0)
    assert a * e == pytest.approx(b * c, rel=1e-6, abs=0.0)


def test_a_surface_is_a_sphere_where_no_conic_is_named():
    """3, 4, 5: a sphere of 5 mm has at 3 mm a sag of 1 mm."""
    assert aspheric_sag_mm(5.0, 3.0) == pytest.approx(1.0, rel=1e-15, abs=0.0)
