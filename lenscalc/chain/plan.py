"""Which way a table goes: plain numpy, or for a large plain table the compiled loop. Decided once a run, by its size and by what is asked."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, nan
from typing import Any

import numpy as np

from lenscalc.chain.steps import PlainRow
from lenscalc.chain.table import LABELS
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, as_number, quantity

# Rows from which the compiled loop pays: with the compiling still to do, and once it has been done.
# Importing and compiling take 2 to 3 s; the ordinary way 0.2 (in blocks) to 0.5 µs a row (whole), the loop 0.01.
LARGE, LARGE_ONCE_COMPILED = 5_000_000, 20_000
# The loop's inputs in the order of `plain_row_of`; what a table may leave out, and what then stands in its place.
PLAIN_INPUTS = (
    "front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", "n_medium",
    "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "u_n_lens", "u_n_medium", "u_calibration",
)  # fmt: skip
WITHOUT = {"n_medium": N_MEDIUM_IN_USE} | {name: nan for name in PLAIN_INPUTS if name.startswith("u_")}


@dataclass(frozen=True, eq=False)
class Plan:
    """A large plain table, ready for the compiled loop: its inputs (an array, or a number that holds for every row), and the columns asked for."""

    size: int
    told: dict[str, FloatArray | float]
    wanted: tuple[str, ...]

    @property
    def given(self) -> tuple[FloatArray | float, ...]:
        """The inputs in the order of the loop, with what stands in the place of those that nobody told."""
        return tuple((WITHOUT | self.told)[name] for name in PLAIN_INPUTS)


def plan_of(table: Any, compute: Sequence[str], constants: Mapping[str, Any] | None, total_rows: int | None) -> Plan | None:
    """The plan of a table that the compiled loop can do, None for any other; whatever is wrong with a whole table is left to the ordinary way.

    `total_rows` is the length of the run of which this table is a block.
    """
    if not compute or not set(compute) <= set(PlainRow._fields):
        return None
    first = next(iter(table), None)
    if first is None:
        return None
    names = [str(name) for name in table]
    at_least = LARGE_ONCE_COMPILED if "lenscalc.chain.kernels" in sys.modules else LARGE
    try:
        if max(total_rows or 0, max(np.size(table[name]) for name in table)) < at_least:
            return None
    except ValueError:  # lists of different lengths in a column
        return None
    told: dict[str, FloatArray | float] = {}
    for name, value in [*((str(name), table[name]) for name in table), *(constants or {}).items()]:
        if name in PLAIN_INPUTS and name not in told:
            number = _plain(name, value)
            if number is None:
                return None
            told[name] = number
        elif name not in names or not (name in LABELS or name.startswith("note_")):
            return None
    sizes = {np.size(table[name]) for name in table if np.ndim(table[name]) > 0}
    if len(sizes) != 1 or not set(PLAIN_INPUTS) <= {*told, *WITHOUT} or not all(_usual(n, v) for n, v in told.items()):
        return None
    return Plan(sizes.pop(), told, tuple(dict.fromkeys(compute)))


def _plain(name: str, value: Any) -> FloatArray | float | None:
    if isinstance(value, str):
        try:
            return float(as_number(name, value))
        except InputError:
            return None
    array = np.asarray(value)
    if array.dtype.kind not in "fiu" or array.dtype == np.float16 or array.ndim > 1 or np.ma.isMaskedArray(value):
        return None
    return np.require(array, np.float64, ["C", "A"]) if array.ndim else float(array)


def _usual(name: str, value: FloatArray | float) -> bool:
    """Whether a number for all rows is beyond remark; of a column the loop says it row by row."""
    if not isinstance(value, float):
        return True
    lower, upper, beside, mirror, _ = limits_of(name)
    size = max(value, mirror * value)
    return lower <= size <= upper or size == beside


def limits_of(name: str) -> tuple[float, float, float, float, float]:
    """What passes without a word: from, to, one value beside; then −1 where they hold for the magnitude, else 1; 1 where nan passes, else 0."""
    q = quantity(name)
    beside = inf if q.infinite else 0.0 if q.lower == 0 else nan
    return max(q.lower, q.usual_lower), min(q.upper, q.usual_upper), beside, -1.0 if q.by_magnitude else 1.0, float(name.startswith("u_"))
