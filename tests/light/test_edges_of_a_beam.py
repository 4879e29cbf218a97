"""What a beam may be, what it is called, and the ways that its rays go, at their edges."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from lenscalc import InputError, mtf
from lenscalc.light import Beam, Fate, Surface, System, paraxial_image, point_spread, spot, through_focus_mtf, trace, trace_rays, wavefront_um
from lenscalc.light.beam import Pencil
from lenscalc.light.pupil import disc, gauss
from lenscalc.light.ray import turned_in, turned_out
from lenscalc.light.ray_kernel import SLICE, _parts, beam_through_conics
from lenscalc.light.spot_plane import spot_at
from lenscalc.light.surface import _move
from lenscalc.light.trace import _beam

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


@pytest.mark.parametrize("n", range(23))
def test_a_wavefront_has_the_even_orders_from_2_to_20(n):
    if n in (2, 4, 6, 8, 10, 12, 14, 16, 18, 20):
        assert Beam(3.0, 48.0, {n: 0.02}).added_zernike_um == {n: 0.02}
    else:
        with pytest.raises(InputError, match="2, 4, 6 … 20"):
            Beam(3.0, 48.0, {n: 0.02})


@pytest.mark.parametrize("n", [True, 4.0, "4"])
def test_an_order_is_a_whole_number(n):
    with pytest.raises(InputError, match="2, 4, 6 … 20"):
        Beam(3.0, 48.0, {n: 0.02})


@pytest.mark.parametrize(
    ("vergence", "begin"),
    [(0.0, "collimated"), (48.0, "in the model eye"), (0.5, "in the model eye"), (-2.0, "diverging by 2 D"), ([-2.0, 0.5], "vergence -2 to 0.5 D"),
     ([-2.0, 0.0], "vergence -2 to 0 D"), ([0.0, 0.5], "vergence 0 to 0.5 D"), ([-2.0, -1.0], "diverging by 1 to 2 D")],
)  # fmt: skip
def test_a_beam_in_words(vergence, begin):
    assert Beam(3.0, vergence).in_words().startswith(begin)


def test_rays_of_a_spot_and_points_of_an_image_unless_it_is_said_otherwise():
    assert spot(LENS, Beam(3.0)) == spot(LENS, Beam(3.0), rings=16, spokes=32)
    assert np.shape(point_spread(LENS, Beam(3.0), wavelength_nm=546.07, half_width_mm=0.01).irradiance) == (65, 65)


def test_a_spectrum_stands_on_the_last_axis_of_a_table_of_lenses():
    """Two lenses by three wavelengths: each has what it has alone."""
    n = np.array([[1.495, 1.490, 1.487], [1.505, 1.500, 1.497]])
    common = {"frequency_per_mm": 50.0, "wavelength_nm": [486.13, 546.07, 656.27], "weights": [1.0, 2.0, 1.0]}
    both = mtf(System([Surface(15.0), Surface(-15.0)], [1.336, n, 1.336], [0.9]), Beam(3.0), **common).mtf
    for row in (0, 1):
        alone = mtf(System([Surface(15.0), Surface(-15.0)], [1.336, n[row], 1.336], [0.9]), Beam(3.0), **common).mtf
        assert both[row] == pytest.approx(alone, rel=1e-12, abs=0.0)


def test_a_plane_in_the_last_vertex_is_none():
    focus = float(spot(LENS, Beam(3.0), focus="paraxial").distance_mm)
    with pytest.raises(InputError, match="in front of the last vertex"):
        through_focus_mtf(LENS, Beam(3.0), focus_shift_mm=[-focus], frequency_per_mm=50.0, wavelength_nm=546.07)
    assert through_focus_mtf(LENS, Beam(0.1), focus_shift_mm=[0.5 - focus], frequency_per_mm=0.0, wavelength_nm=546.07).item() == pytest.approx(1.0)


@pytest.mark.parametrize(("about_x", "about_y"), [(3.0, 0.0), (0.0, -4.0), (12.0, 25.0), (-30.0, 50.0)])
def test_a_surface_turns_as_scipys_rotations_do(about_x, about_y):
    """About x, then about the y that turned with it: intrinsic rotations."""
    matrix = _move(Surface(15.0, tilt_x_deg=about_x, tilt_y_deg=about_y))[:9].reshape(3, 3)
    assert matrix == pytest.approx(Rotation.from_euler("XY", [about_x, about_y], degrees=True).as_matrix(), abs=1e-15)


def test_lenses_that_are_tilted_differently_go_as_each_alone():
    tilt = np.array([0.0, 2.0, 5.0])

    def through(x):
        return trace(System([Surface(15.0, tilt_x_deg=x), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), x_mm=[0.5, 1.0], y_mm=[0.2, -0.3])

    together = through(tilt)
    assert together.x_mm.shape == (3, 2)
    for lens, x in enumerate(tilt):
        assert together.y_mm[lens].tolist() == through(x).y_mm.tolist()


def test_a_spot_is_judged_about_its_own_middle():
    """Four rays along the axis at (1 ± 0.3, 2 ± 0.4): middle (1, 2), root mean square 0.5."""
    rays = trace(System([Surface()], [1.0, 1.0]), x_mm=[0.7, 1.3, 1.0, 1.0], y_mm=[2.0, 2.0, 1.6, 2.4])
    rays = rays._replace(**{name: np.atleast_2d(getattr(rays, name)) for name in rays._fields})

    class Still:
        paraxial = type("Image", (), {"image_distance_mm": np.zeros(1)})

    found = spot_at(Still(), rays, np.full(4, 0.25), np.array([5.0]))
    assert (found.x_mm[0], found.y_mm[0]) == pytest.approx((1.0, 2.0))
    assert found.rms_spot_mm[0] == pytest.approx(((0.3**2 + 0.4**2) / 2) ** 0.5, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("lenses", "rays"), [(1, 3), (3, 700), (7, 100)])
def test_the_loop_over_rays_without_its_compiler_does_what_numpy_does(lenses, rays):
    R = np.linspace(12.0, 18.0, lenses)
    row = System([Surface(R, conic=-0.5), Surface(-15.0)], [1.336, 1.49, 1.30], [0.9]).row()
    x, y = np.linspace(-2.0, 2.0, rays)[None], np.linspace(0.5, 1.0, rays)[None]
    v = np.full(lenses, 3e-3)  # 3 D, in 1/mm
    found, lost = beam_through_conics(row, v, x, y)
    assert not lost.any()
    for loop, plain in zip(found, _beam(row, v, np.broadcast_to(x, (lenses, rays)), np.broadcast_to(y, (lenses, rays))), strict=False):
        assert loop == pytest.approx(plain, rel=1e-14, abs=1e-14)


def test_the_loop_over_rays_loses_those_that_miss_and_those_that_are_reflected():
    """A sphere of 10 mm in air before a flat face, n = 1.9: at 11 mm a ray misses; at 9.9 mm it is reflected within (1.9·sin δ > 1)."""
    row = System([Surface(10.0), Surface()], [1.0, 1.9, 1.0], [8.0]).row()
    _, lost = beam_through_conics(row, np.zeros(1), np.array([[0.0, 1.0, 9.9, 11.0]]), np.zeros((1, 4)))
    assert lost.tolist() == [[False, False, True, True]]
    assert trace(System([Surface(10.0), Surface()], [1.0, 1.9, 1.0], [8.0]), x_mm=[9.9, 11.0]).fate.tolist() == [Fate.REFLECTED, Fate.MISSED]


def test_at_the_critical_angle_nothing_goes_through():
    """From 1.25 into 1 the sine is 1/1.25 = 0.8 (3-4-5); Fresnel's formulas reflect all light there. Just inside it all goes on as Snell says."""
    step = System([Surface()], [1.25, 1.0])
    at = trace_rays(step, x_mm=0.0, y_mm=0.0, z_mm=0.0, direction_x=0.8, direction_y=0.0, direction_z=0.6, plane_mm=1.0)
    assert (at.fate, at.failed_at) == (Fate.REFLECTED, 1)
    inside = trace_rays(step, x_mm=0.0, y_mm=0.0, z_mm=0.0, direction_x=0.6, direction_y=0.0, direction_z=0.8, plane_mm=1.0)
    assert (inside.fate, inside.direction_x) == (Fate.ARRIVED, pytest.approx(0.75, rel=1e-15, abs=0.0))
    _, lost = beam_through_conics(step.row(), np.array([1.0 / 3.0]), np.array([[4.0, 3.0]]), np.zeros((1, 2)))  # towards a point 3 mm behind
    assert lost.tolist() == [[True, False]]


