"""What a ray that is lost says, and systems that cannot be."""

import re
import sys
from math import inf, nan

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import Beam, Fate, Surface, System, fresnel, moved, seidel_sums, trace, trace_rays
from lenscalc.light.limits import FOCUS
from lenscalc.quantities import within

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


def test_a_lost_ray_says_why_and_where():
    missed = trace(LENS, x_mm=16.0)
    assert (missed.fate, missed.failed_at) == (Fate.MISSED, 1)
    assert np.isnan(missed.x_mm)
    # from 1.5 into air at 60°: beyond the critical angle of 41.8°
    reflected = trace_rays(System([Surface()], [1.5, 1.0]), x_mm=0, y_mm=0, z_mm=0, direction_x=3**0.5, direction_y=0, direction_z=1)
    assert (reflected.fate, reflected.failed_at) == (Fate.REFLECTED, 1)
    both = trace(LENS, x_mm=[0.0, 16.0], plane_mm=10.0)
    assert both.fate.tolist() == [0, 1]
    assert np.isnan(both.x_mm[1])


LIMITS = {
    "conic = ": (lambda x: Surface(15.0, conic=x), -1000.0, 1000.0),
    "radius_mm = ": (lambda x: Surface(x), 0.1, 1e7),
    "shift_x_mm = ": (lambda x: Surface(shift_x_mm=x), -100.0, 100.0),
    "tilt_y_deg = ": (lambda x: Surface(tilt_y_deg=x), -60.0, 60.0),
    "indices[1] = ": (lambda x: System([Surface()], [1.0, x]), 1.0, 3.0),
    "distances_mm[0] = ": (lambda x: System([Surface(), Surface()], [1.0, 1.5, 1.0], [x]), 0.0, 1e4),
    "object_distance_mm = ": (lambda x: trace(LENS, x_mm=0.0, object_distance_mm=x), 0.01, 1e12),
    "plane_mm = ": (lambda x: trace(LENS, x_mm=1.0, plane_mm=x), -1e4, 1e4),
    "direction_x = ": (lambda x: trace_rays(LENS, x_mm=0, y_mm=0, z_mm=0, direction_x=x, direction_y=0, direction_z=1), -1e9, 1e9),
    "focus = ": (lambda x: within(FOCUS, x), -1e12, 1e12),
    "added_zernike_um = ": (lambda x: Beam(3.0, 0.0, {4: x}), -100.0, 100.0),
    "angle_deg = ": (lambda x: fresnel(1.0, 1.5, x), 0.0, 90.0),
    "field_deg = ": (lambda x: seidel_sums(LENS, pupil_diameter_mm=3.0, field_deg=x), 0.0, 60.0),
}


@pytest.mark.parametrize("begins", LIMITS)
def test_a_limit_is_allowed_and_what_lies_beyond_it_is_refused_with_both(begins):
    make, lower, upper = LIMITS[begins]
    for limit, beyond in ((lower, lower - abs(upper) * 1e-9), (upper, upper * (1.0 + 1e-9))):
        make(limit)
        with pytest.raises(InputError) as error:
            make(beyond)
        assert str(error.value).startswith(begins)
        assert f"must be {lower:g} to {upper:g}" in str(error.value)


@pytest.mark.parametrize(
    ("make", "value", "hint"),
    [
        (Surface, 0.0039, ""),
        (Surface, -0.004, "; is it in metres? write it in mm"),
        (lambda n: System([Surface()], [1.0, n]), 3.1, ""),
        (lambda n: System([Surface()], [1.0, n]), 9.99, ""),
        (lambda n: System([Surface()], [1.0, n]), 10.0, "; is the decimal point one place off?"),
        (lambda n: System([Surface()], [1.0, n]), 18.0, "; is the decimal point one place off?"),
        (lambda n: System([Surface()], [1.0, n]), 18.1, ""),
        (lambda n: System([Surface()], [1.0, n]), 100.0, "; is the decimal point two places off?"),
    ],
)
def test_a_slip_is_named_where_it_makes_a_usual_number(make, value, hint):
    """Usual are radii of 4 mm and more and indices of 1 to 1.8: what a factor of a thousand, ten or a hundred makes such."""
    with pytest.raises(InputError, match=rf"(, or inf \(plano\)|must be 1 to 3){re.escape(hint)}$"):
        make(value)


@pytest.mark.parametrize("name", ["shift_x_mm", "shift_y_mm", "shift_z_mm", "tilt_x_deg", "tilt_y_deg"])
@pytest.mark.parametrize("place", [-1e-9, 1e-9, np.array([0.0, -0.1])])
def test_a_surface_is_out_of_its_place_to_either_side(name, place):
    assert Surface(**{name: place}).is_moved
    assert not Surface(**{name: 0.0}).is_moved


def test_a_ray_beyond_the_equator_of_an_ellipsoid_is_missed():
    # half axes 3.33 along and 4.08 across; the line enters at z = 3.8 and leaves at 6.2, both beyond the equator at 3.33
    egg = System([Surface(5.0, conic=0.5)], [1.0, 1.5])
    steep = trace_rays(egg, x_mm=-4.5, y_mm=0, z_mm=3.6, direction_x=2.0, direction_y=0, direction_z=1.0)
    assert steep.fate == Fate.MISSED


