"""A large plain table evaluated: the compiled loop fills the columns, and the rows that it marks go the ordinary way once more."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.chain.plan import Plan

MARKED_AT_ONCE = 65_536


class Large(NamedTuple):
    """Columns, and the texts of the rows that have any."""

    columns: dict[str, Any]
    problems: Any
    warnings: Any
    warned: dict[int, Sequence[str]]
    spoken: Any


def evaluate_large(plan: Plan, again: Callable[[dict[str, Any]], Any], into: Any, on_progress: Callable[[int, int], None] | None) -> Large:
    """Evaluate by the compiled loop; `again` is the ordinary evaluation, of a table of some rows; `into` an earlier result whose arrays may go."""
    from lenscalc.chain.kernels import fill  # numba

    columns = {name: _array(into and into.columns.get(name), plan.size, np.float64) for name in plan.wanted}
    problems, warnings = (_array(into and into.problems, plan.size, object), _array(into and into.warnings, plan.size, object))
    used_again = into is not None and into.spoken is not None and problems is into.problems and warnings is into.warnings
    marked = np.empty(plan.size, dtype=bool)

    def no_words() -> None:
        for texts in (problems, warnings):
            if used_again:  # its other rows are empty already
                texts[into.spoken] = ""
            else:
                texts.fill("")

    fill(plan, columns, marked, no_words, on_progress)
    warned: dict[int, Sequence[str]] = {}
    rows = np.flatnonzero(marked)
    for begin in range(0, len(rows), MARKED_AT_ONCE):
        these = rows[begin : begin + MARKED_AT_ONCE]
        part = again({name: np.full(len(these), value) if isinstance(value, float) else value[these] for name, value in plan.told.items()})
        for name, column in columns.items():
            column[these] = part.columns[name]
        problems[these], warnings[these] = part.problems, part.warnings
        warned |= {int(these[row]): sentences for row, sentences in part.warned.items()}
    return Large(columns, problems, warnings, warned, rows)


def _array(given: Any, size: int, dtype: Any) -> Any:
    fits = isinstance(given, np.ndarray) and given.shape == (size,) and given.dtype == dtype and given.flags.c_contiguous and given.flags.writeable
    return given if fits else np.empty(size, dtype)