def test_the_equator_of_a_sphere_is_touched_by_no_ray_that_goes_on():
    """At 16 mm a ray along the axis touches a sphere of 16 mm: whichever way it is followed, it is lost."""
    ball = System([Surface(16.0)], [1.336, 1.49])
    assert trace(ball, x_mm=[8.0, 16.0]).fate.tolist() == [Fate.ARRIVED, Fate.MISSED]
    _, lost = beam_through_conics(ball.row(), np.zeros(1), np.array([[8.0, 16.0]]), np.zeros((1, 2)))
    assert lost.tolist() == [[False, True]]
    # towards a point 28 mm behind, a ray at 21 mm enters the equator of a sphere of 12 mm from beside (3-4-5): both ways find one answer
    small = System([Surface(12.0)], [1.0, 1.5])
    _, lost = beam_through_conics(small.row(), np.array([1.0 / 28.0]), np.array([[1.0, 21.0]]), np.zeros((1, 2)))
    assert lost[0].tolist() == (trace(small, x_mm=[1.0, 21.0], vergence_D=1000.0 / 28.0).fate != Fate.ARRIVED).tolist()
    # towards a point 12 mm behind, one at 12 mm meets a sphere of 5 mm where (z − 5)² + (12 − z)² = 25: at 8 and 9 mm, beyond its equator
    ball = System([Surface(5.0)], [1.0, 1.5])
    _, lost = beam_through_conics(ball.row(), np.array([1.0 / 12.0]), np.array([[1.0, 12.0]]), np.zeros((1, 2)))
    assert lost.tolist() == [[False, True]]
    assert trace(ball, x_mm=[1.0, 12.0], vergence_D=1000.0 / 12.0).fate.tolist() == [Fate.ARRIVED, Fate.MISSED]


