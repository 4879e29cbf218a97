"""Rays as columns through a row of surfaces: the arithmetic of `ray` by plain numpy, with aspheric terms and surfaces out of their place."""

from __future__ import annotations

from enum import IntEnum, auto
from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.light.ray import bent, conic_hit, turned_in, turned_out
from lenscalc.light.surface import Row
from lenscalc.quantities import FloatArray

ITERATIONS = 60  # Newton settles in a handful; a hit that has not settled by then is not found


class Fate(IntEnum):
    """What became of a ray. Places, directions and paths of a ray that did not arrive are nan."""

    ARRIVED = 0
    MISSED = auto()  # it does not meet the surface, or only beyond its edge or from behind
    REFLECTED = auto()  # total reflection, at the critical angle too
    NOT_FOUND = auto()  # the iteration to an aspheric surface did not settle


def through_surfaces(row: Row, state: list[FloatArray]) -> list[Any]:
    """Plain numpy: all rays of all lenses, surface by surface. State: x, y, z, L, M, N, path, z from the first vertex."""
    x, y, z, L, M, N, path = state
    fate, failed_at = np.zeros(x.shape, np.int8), np.zeros(x.shape, np.int8)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for s in range(len(row.curvature)):
            c, k = row.curvature[s][:, None], row.conic[s][:, None]
            n1, n2 = row.indices[s][:, None], row.indices[s + 1][:, None]
            move = row.move[s]
            if move is not None:
                *turn, dx, dy, dz = move.T[:, :, None]
                x, y, z = turned_in(x - dx, y - dy, z - dz, *turn)
                L, M, N = turned_in(L, M, N, *turn)
            forward = N > 0
            hit = conic_hit(x, y, z, L, M, N, c, k)
            terms = row.asphere[s]
            settled: npt.NDArray[np.bool_] | None = None
            if terms is None:
                normal = (-c * hit.x, -c * hit.y, hit.facing)
                length, x, y, z, facing = hit
            else:
                length, x, y, z, normal, facing, settled = _aspheric_hit(hit, x, y, z, L, M, N, c, k, terms)
            path = path + n1 * length
            new = bent(L, M, N, *normal, n1, n2)
            missed = ~((facing > 0) & (new.cosine > 0) & forward)
            here = np.where(missed, Fate.MISSED, np.where(new.cosine2 > 0, Fate.ARRIVED, Fate.REFLECTED)).astype(np.int8)
            if settled is not None:
                here = np.where(~settled & (facing > 0), Fate.NOT_FOUND, here).astype(np.int8)
            fate, failed_at = np.where(fate, fate, here), np.where(fate, failed_at, np.where(here, np.int8(s + 1), np.int8(0)))
            L, M, N = new.L, new.M, new.N
            if move is not None:
                x, y, z = turned_out(x, y, z, *turn)
                x, y, z = x + dx, y + dy, z + dz
                L, M, N = turned_out(L, M, N, *turn)
            z = z - row.distances[s][:, None]
    if fate.any():
        x, y, z, L, M, N, path = (np.where(fate, np.nan, a) for a in (x, y, z, L, M, N, path))
    return [x, y, z, L, M, N, path, fate, failed_at]


def _aspheric_hit(
    hit: Any, x: Any, y: Any, z: Any, L: Any, M: Any, N: Any, c: Any, k: Any, terms: tuple[tuple[int, FloatArray], ...]
) -> tuple[Any, Any, Any, Any, tuple[Any, Any, Any], Any, npt.NDArray[np.bool_]]:
    """Where rays meet conic + Σ A h^i, by Newton's method from the conic itself (from the vertex plane where that is missed). Plain numpy.

    Each ray goes by its own number of rounds, so that it has the same bits alone and among others.
    """
    t = np.where(hit.facing > 0, hit.length, -z / N)
    moves = np.ones(t.shape, dtype=np.bool_)
    for _ in range(ITERATIONS):
        px, py, pz = x + t * L, y + t * M, z + t * N
        sag, per_h, facing = _sag_and_slope(px * px + py * py, c, k, terms)
        step = (pz - sag) / (N - per_h * (px * L + py * M))
        t = np.where(moves, t - step, t)
        moves &= np.abs(step) > 1e-14 * (1.0 + np.abs(t))
        if not moves.any():
            break
    settled = np.abs(step) <= 1e-12 * (1.0 + np.abs(t))
    px, py, pz = x + t * L, y + t * M, z + t * N
    sag, per_h, facing = _sag_and_slope(px * px + py * py, c, k, terms)
    return t, px, py, pz, (-per_h * px, -per_h * py, 1.0), facing, settled


def _sag_and_slope(h2: Any, c: Any, k: Any, terms: tuple[tuple[int, FloatArray], ...]) -> tuple[Any, Any, Any]:
    """Sag, its derivative by the height over the height, and the root that is above 0 within the conic's edge; plain numpy."""
    root = (1.0 - (1.0 + k) * c * c * h2) ** 0.5
    sag, per_h = h2 * c / (1.0 + root), c / root
    for power, a in terms:
        below = a[:, None] * h2 ** (power // 2 - 1)
        sag, per_h = sag + below * h2, per_h + power * below
    return sag, per_h, root
