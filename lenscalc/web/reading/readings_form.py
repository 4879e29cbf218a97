"""What was read: the table of readings, and how each line and temperature was read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from lenscalc.errors import InputError
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.reading.edited_table import edited_table, set_rows
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.given_way import given_way
from lenscalc.web.reading.pasted_end import Rows, without_pasted_end
from lenscalc.web.reading.readings_table import ALWAYS, COLUMNS, PLACE, Readings, in_use_columns, laid_out_rows, places, readings_of_rows, rows_of
from lenscalc.web.reading.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.reading.sheet_fields import field
from lenscalc.web.reading.sheet_state import KEPT, LOADED, begun_from, key_of, seeded, tables
from lenscalc.web.reading.sheet_tables import found, put
from lenscalc.web.reading.sheet_words import READING_HEADS, WORDS
from lenscalc.web.shown.note import note

READINGS, HOW = "readings", "how each was read"
HOW_LABEL = "Their u, and more columns"
HOW_KEYS = ("u_temperature_degC", "u_wavelength_nm", "u_repeatability", "dof_repeatability", "u_session", "dof_session")
IN_SHORT = {"of": "of", "u_temperature_degC": "u of °C", "u_wavelength_nm": "u of line, nm"}  # so that what always stands has room beside the answers
NARROW = {"temperature_degC": "T, °C"}  # so that the index, which is what is filled in, is in sight on a phone
EMPTY, BACK = "Take all out", "Put back"
GAVE_WAY = ("reading", "gave way")  # the demo's readings in place of which others were pasted
NONE_YET = "a reading is missing: click an index cell, and paste or write"
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
    held = rows_of(before)
    key = seeded(("reading", "columns"), len(in_use_columns(held)) > len(ALWAYS))
    more = bool(st.session_state[key])
    hint = st.empty()
    table = st.container()
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        field("specimen", "state")
    with right:
        st.button(EMPTY, on_click=_set, args=([{name: row[name] for name in PLACE} for row in held[:1]],))
    with table:
        mended = partial(_mended, shown=COLUMNS if more else ALWAYS)
        rows = edited_table(READINGS, lambda: held, READING_HEADS | NARROW, shown=COLUMNS if more else ALWAYS, mended=mended)
        gave_way = st.session_state.get(key_of(GAVE_WAY))
        if gave_way:
            told, back = st.columns((3, 1), vertical_alignment="center")
            with told:
                note(f"The demo's other readings ({', '.join(row['n'] for row in gave_way)}) gave way to yours.")
            back.button(BACK, on_click=_set, args=([*rows, *gave_way],), width="stretch")
        place_below("n_reading", READINGS)
    typed = readings_of_rows(rows, before)
    if not typed.readings:
        say_below("n_reading", NONE_YET, is_wrong=False)
        raise InputError(NONE_YET, quantity="n_reading")
    put(tables(), ("reading",), typed.readings)
    if begun_from() and _n_of(typed.readings) == _n_of(st.session_state[LOADED]["reading"]):
        with hint:
            note("Paste yours at the first index: the demo's give way.")
    if typed.remarks:
        note(" ".join(typed.remarks))
    folded(HOW_LABEL, partial(_how_each_was_read, key))


def _mended(before: Rows, after: Rows, *, shown: Sequence[str]) -> Rows | None:
    """What was pasted, laid out in whole rows; of the demo's readings those that do not give way to it."""
    laid_out = laid_out_rows(after, shown) or without_pasted_end(before, after)
    examples = _n_of(st.session_state[LOADED]["reading"]) if begun_from() else []
    found = given_way(before, laid_out or after, examples)
    if found is None:
        return laid_out
    if found.taken_out:
        st.session_state[key_of(GAVE_WAY)] = found.taken_out
    return found.rows


def _n_of(readings: Readings) -> list[float]:
    """All indices that were read, in their order."""
    return [n for r in readings for n in r["n"]]


def _set(rows: Sequence[Mapping[str, Any]]) -> None:
    """Other readings, and nothing of what gave way to those before; where all are taken out a row with line and temperature of the first is left."""
    st.session_state.pop(key_of(GAVE_WAY), None)
    set_rows(READINGS, rows)


def _how_each_was_read(key_of_more: str) -> None:
    note(
        "One row a reading, each set down anew. To take some out, tick them and press Delete. Line and temperature may stand empty: those of the row "
        "above hold."
    )
    st.checkbox("More columns", key=key_of_more, persist_state=KEPT, help="For mounting, session, operator, minutes and direction.")
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