@pytest.mark.parametrize(("lenses", "rays"), [(10, 30_000), (3, 200_000), (1000, 100), (5, SLICE)])
def test_slices_hold_every_ray_once_and_are_of_about_one_size(lenses, rays):
    seen = np.zeros((lenses, rays), dtype=int)
    sizes = []
    for first, last, begin, end in _parts(lenses, rays):
        seen[first:last, begin:end] += 1
        sizes.append((last - first) * (end - begin))
    assert np.all(seen == 1)
    assert max(sizes) <= SLICE
    assert sorted(sizes)[-1] > SLICE // 3


BENT_AWAY = System([Surface(10.0, aspheric={4: -0.02})], [1.0, 1.5])  # by −0.02·h⁴: too far for a beam that converges by 60 D
FLAT = System([Surface(10.0), Surface()], [1.0, 1.9, 1.0], [8.0])  # at 11 mm a ray misses, at 9.9 mm it is reflected within


@pytest.mark.parametrize(
    ("system", "beam", "x", "told"),
    [
        (FLAT, Beam(22.0), [0.0, 1.0, 0.9], "22 mm: 2 of 3 rays are lost, the first misses surface 1"),
        (FLAT, Beam([1.0, 22.0]), [0.0, 0.9, 1.0], "1 to 22 mm: 2 of 6 rays are lost, the first is totally reflected at surface 2"),
        (BENT_AWAY, Beam(6.4, 60.0), [1.0], "6.4 mm: 1 of 1 ray is lost, the first finds no point on surface 1"),
    ],
)
def test_the_first_ray_that_is_lost_is_told(system, beam, x, told):
    with pytest.raises(InputError) as error:
        Pencil(system, beam).rays(np.array(x), np.zeros(len(x)))
    assert str(error.value) == f"pupil_diameter_mm = {told}; make the pupil smaller"


