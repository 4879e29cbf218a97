"""What was read: the table of readings, and how each line and temperature was read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from lenscalc.errors import InputError
from lenscalc.web.reading.edited_table import edited_table, set_rows
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.readings_table import ALWAYS, COLUMNS, PLACE, Row, in_use_columns, laid_out_rows, places, readings_of_rows, rows_of
from lenscalc.web.reading.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.reading.sheet_fields import field
from lenscalc.web.reading.sheet_state import KEPT, seeded, tables
from lenscalc.web.reading.sheet_tables import found, put
from lenscalc.web.reading.sheet_words import READING_HEADS, WORDS
from lenscalc.web.shown.note import note

READINGS, HOW = "readings", "how each was read"
HOW_LABEL = "How well each was read (u)"
HOW_KEYS = ("u_temperature_degC", "u_wavelength_nm", "u_repeatability", "dof_repeatability", "u_session", "dof_session")
IN_SHORT = {"of": "of", "u_temperature_degC": "u of °C", "u_wavelength_nm": "u of line, nm"}  # so that what always stands has room beside the answers
NARROW = {"temperature_degC": "T, °C"}  # so that the index, which is what is filled in, is in sight on a phone
EMPTY = "Take all readings out, to paste others"
SHORT = 6  # lists of readings that are counted one by one
LETTER_px, SIGN_px = 7, 46  # of a head; beside it the pencil of an editable column


def readings_form() -> None:
    """The readings, one a row, and what holds for each line and temperature.

    Raises
    ------
    InputError
        naming the row, for what is no number.
    """
    before = found(tables(), ("reading",)) or []
    table = st.container()
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        field("specimen", "state")
    held = rows_of(before)
    key = seeded(("reading", "columns"), len(in_use_columns(held)) > len(ALWAYS))
    with right:
        more = st.checkbox("More columns", key=key, persist_state=KEPT, help="For mounting, session, operator, minutes and direction.")
    with table:
        rows = edited_table(READINGS, lambda: held, READING_HEADS | NARROW, shown=COLUMNS if more else ALWAYS)
    if (laid_out := laid_out_rows(rows, COLUMNS if more else ALWAYS)) is not None:
        set_rows(READINGS, laid_out)
        st.rerun()
    table.button(EMPTY, on_click=_take_all_out, args=(held[:1],))
    typed = readings_of_rows(rows, before)
    if not typed.readings:
        raise InputError("a reading is missing: click an index cell, and paste or write", quantity="n_reading")
    put(tables(), ("reading",), typed.readings)
    folded(HOW_LABEL, _how_each_was_read)
    note(
        "One row a reading, each set down anew. To take some out, tick them and press Delete. Line and temperature may stand empty: those of the row "
        f"above hold. {' '.join(typed.remarks)}"
    )


def _take_all_out(first: list[Row]) -> None:
    """One row is left, with the line and temperature of the first and no index, so that indices alone can be pasted there."""
    set_rows(READINGS, [{name: row[name] for name in PLACE} for row in first])


def _how_each_was_read() -> None:
    readings = tables()["reading"]
    named = places(readings)
    held = [{"of": name, **{key: row[key] for key in HOW_KEYS}} for name, row in zip(named, rows_of_tables(readings, "reading"), strict=True)]
    heads = {key: _head(IN_SHORT.get(key) or WORDS[f"reading.{key}"].label, named if key == "of" else ()) for key in ("of", *HOW_KEYS)}
    one = min(len(r["n"]) for r in readings) < 2 or any(row["u_repeatability"] for row in held)
    shown = ("of", *(HOW_KEYS if one else HOW_KEYS[:2]))
    rows = edited_table(HOW, lambda: held, heads, shown=shown, version=tuple(named), rows="fixed", disabled=["of"])
    counts = ", ".join(str(len(r["n"])) for r in readings) if len(readings) <= SHORT else "several"
    note(f"A row stands for all readings of one line, temperature and direction (here {counts}): what is said in it holds for each of them.")
    for r, row in zip(readings, rows, strict=True):
        said = next(iter(tables_of_rows([{key: row[key] for key in HOW_KEYS}], "reading")), {})
        for key in HOW_KEYS:
            put(r, (key,), said.get(key))


def _head(label: str, cells: Sequence[str] = ()) -> Any:
    """A column that is as wide as its head, or as its cells."""
    return st.column_config.TextColumn(label, width=max(SIGN_px + LETTER_px * len(label), *(20 + LETTER_px * len(cell) for cell in cells), 0))
