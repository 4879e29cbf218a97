"""Where the series of a control chart comes from: a file, what was pasted, the demo, or the records of the lab."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import streamlit as st

from lenscalc.conditions import SAME_LINE_NM
from lenscalc.control import Series, series_from_text
from lenscalc.control.advice import Watched
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.errors import FileError, InputError, LenscalcError
from lenscalc.quantities import counted
from lenscalc.web.fields.beside import note_drawn
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.records.control_computed import Typed
from lenscalc.web.records.kept_store import is_there, kept_store
from lenscalc.web.shown.as_text import as_text

if TYPE_CHECKING:
    from lenscalc.records import SeriesPoint

FILE, RECORDS = "a file, or the demo", "the records"
SERIES_FILE = "series.csv"
INDEX, WATER = "a material's index", "an instrument's water checks"


class Source(NamedTuple):
    """A series, and how it is typed, by whether single readings are wanted as groups; whose values they are, if that is known; a name for the fields
    that hang on it.
    """

    series: Callable[[bool], Series]
    typed: Callable[[bool], Typed]
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
    lines, line = lines_of(points), None
    if what == WATER and len(lines) > 1:
        by_words = {f"{nm:g}": nm for nm in lines}
        line = by_words[choice_field("At which line, nm?", list(by_words), key="series_line", among="list")]
        points = tuple(p for p in points if abs(p.wavelength_nm - line) <= SAME_LINE_NM)
    st.markdown(f"{counted(len(points), 'value')} from the records; what signals is named with its lot and its record.")
    return Source(
        lambda grouped: series_of(points, replicates=grouped), lambda grouped: _typed_records(of, name, line, grouped=grouped),
        "material" if what == INDEX else "instrument", f"{of} {name}",
    )  # fmt: skip


def _typed_records(of: str, name: str, line: float | None, *, grouped: bool) -> Typed:
    at = "" if line is None else f" --wavelength-nm {line:.12g}"
    function = "material_series" if of == "material" else "water_series"
    more = f"{'' if line is None else f', wavelength_nm={line:.12g}'}, replicates={grouped}"
    return Typed(
        f"lenscalc records chart --{of} {shlex.quote(name)}{at}",
        f"from lenscalc.records import open_store\nfrom lenscalc.records.to_chart import {function}\n\nwith open_store() as store:\n"
        f"    values = {function}(store, {name!r}{more})",
    )


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
    return Source(lambda _: _series(file, pasted or ""), lambda _: _typed_file(file, pasted or ""), None, "own" if own else "demo")


def _typed_file(file: Any, pasted: str) -> Typed:
    if file is None and not pasted.strip():
        lines = "from lenscalc.control import series_from_text\nfrom lenscalc.demo import WATER_CHECKS, demo_text\n\n"
        return Typed("lenscalc control --demo", f"{lines}values = series_from_text(demo_text(WATER_CHECKS))")
    text = pasted if file is None else text_of(file.getvalue(), uploaded_name(file.name))
    return Typed(
        f"lenscalc control {SERIES_FILE}", f'from lenscalc.control import read_series\n\nvalues = read_series("{SERIES_FILE}")', (SERIES_FILE, text)
    )


def _series(file: Any, pasted: str) -> Series:
    if file is None:
        return series_from_text(pasted if pasted.strip() else demo_text(WATER_CHECKS))
    try:
        return series_from_text(text_of(file.getvalue(), uploaded_name(file.name)))
    except InputError as error:
        raise InputError(f"{uploaded_name(file.name)}: {error}", quantity=error.quantity) from None


def text_of(data: bytes, name: str) -> str:
    """The text of an uploaded file."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{name}: not UTF-8 text; save the file as UTF-8") from None
