"""Exact rays: what geometry and Snell's law guarantee."""

import os
import sys
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.light import Fate, Surface, System, moved, paraxial_image, trace, trace_rays
from lenscalc.light.ray_kernel import beam_through_conics

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])

radii = st.floats(8.0, 60.0).flatmap(lambda r: st.sampled_from([r, -r, inf]))
conics = st.floats(-4.0, 2.0)
indices = st.floats(1.3, 1.7)
coefficients = st.floats(-2e-4, 2e-4)
heights = st.floats(-1.5, 1.5)


@st.composite
def surfaces(draw, aspheric=True, out_of_place=False):
    terms = {4: draw(coefficients), 6: draw(st.floats(-5e-6, 5e-6))} if aspheric and draw(st.booleans()) else {}
    place = {}
    if out_of_place:
        place = {"shift_x_mm": draw(st.floats(-0.5, 0.5)), "shift_y_mm": draw(st.floats(-0.5, 0.5)), "tilt_x_deg": draw(st.floats(-8.0, 8.0)),
                 "tilt_y_deg": draw(st.floats(-8.0, 8.0))}  # fmt: skip
    return Surface(draw(radii), draw(conics), terms, **place)


@st.composite
def systems(draw, **kind):
    many = draw(st.integers(1, 4))
    return System(
        [draw(surfaces(**kind)) for _ in range(many)], [draw(indices) for _ in range(many + 1)], [draw(st.floats(0.3, 3.0)) for _ in range(many - 1)]
    )


def mirrored(system):
    """The system seen from behind: the order turned round, radii and aspheric terms with the other sign."""
    back = [Surface(-s.radius_mm, s.conic, {p: -a for p, a in s.aspheric.items()}) for s in reversed(system.surfaces)]
    return System(back, list(reversed(system.indices)), list(reversed(system.distances_mm)))


@given(systems(), heights, heights, st.floats(-60.0, 60.0))
def test_a_ray_sent_back_takes_the_same_way(system, x, y, vergence):
    there = trace(system, x_mm=x, y_mm=y, vergence_D=vergence, plane_mm=5.0)
    if there.fate:
        return
    back = trace_rays(
        mirrored(system), x_mm=there.x_mm, y_mm=there.y_mm, z_mm=-5.0, direction_x=-there.direction_x, direction_y=-there.direction_y,
        direction_z=there.direction_z, plane_mm=0.0,
    )  # fmt: skip
    assert back.fate == 0
    assert abs(back.x_mm - x) < 1e-9
    assert abs(back.y_mm - y) < 1e-9


def normal_at(s, x, y):
    """Unit normal of a surface in its own axes, from a difference of its sag: nothing of the ray trace in it."""
    h = 1e-5
    slope = [float(s.sag_mm(np.hypot(x + dx, y + dy)) - s.sag_mm(np.hypot(x - dx, y - dy))) / (2 * h) for dx, dy in ((h, 0), (0, h))]
    n = np.array([-slope[0], -slope[1], 1.0])
    return n / np.linalg.norm(n)


