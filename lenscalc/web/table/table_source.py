"""Where the table of candidates comes from: a file that was uploaded, or the table on the page; both outlive a visit to another page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import streamlit as st

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.demo import demo_text
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.note import note
from lenscalc.web.table.changed_rows import CHANGED, DEMO, changed_rows, with_changes_said
from lenscalc.web.table.column_words import column_title
from lenscalc.web.table.table_editor import editor, frame_of, further_columns, text_of

if TYPE_CHECKING:
    import pandas as pd

OF_THE_SHEETS = (
    "B, C and E are the lenses of the demo's reading sheets. Their u of the power is smaller here, because a sheet states more: an error that both "
    "radii share, that of the profilometer's scale, and with E that of the swelling too. A row has no column for that."
)
NEEDED = (
    "Every row needs both radii, the centre thickness and an index: either that of the lens in use, or a reading with its wavelength, temperature, "
    "state (dry or hydrated) and basis (air or vacuum); one read elsewhere than at "
    f"{WAVELENGTH_IN_USE_NM:g} nm needs an Abbe number too, one elsewhere than at {TEMPERATURE_IN_USE_DEGC:g} °C the change of index with "
    "temperature, a dry one the shift on hydration. For a verdict a row needs a label, and a u of each of these; every other column may be left out."
)
MOST_NAMED = 8  # rows that a sentence names one by one
BACK, SAVE = "Back to the table on the page", "Save this table, as a file for the command"
UPLOAD, EDITOR, ADDED = "upload_candidates", "candidates_editor", "candidates_added_column"
KINDS = ["csv", "txt", "gz", "zst", "parquet", "xlsx", "xlsm"]
_FILE, _START, _NOW, _TIMES = "candidates_file", "candidates_start", "candidates_now", "candidates_times"
_SEPARATORS = {"found by itself": None, "comma": ",", "semicolon": ";", "tab": "\t"}
_DECIMALS = {"found by itself": None, "point": ".", "comma": ","}


class Table(NamedTuple):
    """A table as a file: its name and bytes, and the signs that the reader had to be told."""

    name: str
    data: bytes
    separator: str | None = None
    decimal: str | None = None

    @property
    def rows(self) -> int:
        """About how many rows, for an estimate of the time: a packed row takes 20 bytes or more."""
        return self.data.count(b"\n") if self.name.lower().endswith((".csv", ".txt")) else len(self.data) // 20

    @property
    def options(self) -> str:
        """The signs as options of the command."""
        told = {"separator": {v: k for k, v in _SEPARATORS.items()}[self.separator], "decimal": {v: k for k, v in _DECIMALS.items()}[self.decimal]}
        return "".join(f" --{option} {word}" for option, word in told.items() if word != "found by itself")


def table_in_use() -> Table:
    """The table of this session; on a first visit that of the demo.

    Raises
    ------
    FileError
        for a table on the page without a row.
    """
    if is_uploaded():
        name, data = st.session_state[_FILE]
        return Table(name, data, _SEPARATORS[_held("separator")], _DECIMALS[_held("decimal")])
    now = st.session_state.get(_NOW)
    return Table(DEMO, (demo_text(DEMO) if now is None else text_of(with_changes_said(now))).encode())


def is_uploaded() -> bool:
    """Whether the table came as a file."""
    return _FILE in st.session_state


def is_demo() -> bool:
    """Whether it is the demo's table, as it came."""
    return not is_uploaded() and is_demos(table_in_use().data)


def is_demos(data: bytes) -> bool:
    """Whether these are the bytes of the demo's table."""
    return data == demo_text(DEMO).encode()