def test_grazing_the_other_sheet_of_a_hyperboloid_is_missed():
    sheet = System([Surface(-1.0, conic=-3.0)], [1.0, 1.5])
    ray = trace_rays(sheet, x_mm=10.0, y_mm=0, z_mm=-1.0, direction_x=-3.0, direction_y=0, direction_z=1.0)
    on_sheet = ray.fate == 0 and abs(ray.z_mm - float(Surface(-1.0, conic=-3.0).sag_mm(abs(ray.x_mm)))) < 1e-9
    assert on_sheet or ray.fate == Fate.MISSED


def test_a_steep_asphere_arrives_or_is_named():
    wild = System([Surface(8.0, 0.0, {4: 5e-3})], [1.0, 1.5])
    rays = trace(wild, x_mm=np.linspace(0, 9, 200))
    arrived = rays.fate == 0
    assert arrived[:20].all()
    assert np.isfinite(rays.z_mm[arrived]).all()
    assert np.isnan(rays.z_mm[~arrived]).all()
    assert np.allclose(rays.z_mm[arrived], wild.surfaces[0].sag_mm(rays.x_mm[arrived]), atol=1e-10)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Surface(15.0, aspheric={2: 1e-4}), "changes the paraxial power"),
        (lambda: Surface(15.0, aspheric={3: 1e-4}), "4, 6, 8"),
        (lambda: Surface(15.0, aspheric={4: nan}), "finite"),
        (lambda: Surface(0.0), "never 0"),
        (lambda: Surface(0.015), "is it in metres?"),
        (lambda: Surface("abc"), "not a number"),
        (lambda: Surface(15.0, conic=nan), "conic is missing or not a number"),
        (lambda: Surface(15.0, tilt_x_deg=90.0), "tilt_x_deg = 90"),
        (lambda: System([], [1.0]), "at least one"),
        (lambda: System([Surface(15.0)], [1.0, 14.9]), "decimal point one place off"),
        (lambda: System([Surface(15.0)], [1.0]), "surfaces 1, indices 1, distances_mm 0"),
        (lambda: System([Surface(15.0)], [1.0, 1.5, 1.0]), "surfaces 1, indices 3, distances_mm 0"),
        (lambda: System([Surface(15.0), Surface()], [1.0, 1.5, 1.0]), "surfaces 2, indices 3, distances_mm 0"),
        (lambda: System([Surface(15.0)], [1.0, 1.5], [0.9]), "surfaces 1, indices 2, distances_mm 1"),
        (lambda: System([Surface(15.0)], [1.0, 149.0]), "decimal point two places off"),
        (lambda: System([Surface([1.0, 2.0]), Surface([1.0, 2.0, 3.0])], [1.0, 1.5, 1.0], [1.0]), "must broadcast"),
        (lambda: trace(LENS, x_mm="wide"), "x_mm = 'wide' is not a number"),
        (lambda: trace(LENS, x_mm=nan), "x_mm is missing"),
        (lambda: trace(LENS, x_mm=[]).x_mm[0], None),
        (lambda: trace(LENS, x_mm=1.0, vergence_D=10.0, object_distance_mm=100.0), "not both"),
        (lambda: trace(LENS, x_mm=1.0, vergence_D=[0.0, -10.0], object_distance_mm=100.0), "not both"),
        (lambda: trace_rays(LENS, x_mm=0, y_mm=0, z_mm=0, direction_x=0, direction_y=0, direction_z=-1), "light travels"),
        (lambda: trace(System([Surface([15.0, 16.0])], [1.0, 1.5]), x_mm=np.zeros((3, 4))), "the last axis is the rays"),
        (lambda: moved(moved(LENS, shift_x_mm=0.1), shift_x_mm=0.1), "already"),
    ],
)
def test_what_cannot_be_is_refused_in_words(make, told):
    if told is None:  # no rays are no mistake
        assert trace(LENS, x_mm=[]).x_mm.shape == (0,)
        return
    with pytest.raises(InputError) as error:
        make()
    assert told in str(error.value)


def test_plano_is_a_word_here_too():
    assert Surface("plano").sag_mm(3.0) == 0.0
    assert Surface().radius_mm == inf


def test_a_ray_below_a_bowl_is_not_found_on_it():
    """z = 0.1·h⁴ mm is never below 0; a ray that climbs 1 in 100 from 1 mm below is above 0 beyond 95 mm alone, where the bowl is 8 km deep."""
    bowl = System([Surface(inf, aspheric={4: 0.1})], [1.0, 1.5])
    ray = trace_rays(bowl, x_mm=-5.0, y_mm=0.0, z_mm=-1.0, direction_x=100.0, direction_y=0.0, direction_z=1.0)
    assert (ray.fate, ray.failed_at) == (Fate.NOT_FOUND, 1)
    assert np.isnan(ray.x_mm)


def test_a_weak_asphere_is_met_from_its_conic(monkeypatch):
    """Steep and oblique, where the vertex plane lies far from the surface: three steps from the conic, of which the first is already small."""
    monkeypatch.setattr(sys.modules["lenscalc.light.ray_columns"], "ITERATIONS", 3)
    steep = System([Surface(8.0, 0.0, {4: 1e-7})], [1.0, 1.5])
    ray = trace(steep, x_mm=7.0, vergence_D=30.0)
    assert ray.fate == Fate.ARRIVED
    assert ray.z_mm == pytest.approx(steep.surfaces[0].sag_mm(ray.x_mm), abs=1e-10)
