"""Looking at a table of results: one picture over two of its columns, and below it the rows that were drawn around in it."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.batch.ranked import NAMES
from lenscalc.charts.candidates_scatter import MOST, SELECTION, candidates_scatter
from lenscalc.charts.signs import legend
from lenscalc.web.fields.beside import note_drawn
from lenscalc.web.fields.choice_field import choice_field, switch_field
from lenscalc.web.shown.as_text import plain_table
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground
from lenscalc.web.table.all_columns import all_columns
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import (
    Points,
    columns_of,
    in_every_row,
    names_and_kinds,
    points_of,
    rows_of,
    spread,
    varying_numbers,
    within_rectangle,
)
from lenscalc.web.table.candidates_table import SHORT, asked_besides, in_short
from lenscalc.web.table.column_words import column_title
from lenscalc.web.table.table_wanted import ON_DEMAND

SHOWN = 200
READ_AS_A_WHOLE = 25  # rows; a longer table scrolls in a frame of its own
SIDE_BY_SIDE = 4  # columns of long titles; more of them scroll too
PICTURE = "candidates_picture"


def look_at(job: Job) -> None:
    """The picture and the table."""
    drawn = _picture(job)
    note_drawn("only_problems", "all_columns")  # the address may name them where nothing is drawn of them
    only_bad = bool(job.problems) and switch_field("Only the rows with a problem", key="only_problems")
    rows = np.arange(job.rows) if drawn is None else drawn
    if only_bad:
        rows = np.flatnonzero(rows_of(job.result, ["problem"])["problem"] != "")
    _table(job, rows, drawn is not None and not only_bad)


def _picture(job: Job) -> Any:
    """The picture; the rows that were drawn around, None where nobody drew."""
    names = varying_numbers(job.result)
    if len(names) < 2:
        return None
    st.header("What goes with what?")
    left, right = st.columns(2)
    with left:
        x = _axis("Across", names, "n_lens", 1)
    with right:
        y = _axis("Upwards", names, "power_D", 0)
    points = points_of(job.result, x, y)
    if not len(points.rows):
        st.markdown("No row has both; choose another.")
        return None
    shown = spread(len(points.rows), MOST)
    called, kinds, all_kinds = names_and_kinds(job.result, points.rows[shown])
    chart = candidates_scatter(
        [name[:24] for name in called], points.x[shown], points.y[shown], kinds, x_title=column_title(x), y_title=column_title(y),
        all_kinds=all_kinds, ground=ground(),
    )  # fmt: skip
    specification = chart.specification() | {"datasets": dict(chart.tables)}
    event: Any = st.vega_lite_chart(
        specification, theme=None, width="stretch", alt=chart.description, key=f"{PICTURE} {x} {y}", on_select="rerun", selection_mode=[SELECTION]
    )
    note(_message(job, points, len(shown), all_kinds))
    return within_rectangle(points, event.selection.get(SELECTION))


def _axis(words: str, names: list[str], first: str, otherwise: int) -> str:
    start = names.index(first) if first in names else min(otherwise, len(names) - 1)
    return choice_field(words, names, key=f"candidates_{words.lower()}", among="list", shown=column_title, first=names[start])


def _message(job: Job, points: Points, shown: int, all_kinds: tuple[str, ...]) -> str:
    told = [f"{legend(all_kinds)}."] if len(all_kinds) > 1 else []
    told.append("Draw a rectangle in the picture: the table below then shows what lies in it. A double click takes it away.")
    if shown < len(points.rows):
        told.append(f"{shown:,} of {len(points.rows):,} rows are drawn, evenly spread over the file; the rectangle takes all of them.")
    without = [f"{job.problems:,} that could not be computed"] if job.problems else []
    without += [f"{points.missing:,} for want of a value"] if points.missing else []
    if without:
        told.append(f"Not drawn of {job.rows:,} rows: {', '.join(without)}.")
    return " ".join(told)


def _table(job: Job, rows: Any, chosen: bool) -> None:
    there = columns_of(job.result)
    first = rows[:SHOWN]
    if chosen:
        st.markdown(f"**{len(rows):,} of {job.rows:,} rows** lie in the rectangle.")
    if len(rows) > SHOWN:
        st.markdown(f"The first {SHOWN} of them are shown; the file that you take away holds every row of the table.")
    if not len(first):
        return
    besides = [n for n in job.settings["compute"] if n in there and n in ON_DEMAND]
    found = rows_of(job.result, [n for n in (*NAMES, *SHORT, *besides) if n in there], first)
    found["row_name"] = np.array([f"row {i + 1}" for i in first], dtype=object)
    short = in_short(found, in_every_row(job.result) if job.problems == job.rows else ())
    if len(short) <= READ_AS_A_WHOLE:
        st.table(plain_table(short))
    else:
        st.dataframe(short)
    if besides:
        st.markdown("And what was asked besides:")
        more = asked_besides(found, besides)
        if len(more) <= READ_AS_A_WHOLE and len(besides) <= SIDE_BY_SIDE:
            st.table(plain_table(more))
        else:
            st.dataframe(more)
    if switch_field("All columns of these rows", key="all_columns"):
        named = next((n for n in NAMES if n in there), None)
        order = [*([named] if named else []), *(n for n in SHORT if n in there), *there]
        all_columns(job.result, order, first)
