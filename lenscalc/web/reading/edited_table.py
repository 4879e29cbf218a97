"""A table that is edited on a page. It is never fed its own output under one key, or edits would be lost or made twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal

import pandas as pd
import streamlit as st

from lenscalc.web.reading.pasted_end import Rows, without_pasted_end

MANY = 100  # rows added one by one at every drawing take their time; beyond so many they become the ground of a table of its own
_PREFIX = "sheet table: "
Mended = Callable[[Rows, Rows], Rows | None]


def edited_table(
    name: str, start: Callable[[], Sequence[Mapping[str, str]]], columns: Mapping[str, Any], *, shown: Sequence[str] | None = None,
    version: object = 0, rows: Literal["fixed", "dynamic"] = "dynamic", disabled: Sequence[str] = (), mended: Mended = without_pasted_end,
) -> list[dict[str, Any]]:  # fmt: skip
    """The rows as they stand after the last edit; cells are text, so that a decimal comma can be pasted.

    Parameters
    ----------
    name : str
        of the table in this session.
    start : callable
        gives the rows on the first visit, and whenever `version` has changed.
    columns : mapping of names to labels or column configurations
    shown : names, optional
        the columns that are shown, in their order.
    version : object
        whatever the rows stand for, beside what is edited in them.
    mended : callable
        makes of the rows before an edit and after it those that stand from then on; None where the edit stands as it is.
    """
    base = f"{_PREFIX}{name}"
    held = st.session_state.get(base)
    if held is None or held["version"] != version:
        # objects: a row is added in a fifth of the time that a column of pandas' own strings takes
        frame = pd.DataFrame([dict(row) for row in start()], columns=list(columns), dtype=object)
        held = {"version": version, "source": frame, "kept": frame, "shown": shown, "turn": held["turn"] + 1 if held else 0}
        st.session_state[base] = held
    key = f"{base} {held['turn']}"
    grown = len(held["kept"]) > len(held["source"]) + MANY
    if held["shown"] != shown or grown or key not in st.session_state:  # or back from another page: what was kept is where it goes on
        held["turn"] += held["shown"] != shown or grown
        held |= {"source": held["kept"], "shown": shown}
        key = f"{base} {held['turn']}"
    heads = {column: st.column_config.TextColumn(head, default="") if isinstance(head, str) else head for column, head in columns.items()}
    edited = st.data_editor(
        held["source"], key=key, num_rows=rows, column_config=heads, column_order=shown, disabled=list(disabled), hide_index=True,
        width="stretch",
    )  # fmt: skip
    before, held["kept"] = held["kept"], edited.reset_index(drop=True)
    now = _records(edited)
    if (whole := mended(_records(before), now)) is not None:
        set_rows(name, whole)
        st.rerun()
    return now


def set_rows(name: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Other rows for the table, at the next drawing; what was edited in the old ones is in them already."""
    held = st.session_state[f"{_PREFIX}{name}"]
    frame = pd.DataFrame([dict(row) for row in rows], columns=list(held["source"].columns), dtype=object)
    held |= {"source": frame, "kept": frame, "turn": held["turn"] + 1}


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(column): cell for column, cell in row.items()} for row in frame.astype(object).where(frame.notna(), None).to_dict("records")]


def forget_edits() -> None:
    """Start all tables anew at the next drawing; their turn goes on, so that no edit of before is taken for a new one's."""
    for key in [k for k in st.session_state if str(k).startswith(_PREFIX)]:
        held = st.session_state[key]
        if isinstance(held, dict) and "source" in held:
            held["version"] = object()