@given(surfaces(), indices, indices, heights, heights, st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_every_surface_obeys_snells_law(s, n1, n2, x, y, L, M):
    ray = trace_rays(System([s], [n1, n2]), x_mm=x, y_mm=y, z_mm=-1.0, direction_x=L, direction_y=M, direction_z=1.0)
    if ray.fate:
        return
    assert abs(ray.z_mm - float(s.sag_mm(np.hypot(ray.x_mm, ray.y_mm)))) < 1e-10  # on the surface
    before = np.array([L, M, 1.0]) / np.linalg.norm([L, M, 1.0])
    after = np.array([ray.direction_x, ray.direction_y, ray.direction_z])
    n = normal_at(s, ray.x_mm, ray.y_mm)
    assert abs(np.linalg.norm(after) - 1.0) < 1e-12
    # n1 sin θ1 = n2 sin θ2, and both in one plane with the normal: n1 (before × n) = n2 (after × n)
    assert np.allclose(n1 * np.cross(before, n), n2 * np.cross(after, n), atol=1e-8)


@given(systems(), st.floats(0.1, 1.5), st.floats(0.0, 6.3), st.floats(-60.0, 60.0))
def test_a_centred_system_has_no_preferred_direction(system, h, angle, vergence):
    flat = trace(system, x_mm=h, vergence_D=vergence, plane_mm=4.0)
    turned = trace(system, x_mm=h * np.cos(angle), y_mm=h * np.sin(angle), vergence_D=vergence, plane_mm=4.0)
    assert flat.fate == turned.fate
    if flat.fate:
        return
    assert abs(turned.x_mm - flat.x_mm * np.cos(angle)) < 1e-10
    assert abs(turned.y_mm - flat.x_mm * np.sin(angle)) < 1e-10
    assert abs(turned.optical_path_mm - flat.optical_path_mm) < 1e-10


@given(systems(out_of_place=True), heights, heights, st.floats(-0.4, 0.4))
def test_a_shift_of_everything_shifts_everything(system, x, y, by):
    shifted = System(
        [Surface(s.radius_mm, s.conic, s.aspheric, s.shift_x_mm + by, s.shift_y_mm, 0.0, s.tilt_x_deg, s.tilt_y_deg) for s in system.surfaces],
        system.indices, system.distances_mm,
    )  # fmt: skip
    here, there = trace(system, x_mm=x, y_mm=y, plane_mm=4.0), trace(shifted, x_mm=x + by, y_mm=y, plane_mm=4.0)
    assert here.fate == there.fate
    if not here.fate:
        assert abs(there.x_mm - here.x_mm - by) < 1e-10
        assert abs(there.optical_path_mm - here.optical_path_mm) < 1e-10


def test_a_sphere_turned_about_its_own_centre_is_the_same_sphere():
    # turning about the vertex by τ, then bringing the centre back: shift −R sin τ across and R(1 − cos τ) along
    a = np.deg2rad(7.0)
    turned = Surface(15.0, tilt_x_deg=7.0, shift_y_mm=15.0 * np.sin(a), shift_z_mm=15.0 * (1 - np.cos(a)))
    x, y = np.array([0.3, -1.2]), np.array([1.0, 0.4])
    plain, same = (trace(System([s], [1.0, 1.5]), x_mm=x, y_mm=y, vergence_D=40.0, plane_mm=20.0) for s in (Surface(15.0), turned))
    assert np.allclose(plain.optical_path_mm, same.optical_path_mm, atol=1e-12)
    assert np.allclose(plain.x_mm, same.x_mm, atol=1e-12)
    assert np.allclose(plain.y_mm, same.y_mm, atol=1e-12)


def test_a_lens_turned_about_a_pivot_moves_as_one_body():
    # a tilt about a pivot, and the same tilt about the front vertex with the shift that this makes: p·(sin, 1 − cos)
    a = np.deg2rad(4.0)
    about_middle = moved(LENS, tilt_x_deg=4.0, pivot_mm=0.45).surfaces
    about_vertex = moved(LENS, tilt_x_deg=4.0).surfaces
    for one, other in zip(about_middle, about_vertex, strict=True):
        assert abs(float(one.shift_y_mm - other.shift_y_mm) - 0.45 * np.sin(a)) < 1e-15
        assert abs(float(one.shift_z_mm - other.shift_z_mm) - 0.45 * (1 - np.cos(a))) < 1e-15


def test_near_the_axis_a_ray_is_paraxial():
    for vergence in (0.0, 48.0, -5.0):
        image = paraxial_image(LENS, vergence_D=vergence)
        ray = trace(LENS, x_mm=1e-4, vergence_D=vergence)
        crossing = ray.z_mm - ray.x_mm * ray.direction_z / ray.direction_x
        assert abs(crossing - float(image.image_distance_mm)) < 1e-6


def test_a_window_shifts_a_slanted_ray_as_snell_says():
    # by hand: sin 0.6 in air, 0.4 in glass of 1.5; 1 mm in air, 3 mm of glass: 1·0.6/0.8 + 3·0.4/√0.84 across
    ray = trace_rays(System([Surface(), Surface()], [1.0, 1.5, 1.0], [3.0]), x_mm=0, y_mm=0, z_mm=-1, direction_x=3, direction_y=0, direction_z=4)
    assert abs(ray.x_mm - (0.75 + 1.2 / 0.84**0.5)) < 1e-14
    assert abs(ray.optical_path_mm - (1.25 + 1.5 * 3.0 / 0.84**0.5)) < 1e-14


def test_an_object_at_a_distance_is_its_vergence():
    a = trace(LENS, x_mm=[0.5, 1.0], object_distance_mm=250.0)
    b = trace(LENS, x_mm=[0.5, 1.0], vergence_D=-1336.0 / 250.0)
    assert np.allclose(a.x_mm, b.x_mm, atol=1e-15)
    assert np.array_equal(trace(LENS, x_mm=[0.5], object_distance_mm=inf).x_mm, trace(LENS, x_mm=[0.5]).x_mm)


def test_lenses_and_rays_make_a_table():
    R = np.array([12.0, 15.0, 20.0])
    x = np.linspace(-1.0, 1.0, 5)
    many = trace(System([Surface(R), Surface(-R)], [1.336, 1.49, 1.336], [0.9]), x_mm=x)
    assert many.x_mm.shape == (3, 5)
    for i, r in enumerate(R):
        one = trace(System([Surface(r), Surface(-r)], [1.336, 1.49, 1.336], [0.9]), x_mm=x)
        assert np.array_equal(many.optical_path_mm[i], one.optical_path_mm)
    lenses = System([Surface(R), Surface(-R)], [1.336, 1.49, 1.336], [0.9])
    own = trace(lenses, x_mm=np.array([[0.1], [0.2], [0.3]]), vergence_D=np.array([0, 10, 20]))
    assert own.x_mm.shape == (3, 1)
    wide = trace(LENS, x_mm=x, vergence_D=np.array([0.0, 20.0]))  # one lens, two beams
    assert wide.x_mm.shape == (2, 5)
    assert isinstance(trace(LENS, x_mm=1.0).x_mm, float)


with_compiler = pytest.mark.skipif(
    os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="without the compiler the loop's roots are those of single numbers, off in the last bit"
)


@with_compiler
def test_the_compiled_loop_gives_the_same_bits():
    rng = np.random.default_rng(7)
    system = System([Surface(np.array([15.0, 5.0]), -1.2), Surface(inf), Surface(-15.0, 0.5)], [1.0, 1.49, 1.4, 1.336], [0.9, 0.3])
    x, y = rng.uniform(-2.5, 2.5, (2, 1, 1500))
    v = np.array([0.01, -0.002])
    row = system.row()
    state, lost = beam_through_conics(row, v, x, y)
    plain = trace(system, x_mm=x[0], y_mm=y[0], vergence_D=v * 1000.0)
    assert np.array_equal(lost, plain.fate != 0)
    for compiled, numpy in zip(state, plain[:7], strict=True):
        assert np.array_equal(np.where(lost, nan, compiled), numpy, equal_nan=True)


@with_compiler
def test_large_work_is_compiled_and_says_what_became_of_each_ray(monkeypatch):
    module = sys.modules["lenscalc.light.trace"]
    x = np.linspace(-20.0, 20.0, 4001)
    glass = System([Surface(15.0), Surface(inf)], [1.0, 1.9, 1.0], [8.0])
    plain = trace(glass, x_mm=x)
    assert set(np.unique(plain.fate)) == {Fate.ARRIVED, Fate.MISSED, Fate.REFLECTED}
    monkeypatch.setattr(module, "LARGE", 1)
    monkeypatch.setattr(module, "LARGE_ONCE_COMPILED", 1)
    compiled = trace(glass, x_mm=x)
    for a, b in zip(plain, compiled, strict=True):
        assert np.array_equal(a, b, equal_nan=True)
