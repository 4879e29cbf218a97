"""The row of conic surfaces for large numbers of rays: the bodies of `ray` in one compiled loop, in slices over threads. Imports numba."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.compiled import compiled
from lenscalc.light.ray import bent, conic_hit, started
from lenscalc.light.surface import Row
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.blocks import cores

SLICE = 65_536  # rays a task
# Rays that go through all surfaces together. Their state lies in one short array, each part at a fixed distance from the next: so the compiler sees
# that the parts do not overlap, and takes several rays in one step (59 instead of 15 million rays a second and core). Frozen into the kernel.
BLOCK = 512
Y, Z, DX, DY, DZ, PATH, STATE = BLOCK, 2 * BLOCK, 3 * BLOCK, 4 * BLOCK, 5 * BLOCK, 6 * BLOCK, 7 * BLOCK


def followed(
    hx: Any, hy: Any, v: Any, c: Any, k: Any, n: Any, d: Any, out: Any, lost: Any, first_lens: int, last_lens: int, first_ray: int, last_ray: int
) -> None:
    """The loop: lenses, blocks of rays, surfaces, rays. Of the last block nobody sees what lies beyond the rays."""
    w = np.zeros(STATE)
    surfaces = c.shape[0]
    for lens in range(first_lens, last_lens):
        own = min(lens, hx.shape[0] - 1)  # one beam for all lenses, or one each
        for begin in range(first_ray, last_ray, BLOCK):
            many = min(BLOCK, last_ray - begin)
            w[:many] = hx[own, begin : begin + many]
            w[Y : Y + many] = hy[own, begin : begin + many]
            for i in range(BLOCK):
                b = started(w[i], w[i + Y], v[lens], n[0, lens])
                w[i + Z], w[i + DX], w[i + DY], w[i + DZ], w[i + PATH] = 0.0, b.L, b.M, b.N, b.path
            for s in range(surfaces):
                cs, ks, n1, n2, on = c[s, lens], k[s, lens], n[s, lens], n[s + 1, lens], d[s, lens]
                for i in range(BLOCK):
                    L, M, N = w[i + DX], w[i + DY], w[i + DZ]
                    hit = conic_hit(w[i], w[i + Y], w[i + Z], L, M, N, cs, ks)
                    new = bent(L, M, N, -cs * hit.x, -cs * hit.y, hit.facing, n1, n2)
                    good = (hit.facing > 0.0) & (new.cosine > 0.0) & (new.cosine2 > 0.0) & (N > 0.0)  # & and not `and`: no jump
                    w[i], w[i + Y], w[i + Z] = hit.x, hit.y, hit.z - on
                    w[i + DX], w[i + DY], w[i + DZ] = new.L, new.M, new.N if good else np.nan
                    w[i + PATH] = w[i + PATH] + n1 * hit.length
            for part in range(7):
                out[part][lens, begin : begin + many] = w[part * BLOCK : part * BLOCK + many]
            here = lost[lens, begin : begin + many]
            for i in range(many):
                here[i] = w[i + DZ] != w[i + DZ]


def beam_through_conics(row: Row, v: FloatArray, x: FloatArray, y: FloatArray) -> tuple[list[FloatArray], npt.NDArray[np.bool_]]:
    """x, y, z, L, M, N and path of every ray, and which of them were lost (their reason is found by following them again in numpy)."""
    lenses, rays = row.curvature.shape[1], x.shape[1]
    out = tuple(np.empty((lenses, rays)) for _ in range(7))  # one by one: memory of this size is used again, a seven times larger piece is not
    lost = np.empty((lenses, rays), np.bool_)
    given = [np.require(a, np.float64, ["C", "W"]) for a in (x, y, v, row.curvature, row.conic, row.indices, row.distances)]
    kernel = compiled(followed)

    def run(part: tuple[int, int, int, int]) -> None:
        with np.errstate(all="ignore"):  # matters where the compiler is switched off: then this is numpy's arithmetic
            kernel(*given, out, lost, *part)

    parts = _parts(lenses, rays)
    run((lenses, lenses, rays, rays))  # nothing: compiles before the threads start
    with ThreadPoolExecutor(cores(None)) as pool:
        list(pool.map(run, parts))
    return list(out), lost


def is_compiled() -> bool:
    """Whether the compiler has done its work; never where it is switched off, when the loop is slow and its roots have other last bits."""
    return bool(getattr(compiled(followed), "signatures", ()))


def _parts(lenses: int, rays: int) -> list[tuple[int, int, int, int]]:
    """Slices of about one size: of the rays of one lens, or of several lenses with all their rays."""
    if rays >= SLICE:
        return [(lens, lens + 1, r, min(r + SLICE, rays)) for lens in range(lenses) for r in range(0, rays, SLICE)]
    step = SLICE // rays
    return [(a, min(a + step, lenses), 0, rays) for a in range(0, lenses, step)]