@pytest.mark.parametrize("n", [2.0, 2.05])
def test_an_image_in_a_lens_or_at_its_back_is_none(n):
    """A ball in air has its focus R(2 − n)/(2(n − 1)) behind it: at the vertex, and 0.24 mm in front of it."""
    ball = System([Surface(10.0), Surface(-10.0)], [1.0, n, 1.0], [20.0])
    assert paraxial_image(ball).image_distance_mm == pytest.approx(10.0 * (2.0 - n) / (2.0 * (n - 1.0)), rel=1e-12, abs=1e-15)
    with pytest.raises(InputError) as error:
        wavefront_um(ball, Beam(1.0), pupil_x=0.5, pupil_y=0.0)
    assert str(error.value) == (
        "vergence_D = 0 D: this beam has no real image behind the lens, so there is no plane to judge it in; give it a beam that converges more, as "
        "in a model eye"
    )
    just_behind = System([Surface(10.0), Surface(-10.0)], [1.0, 1.95, 1.0], [20.0])  # 0.26 mm; the chief ray's own path differs by nothing
    assert wavefront_um(just_behind, Beam(0.1), pupil_x=0.0, pupil_y=0.0, focus="paraxial").item() == 0.0


@pytest.mark.parametrize("tilt", [0.0, 5.0])
def test_beams_through_one_lens_go_as_each_alone(tilt):
    lens = System([Surface(15.0, tilt_x_deg=tilt), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    together = trace(lens, x_mm=[0.5, 1.0], y_mm=[0.2, -0.3], vergence_D=[0.0, 10.0, 48.0])
    assert together.x_mm.shape == (3, 2)
    for beam, v in enumerate((0.0, 10.0, 48.0)):
        assert together.y_mm[beam].tolist() == trace(lens, x_mm=[0.5, 1.0], y_mm=[0.2, -0.3], vergence_D=v).y_mm.tolist()


def test_what_is_turned_out_is_turned_by_the_matrix_and_back_by_its_transpose():
    matrix = Rotation.from_euler("XY", [12.0, 25.0], degrees=True).as_matrix()
    place = np.array([0.3, -1.1, 2.5])
    assert turned_out(*place, *matrix.ravel()) == pytest.approx(matrix @ place, abs=1e-14)
    assert turned_in(*place, *matrix.ravel()) == pytest.approx(matrix.T @ place, abs=1e-14)


def test_planes_of_a_decentred_lens_are_judged_about_where_its_image_lies():
    lens = System([Surface(15.0, shift_y_mm=0.3, tilt_x_deg=2.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    asked = {"frequency_per_mm": 50.0, "wavelength_nm": 546.07}
    for shift in (0.0, -0.2):
        planes = through_focus_mtf(lens, Beam(3.0), focus_shift_mm=[shift], **asked)
        assert planes[0] == pytest.approx(mtf(lens, Beam(3.0), focus=shift, **asked).mtf, rel=1e-5, abs=0.0)


def test_one_point_of_an_image_is_its_middle():
    """Where there is next to no aberration, that is all of what diffraction leaves: the Strehl ratio, 1."""
    one = point_spread(LENS, Beam(1.0), wavelength_nm=546.07, half_width_mm=0.01, points=1)
    three = point_spread(LENS, Beam(1.0), wavelength_nm=546.07, half_width_mm=0.01, points=3)
    assert (one.irradiance.shape, one.x_mm.tolist(), one.y_mm.tolist()) == ((1, 1), [0.0], [0.0])
    assert one.irradiance[0, 0] == pytest.approx(three.irradiance[1, 1], rel=1e-9, abs=0.0)
    assert one.irradiance[0, 0] > three.irradiance[0, 1]
    two = point_spread(LENS, Beam(1.0), wavelength_nm=546.07, half_width_mm=0.01, points=2)
    assert (two.x_mm.tolist(), two.y_mm.tolist()) == ([-0.01, 0.01], [-0.01, 0.01])
    assert two.irradiance == pytest.approx(three.irradiance[::2, ::2], rel=1e-9, abs=0.0)


def test_points_that_are_kept_cannot_be_written_over():
    for kept in (*disc(), *gauss(12)):
        with pytest.raises(ValueError, match="read-only"):
            kept[...] = 0.0
