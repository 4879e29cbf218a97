"""The sheet that a session holds: loading one, and fields that write into it."""

from __future__ import annotations

import tomllib
from typing import Any, Literal

import streamlit as st

from lenscalc.demo import FIRST_SHEET, demo_text, demo_titles
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_text
from lenscalc.web.reading.edited_table import forget_edits
from lenscalc.web.reading.sheet_tables import Path, in_use

TABLES = "sheet_tables"
REFUSED = "sheet_refused"
LOADED = "sheet_as_loaded"
NAME, UPLOADED = "sheet_loaded_from", "the sheet that was uploaded"
KEPT: Literal["session"] = "session"
_REFUSED_FOLDS = "folds of the sheet in which something is refused"
TURN = "how many sheets were taken into the session"
_FIELD = "sheet: "


def tables() -> dict[str, Any]:
    """The tables of this session; on the first visit those of the demo sheet."""
    if TABLES not in st.session_state:
        load(demo_text(FIRST_SHEET), FIRST_SHEET)
    held: dict[str, Any] = st.session_state[TABLES]
    return held


def load(text: str, name: str) -> None:
    """Take a sheet into the session, or note why it is refused; the fields follow at the next drawing."""
    try:
        sheet_from_text(text, name)
    except SheetError as error:
        st.session_state[REFUSED] = str(error)
        return
    st.session_state[REFUSED] = ""
    st.session_state[TABLES] = tomllib.loads(text)
    st.session_state[LOADED] = in_use(tomllib.loads(text))
    for key in [k for k in st.session_state if str(k).startswith(_FIELD)]:
        del st.session_state[key]
    st.session_state[TURN] = st.session_state.get(TURN, 0) + 1
    st.session_state.pop(_REFUSED_FOLDS, None)
    forget_edits()


def refused_folds() -> set[str]:
    """The folded parts of the form in which something was refused at their last drawing."""
    held: set[str] = st.session_state.setdefault(_REFUSED_FOLDS, set())
    return held


def is_changed() -> bool:
    """Whether a field has been changed since the sheet was loaded."""
    return in_use(tables()) != st.session_state.get(LOADED)


def begun_from() -> str:
    """The demo's sheet that was loaded; empty where it is somebody's own."""
    name = str(st.session_state.get(NAME, FIRST_SHEET))
    return name if name in demo_titles() else ""


def load_bytes(data: bytes, name: str) -> None:
    """Take an uploaded sheet."""
    try:
        load(data.decode("utf-8-sig"), name)
    except UnicodeDecodeError:
        st.session_state[REFUSED] = f"{name}: not UTF-8 text; save the sheet as UTF-8"


def key_of(path: Path) -> str:
    """The key of a field in the session, another for every sheet: else a browser that has not heard of the new one fills in the old one's values.

    >>> key_of(("lens", "front_radius_mm", "value"))
    'sheet: 0 lens.front_radius_mm.value'
    """
    return f"{_FIELD}{st.session_state.get(TURN, 0)} " + ".".join(str(step) for step in path)


def seeded(path: Path, value: Any) -> str:
    """The key of a field, with a first value in the session unless it holds one.

    The field must be told `persist_state=KEPT`: then a browser that never heard of the first value, because its user clicked while the page was
    still being drawn, is told it again. Else it would show the field as empty and at its next word empty the sheet.
    """
    key = key_of(path)
    if key not in st.session_state:
        st.session_state[key] = value
    return key
