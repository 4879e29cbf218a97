"""Rays in slices, and the compiled way beside the plain one for rays that are lost."""

import importlib
import sys

import numpy as np
import pytest

from lenscalc import light
from lenscalc.light import Surface, System


@pytest.mark.parametrize(("lenses", "rays"), [(1, 1), (7, 3), (1, 200_000), (3, 70_000), (100_000, 2)])
def test_slices_hold_every_ray_of_every_lens_once(lenses, rays):
    from lenscalc.light.ray_kernel import _parts

    seen = np.zeros((lenses, rays), dtype=int)
    for first, last, begin, end in _parts(lenses, rays):
        seen[first:last, begin:end] += 1
    assert np.all(seen == 1)


@pytest.mark.parametrize(("lenses", "rays", "sizes"), [(1, 4, [4]), (1, 10, [4, 4, 2]), (2, 5, [4, 4, 2]), (5, 2, [5, 5])])
def test_plain_numpy_takes_as_many_rays_at_once_as_the_cache_holds(monkeypatch, lenses, rays, sizes):
    """Were that four: of one lens four, of two lenses two each, and one each of five."""
    module, seen = sys.modules["lenscalc.light.trace"], []
    row = System([Surface(np.linspace(12.0, 18.0, lenses)), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]).row()
    given = (row, np.zeros(lenses), np.linspace(0.1, 1.0, rays)[None], np.zeros((1, rays)))
    at_once, whole = module._beam(*given), module.through_surfaces
    monkeypatch.setattr(module, "IN_CACHE", 4)
    monkeypatch.setattr(module, "through_surfaces", lambda row, state: (seen.append(state[0].size), whole(row, state))[1])
    in_parts = module._beam(*given)
    assert seen == sizes
    assert [a.tolist() for a in in_parts] == [a.tolist() for a in at_once]


def test_rays_that_are_lost_end_alike_whichever_way_they_go(monkeypatch):
    """The compiled way only marks a lost ray, and asks the plain way again for its fate and its place: all six numbers alike."""
    x = np.array([0.5, 3.0, 14.9, 16.0])
    ball = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.0], [0.9])
    plain = light.trace(ball, x_mm=x)
    for bound in ("LARGE", "LARGE_ONCE_COMPILED"):
        monkeypatch.setattr(sys.modules["lenscalc.light.trace"], bound, 1)
    other = light.trace(ball, x_mm=x)
    assert plain.fate[-1] != 0
    for one, two in zip(plain, other, strict=True):
        assert np.array_equal(one, two, equal_nan=True)


def test_beams_of_a_table_go_through_each_lens_of_a_row():
    """Two beams of their own through three lenses: each as alone."""
    radii, x = np.array([12.0, 15.0, 18.0]), np.array([[[0.5, 1.0]], [[0.2, 2.0]]])
    together = light.trace(System([Surface(radii), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), x_mm=x)
    assert together.x_mm.shape == (2, 3, 2)
    for beam, lens in np.ndindex(2, 3):
        alone = light.trace(System([Surface(radii[lens]), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), x_mm=x[beam, 0])
        assert together.z_mm[beam, lens].tolist() == alone.z_mm.tolist()


@pytest.mark.parametrize(("lenses", "rays", "large"), [(1, 12, True), (1, 13, True), (3, 4, True), (11, 1, False), (1, 11, False)])
def test_work_is_large_by_all_rays_of_all_lenses(monkeypatch, lenses, rays, large):
    """Were a million twelve: twelve rays of one lens, or four of each of three; and never where a surface is out of its place."""
    module, asked = sys.modules["lenscalc.light.trace"], []
    kernel = importlib.import_module("lenscalc.light.ray_kernel")
    whole = kernel.beam_through_conics
    monkeypatch.setattr(kernel, "beam_through_conics", lambda *given: (asked.append(given), whole(*given))[1])
    for bound in ("LARGE", "LARGE_ONCE_COMPILED"):
        monkeypatch.setattr(module, bound, 12)
    x = np.linspace(0.0, 1.0, rays)
    lens = System([Surface(np.full(lenses, 15.0)), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    light.trace(lens, x_mm=x)
    assert bool(asked) == large
    asked.clear()
    light.trace(light.moved(lens, shift_y_mm=0.5), x_mm=x)
    assert not asked


@pytest.mark.parametrize("already", [True, False])
def test_once_the_loop_is_compiled_less_work_is_large(monkeypatch, already):
    module, asked = sys.modules["lenscalc.light.trace"], []
    kernel = importlib.import_module("lenscalc.light.ray_kernel")
    whole = kernel.beam_through_conics
    monkeypatch.setattr(kernel, "beam_through_conics", lambda *given: (asked.append(given), whole(*given))[1])
    monkeypatch.setattr(kernel, "is_compiled", lambda: already)
    monkeypatch.setattr(module, "LARGE_ONCE_COMPILED", 12)
    lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    assert light.trace(lens, x_mm=np.linspace(0.0, 1.0, 12)).fate.tolist() == [0] * 12
    assert bool(asked) == already
    monkeypatch.delitem(sys.modules, "lenscalc.light.ray_kernel")  # nobody has read it in
    assert light.trace(lens, x_mm=np.linspace(0.0, 1.0, 12)).fate.tolist() == [0] * 12
    assert len(asked) == already