def changes_told() -> str:
    """Which rows of the demo were changed on the page, and what is said of them; empty where none was."""
    now: pd.DataFrame | None = None if is_uploaded() else st.session_state.get(_NOW)
    if now is None or not (rows := changed_rows(now)):
        return ""
    called = now["candidate"].tolist() if "candidate" in now.columns else [""] * len(now)
    names = [as_text(str(called[i] or f"row {i + 1}")) for i in rows[:MOST_NAMED]]
    named = ", ".join(names) + (f" and {len(rows) - MOST_NAMED:,} more" if len(rows) > MOST_NAMED else "")
    return (
        f"Changed on this page: **{named}**. What is computed and saved says of {'it' if len(rows) == 1 else 'them'} “{CHANGED}”, until you write "
        "under *provenance* where the numbers come from."
    )


def ask_for_file() -> Any:
    """The field for a file, and what goes with one; the place where `say_whether_used` says what came of it."""
    st.file_uploader(
        "Load a table (CSV, also packed; Parquet; Excel)", type=KINDS, key=UPLOAD, on_change=_uploaded,
        help="Up to 50 MB and a million rows. A longer table goes by the command: lenscalc batch TABLE RESULTS/ --resume",
    )  # fmt: skip
    place = st.empty()
    with st.expander("What a table needs"):
        note(f"One row a candidate, one column a quantity; a bad row keeps its place. {NEEDED}")
    if not is_uploaded():
        return place
    name: str = st.session_state[_FILE][0]
    st.button(BACK, on_click=_drop)
    if name.lower().endswith((".parquet", ".xlsx", ".xlsm")):
        return place
    with st.expander("Signs of this file"):
        choice_field("What parts the columns", list(_SEPARATORS), key="separator", among="list")
        choice_field("The decimal sign", list(_DECIMALS), key="decimal", among="list")
    return place


def say_whether_used(place: Any, *, refused: bool) -> None:
    """Whether the file that came is what the page shows; one that was refused, or could not be computed, is not."""
    if not is_uploaded():
        return
    name, data = st.session_state[_FILE]
    told = f"**{as_text(name)}**, {_size(len(data))}."
    place.markdown(f"Not in use: {told} What is in its way is said in red." if refused else f"In use: {told}")


def edit_on_page() -> None:
    """The table to write in. An editor is never fed what came out of it under the same key: a source of its own is laid down when it appears."""
    key = f"{EDITOR}_{st.session_state.setdefault(_TIMES, 0)}"
    if key not in st.session_state:  # a first visit, a return from another page, or another table
        st.session_state[_START] = st.session_state.get(_NOW, frame_of(demo_text(DEMO)))
    start: pd.DataFrame = st.session_state[_START]
    st.session_state[_NOW] = editor(start, key)
    note(NEEDED)
    note(
        "Write in the cells, or copy rows in a spreadsheet and paste them where they belong; decimal points and decimal "
        "commas are both read, but not both in one number. "
        "The last, empty row adds a candidate; a flat surface is *plano*. Point at the head of a column for its name and limits."
    )
    left, middle, right = st.columns(3, vertical_alignment="bottom")
    with left:
        st.selectbox(
            "Add a column", further_columns(start), index=None, format_func=column_title, key=ADDED, on_change=_add, placeholder="choose one"
        )
    with middle:
        st.button("Start with an empty table", on_click=_restart, args=(True,), width="stretch")
    with right:
        st.button("Start from the invented ones", on_click=_restart, args=(False,), width="stretch")


def _uploaded() -> None:
    file = st.session_state.get(UPLOAD)
    if file is None:
        st.session_state.pop(_FILE, None)
    else:
        st.session_state[_FILE] = (uploaded_name(file.name), file.getvalue())


def _drop() -> None:
    st.session_state.pop(_FILE, None)


def _add() -> None:
    name = st.session_state.get(ADDED)
    if name:
        _put(st.session_state[_NOW].assign(**{name: ""}))


def _restart(empty: bool) -> None:
    frame = frame_of(demo_text(DEMO))
    _put(frame.iloc[:0] if empty else frame)


def _put(frame: pd.DataFrame) -> None:
    st.session_state[_NOW] = frame
    st.session_state[_TIMES] += 1


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 1e5 else f"{count / 1e3:.1f} kB"


def _held(key: str) -> str:
    return str(st.session_state.get(key) or "found by itself")
