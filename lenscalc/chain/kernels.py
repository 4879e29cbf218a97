"""A large plain table: `plain_row_of` in one compiled loop with its checks, in slices over threads. Imports numba.

The loop marks every row of which something might have to be said, and says nothing itself: marked rows go the ordinary way once more.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.chain.plan import PLAIN_INPUTS, Plan, limits_of
from lenscalc.chain.steps import PlainRow, plain_row_of
from lenscalc.compiled import compiled, fetch_to_read, fetch_to_write
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.blocks import cores

SLICE = 65_536  # rows a task
# Rows that go through together. What is read and written of them lies in one short array, each part at a fixed distance from the next: so the
# compiler sees that the parts do not overlap, and takes several rows in one step. Few enough that the columns advance side by side, as prefetching
# likes it (12 ns a row and core with 64 rows, 17 with 512). Frozen into the kernel.
BLOCK = 64
PART = BLOCK + 8
AHEAD, LINE = 2 * BLOCK, 8  # memory is asked for two blocks before it is used, a line of eight numbers at a time: an eighth less time
INPUTS, RESULTS = len(PLAIN_INPUTS), len(PlainRow._fields)
R2, T, N, M, U_R1, U_R2, U_T, U_N, U_M, U_CAL, OUT = (k * PART for k in range(1, INPUTS + 1))
F, BY_N, BY_M, BY_R1, BY_R2, BY_T, BY_C1, BY_C2, U = (OUT + k * PART for k in range(RESULTS))
MARK = OUT + RESULTS * PART
STATE = MARK + PART


def filled(given: Any, moves: Any, limits: Any, wanted: Any, out: Any, marked: Any, first: int, last: int) -> None:
    """The loop: blocks of rows, inputs, rows. `moves` is 0 for a number that holds for all rows; a result is written out where `wanted` is 1."""
    w = np.ones(STATE)
    for k in range(INPUTS):
        if moves[k] == 0:
            value = given[k][0]
            for i in range(BLOCK):
                w[i + k * PART] = value
    for begin in range(first, last, BLOCK):
        many = min(BLOCK, last - begin)
        mark = w[MARK:STATE]
        for i in range(BLOCK):
            mark[i] = 0.0
        for k in range(INPUTS):
            if moves[k] == 1:
                column, part = given[k][begin : begin + many], w[k * PART : k * PART + BLOCK]
                lower, upper, beside, mirror, nan_passes = limits[k, 0], limits[k, 1], limits[k, 2], limits[k, 3], limits[k, 4] == 1.0
                for i in range(many):
                    x = column[i]
                    part[i] = x
                    size = x if x > mirror * x else mirror * x
                    good = ((size >= lower) & (size <= upper)) | (size == beside) | ((x != x) & nan_passes)
                    mark[i] = mark[i] if good else 1.0
                for i in range(AHEAD, AHEAD + many, LINE):
                    fetch_to_read(column, i)
        for i in range(BLOCK):
            a, b, u_a, u_b = w[i], w[i + R2], w[i + U_R1], w[i + U_R2]
            # a plano surface's radius has no u; of a nearly flat one it may not pass a fifth (here a little less: a mark too many does no harm)
            flat = ((abs(a) == np.inf) & (u_a == u_a)) | ((abs(b) == np.inf) & (u_b == u_b))
            w[i + MARK] = 1.0 if flat | (5.001 * u_a > abs(a)) | (5.001 * u_b > abs(b)) else w[i + MARK]
            u_t, u_n, u_m, u_cal = w[i + U_T], w[i + U_N], w[i + U_M], w[i + U_CAL]
            r = plain_row_of(
                a,
                b,
                w[i + T],
                w[i + N],
                w[i + M],
                u_a if u_a == u_a else 0.0,
                u_b if u_b == u_b else 0.0,
                u_t if u_t == u_t else 0.0,
                u_n if u_n == u_n else 0.0,
                u_m if u_m == u_m else 0.0,
                u_cal if u_cal == u_cal else 0.0,
            )
            w[i + F], w[i + BY_N], w[i + BY_M], w[i + U] = r.power_D, r.d_power_d_n_lens, r.d_power_d_n_medium, r.u_power_D
            w[i + BY_R1], w[i + BY_R2], w[i + BY_T] = r.d_power_d_front_radius_mm, r.d_power_d_back_radius_mm, r.d_power_d_center_thickness_mm
            w[i + BY_C1], w[i + BY_C2] = r.d_power_d_front_curvature_per_mm, r.d_power_d_back_curvature_per_mm
        for k in range(RESULTS):
            if wanted[k] == 1:
                result, part = out[k][begin : begin + many], w[OUT + k * PART : OUT + k * PART + BLOCK]
                for i in range(many):
                    result[i] = part[i]
                for i in range(AHEAD, AHEAD + many, LINE):
                    fetch_to_write(result, i)
        here = marked[begin : begin + many]
        for i in range(many):
            here[i] = w[i + MARK] != 0.0


def fill(
    plan: Plan,
    out: dict[str, FloatArray],
    marked: npt.NDArray[np.bool_],
    meanwhile: Callable[[], None],
    on_progress: Callable[[int, int], None] | None,
) -> None:
    """Fill the wanted columns and the marks of all rows; `meanwhile` is done in this thread while others compute."""
    given = tuple(_read_only(np.full(1, value) if isinstance(value, float) else value) for value in plan.given)
    moves = np.array([not isinstance(value, float) for value in plan.given], dtype=np.int64)
    limits = np.array([limits_of(name) for name in PLAIN_INPUTS])
    wanted = np.array([name in plan.wanted for name in PlainRow._fields], dtype=np.int64)
    columns = tuple(out[name] if name in plan.wanted else np.empty(0) for name in PlainRow._fields)
    kernel = compiled(filled)

    def run(first: int) -> int:
        last = min(first + SLICE, plan.size)
        with np.errstate(all="ignore"):  # matters where the compiler is switched off: then this is numpy's arithmetic
            kernel(given, moves, limits, wanted, columns, marked, first, last)
        return last

    run(plan.size)  # no rows: compiles before the threads start
    with ThreadPoolExecutor(cores(None)) as pool:
        slices = pool.map(run, range(0, plan.size, SLICE))
        meanwhile()
        for done in slices:
            if on_progress:
                on_progress(done, plan.size)


def _read_only(column: FloatArray) -> FloatArray:
    """So that the compiler meets one kind of array, whoever owns it: buffers of data frames and files are read-only."""
    view = column.view()
    view.flags.writeable = False
    return view
