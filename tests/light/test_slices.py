"""Rays in slices, and the compiled way beside the plain one for rays that are lost."""

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
