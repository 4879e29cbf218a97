"""Looking at a sweep: a sentence, one picture over one or two of the swept quantities, the first rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import streamlit as st

from lenscalc.charts.sweep_curves import MOST_LINES, MOST_POINTS, sweep_curves, sweep_points
from lenscalc.quantities import is_quantity, plain, quantity
from lenscalc.web.fields.beside import note_drawn
from lenscalc.web.fields.choice_field import choice_field, switch_field
from lenscalc.web.fields.steps_field import steps_field
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture
from lenscalc.web.sweep.sweep_words import which_way
from lenscalc.web.table.all_columns import all_columns
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import columns_of, rows_of, spread, varying_numbers
from lenscalc.web.table.column_words import column_title, column_words, with_unit

SHOWN = 200


def look_at_sweep(job: Job, swept: Sequence[str], cube: Sequence[str]) -> None:
    """The sentence, the picture and the first rows; `swept` are the quantities that vary in steps or as a list, `cube` those of the hypercube."""
    note_drawn("sweep_result", "sweep_over", "sweep_by", "sweep_all_columns", *(f"held_{n}" for n in swept))
    varying = varying_numbers(job.result)
    over = [n for n in (*swept, *cube) if n in varying]
    results = [n for n in varying if n not in over]
    if not over or not results:
        st.markdown("No result differs from design to design." if job.rows > job.problems else "No design could be computed.")
        _first_rows(job, [*swept, *cube])
        return
    left, right = st.columns(2)
    with left:
        y = _one("What to look at", results, "sweep_result", "power_D")
    with right:
        x = _one("Over", over, "sweep_over", over[0])
    others = [n for n in over if n != x and n in swept]
    found = rows_of(job.result, [y, *over])
    _range(found, y, over)
    if cube:
        _points(found, x, y, over)
    else:
        _lines(found, x, y, others)
    _first_rows(job, [*swept, *cube, y])


def _one(words: str, names: Sequence[str], key: str, first: str) -> str:
    return choice_field(words, list(names), key=key, among="list", shown=column_title, first=first if first in names else None)


def _range(found: dict[str, Any], y: str, over: Sequence[str]) -> None:
    values = found[y]
    there = np.flatnonzero(np.isfinite(values))
    if not there.size:
        st.markdown("No design has it.")
        return
    least, most = there[np.argmin(values[there])], there[np.argmax(values[there])]
    decimals = quantity(y).decimals if is_quantity(y) else 3

    def where(row: int) -> str:
        return ", ".join(f"{column_words(n)} {with_unit(n, plain(float(f'{found[n][row]:.6g}')))}" for n in over)

    st.markdown(
        f"The **{column_words(y)}** runs from **{with_unit(y, signed(float(values[least]), decimals))}** ({where(least)}) to "
        f"**{with_unit(y, signed(float(values[most]), decimals))}** ({where(most)})."
    )


def _points(found: dict[str, Any], x: str, y: str, over: Sequence[str]) -> None:
    rows = np.flatnonzero(np.isfinite(found[x]) & np.isfinite(found[y]))
    shown = rows[spread(len(rows), MOST_POINTS)]
    if not len(shown):
        return
    told = "A point a design." + (f" {len(shown):,} of {len(rows):,} are drawn, evenly spread." if len(shown) < len(rows) else "")
    more = " What the other quantities do besides makes the spread." if len(over) > 1 else ""
    picture(sweep_points(found[x][shown], found[y][shown], x_title=column_title(x), y_title=column_title(y), ground=ground()), told + more)


def _lines(found: dict[str, Any], x: str, y: str, others: Sequence[str]) -> None:
    rows = np.isfinite(found[x]) & np.isfinite(found[y])
    by = others[0] if others else None
    if len(others) > 1:
        by = _one("A line for each", others, "sweep_by", others[0])
        for name in others:
            if name != by:
                values = np.unique(found[name]).tolist()
                rows &= found[name] == steps_field(f"{column_title(name)} held at", values, key=f"held_{name}")
    told = f"The {column_words(y)} over the {column_words(x)}."
    if by is not None:
        values = np.unique(found[by][rows & np.isfinite(found[by])])
        if len(values) > MOST_LINES:
            told += f" {MOST_LINES} of {len(values)} values are drawn, evenly spread."
            values = values[spread(len(values), MOST_LINES)]
        told += f" A line for each {column_words(by)}, written at its end."
        rows &= np.isin(found[by], values)
    if not rows.any():
        st.markdown("No design has both; choose another.")
        return
    if by is None and int(rows.sum()) > MOST_POINTS:
        note(f"The first {MOST_POINTS:,} are drawn.")
        rows &= np.cumsum(rows) <= MOST_POINTS
    told = f"{which_way({n: found[n][rows] for n in (x, y, *([by] if by else []))}, x, y, by)} {told}".strip()
    chart = sweep_curves(
        found[x][rows], found[y][rows], None if by is None else found[by][rows], x_title=column_title(x), y_title=column_title(y),
        by_title="" if by is None else column_title(by), ground=ground(),
    )  # fmt: skip
    picture(chart, told)


def _first_rows(job: Job, names: Sequence[str]) -> None:
    there = columns_of(job.result)
    first = np.arange(min(job.rows, SHOWN))
    order = [n for n in dict.fromkeys([*names, "power_D", "u_power_D", "problem", "warning", *there]) if n in there]
    words = f"The first {len(first)} designs, all columns" if job.rows > SHOWN else "The designs, all columns"
    if switch_field(words, key="sweep_all_columns"):
        all_columns(job.result, order, first)
