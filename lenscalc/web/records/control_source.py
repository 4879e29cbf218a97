"""Where the series of a control chart comes from: a file, what was pasted, the demo, or the records of the lab."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import streamlit as st

from lenscalc.conditions import SAME_LINE_NM
from lenscalc.control import Series, series_from_text
from lenscalc.control.advice import Watched
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.errors import FileError, InputError, LenscalcError
from lenscalc.web.fields.beside import note_drawn
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.records.kept_store import is_there, kept_store
from lenscalc.web.shown.as_text import as_text

if TYPE_CHECKING:
    from lenscalc.records import SeriesPoint

FILE, RECORDS = "a file, or the demo", "the records"
INDEX, WATER = "a material's index", "an instrument's water checks"


class Source(NamedTuple):
    """A series, by whether single readings are wanted as groups; whose values they are, if that is known; a name for the fields that hang on it."""

    series: Callable[[bool], Series]
    of: Watched | None
    key: str


def series_source() -> Source:
    """The fields that choose a series. The records are offered where something has been kept."""
    try:
        offered = is_there()
    except LenscalcError as error:  # a file can be charted all the same
        st.info(f"The records are not offered: {as_text(str(error))}", icon=":material/info:")
        offered = False
    if not offered:
        return _of_file()
    chosen = choice_field("Where does the series come from?", (FILE, RECORDS), key="series_from", horizontal=True)
    note_drawn("series_of", "series_material", "series_instrument", "series_line", "baseline_own", "baseline_demo")
    return _of_records() if chosen == RECORDS else _of_file()


def _of_records() -> Source:
    from lenscalc.records.to_chart import lines_of, series_of  # a database's library: not on the way of the other pages

    what = choice_field("Of what?", (INDEX, WATER), key="series_of", horizontal=True)
    with kept_store() as store:
        names, place, head = store.materials() if what == INDEX else store.instruments(), store.place, store.head()
    if not names:
        raise InputError("the records hold nothing to chart yet: keep a reading first", quantity="material")
    of = "material" if what == INDEX else "instrument"
    name = choice_field(f"Which {of}?", names, key=f"series_{of}", among="list")
    points = _points(place, head, what, name)
    if not points:
        raise InputError(f"no record holds a water check of {name}: a sheet states it under [calibration]", quantity="instrument")
    lines = lines_of(points)
    if what == WATER and len(lines) > 1:
        by_words = {f"{nm:g}": nm for nm in lines}
        line = by_words[choice_field("At which line, nm?", list(by_words), key="series_line", among="list")]
        points = tuple(p for p in points if abs(p.wavelength_nm - line) <= SAME_LINE_NM)
    st.markdown(f"{len(points)} value(s) from the records; what signals is named with its lot and its record.")
    return Source(lambda grouped: series_of(points, replicates=grouped), "material" if what == INDEX else "instrument", f"{of} {name}")


@st.cache_resource(max_entries=8, show_spinner=False)
def _points(place: str, head: str, what: str, name: str) -> tuple[SeriesPoint, ...]:
    """The points of a store as long as its head stays; shared between sessions, and never written to."""
    with kept_store() as store:
        return tuple(store.index_series(material=name) if what == INDEX else store.water_checks(instrument=name))


def _of_file() -> Source:
    file = st.file_uploader("Load a series (CSV: date,value)", type="csv", key="series_file")
    example = "date,value\n2026-01-05,1.33299"
    pasted = st.text_area("Or paste one: a line of names, then a line a reading", key="series_text", placeholder=example, height=90)
    own = file is not None or bool((pasted or "").strip())
    if not own:
        st.markdown("Shown are water checks of a small polymer workshop's refractometer, **invented for the demo**.")
        text = demo_text(WATER_CHECKS)
        st.download_button("Save the demo series, to start from", data=text, file_name=WATER_CHECKS, mime="text/csv", on_click="ignore")
    return Source(lambda _: _series(file, pasted or ""), None, "own" if own else "demo")


def _series(file: Any, pasted: str) -> Series:
    if file is None:
        return series_from_text(pasted if pasted.strip() else demo_text(WATER_CHECKS))
    try:
        return series_from_text(text_of(file.getvalue(), file.name))
    except InputError as error:
        raise InputError(f"{file.name}: {error}", quantity=error.quantity) from None


def text_of(data: bytes, name: str) -> str:
    """The text of an uploaded file."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{name}: not UTF-8 text; save the file as UTF-8") from None
