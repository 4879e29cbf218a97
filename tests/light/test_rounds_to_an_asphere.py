"""Newton's method doubles its digits: a ray near the axis meets an asphere within a handful of rounds, and the iteration ends with them."""

import sys

import numpy as np
import pytest

from lenscalc.light import Fate, Surface, System, trace, trace_rays


@pytest.mark.parametrize("turned", [0.0, 45.0, 90.0])
def test_rays_meet_an_ordinary_asphere_in_a_handful_of_rounds(monkeypatch, turned):
    module, rounds = sys.modules["lenscalc.light.ray_columns"], []
    whole = module._sag_and_slope
    monkeypatch.setattr(module, "_sag_and_slope", lambda *given: (rounds.append(1), whole(*given))[1])
    heights, along = np.linspace(0.0, 3.0, 50), np.deg2rad(turned)
    surface = Surface(15.0, 0.0, {4: -2e-4})
    trace(System([surface], [1.336, 1.49]), x_mm=heights * np.cos(along), y_mm=heights * np.sin(along), vergence_D=10.0)
    assert 2 < len(rounds) <= 7  # one of them for the place where they ended


@pytest.mark.parametrize(("L", "N", "x", "z", "x_beyond"), [(0.6, 0.8, 5.5, 0.0, 6.0), (0.28, 0.96, 6.0, 1.05, 6.2)])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_light_that_would_come_to_a_surface_from_behind_misses_it(L, N, x, z, x_beyond, side):
    """Sag −0.01h⁴ + 3·10⁻⁴h⁶, the faster rising the farther out: a ray from behind it, outwards, crosses it to in front."""
    surface = Surface(aspheric={4: -0.01, 6: 3e-4})
    assert surface.sag_mm(x) < z
    assert z + (x_beyond - x) * N / L < surface.sag_mm(x_beyond)
    ray = trace_rays(System([surface], [1.0, 1.5]), x_mm=side * x, y_mm=0.0, z_mm=z, direction_x=side * L, direction_y=0.0, direction_z=N)
    assert ray.fate is Fate.MISSED


def test_beyond_the_edge_of_the_conic_there_is_nothing_to_be_found():
    """A sphere of 5 mm, a little figured, ends 5 mm from its axis: a ray along the axis at 7 mm misses it, and nothing was left to search for."""
    rays = trace(System([Surface(5.0, aspheric={4: 1e-6})], [1.0, 1.5]), x_mm=[1.0, 7.0])
    assert rays.fate.tolist() == [Fate.ARRIVED, Fate.MISSED]


def test_an_asphere_ten_metres_away_is_found_as_well():
    """As far as 10⁴ mm a place is known to 1e-12 mm by its doubles: that much is left of the last step."""
    surface = Surface(15.0, aspheric={4: -2e-4})
    heights = np.linspace(0.1, 3.0, 200)
    start = {"x_mm": -100.0 + heights, "y_mm": 0.0, "z_mm": -1e4, "direction_x": 0.01, "direction_y": 0.0, "direction_z": 1.0}
    rays = trace_rays(System([surface], [1.0, 1.5]), **start)
    assert set(rays.fate) == {Fate.ARRIVED}
    assert rays.z_mm == pytest.approx(surface.sag_mm(rays.x_mm), rel=0, abs=1e-11)
    assert rays.x_mm == pytest.approx(heights + 0.01 * rays.z_mm, rel=0, abs=1e-11)
