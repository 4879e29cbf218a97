"""The page of what a lab keeps: which records there are, one of them whole, and whether the store still holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from lenscalc.errors import LenscalcError
from lenscalc.web.fields.beside import note_drawn, say_below
from lenscalc.web.fields.choice_field import choice_field, switch_field
from lenscalc.web.fields.day_field import day_field
from lenscalc.web.fields.text_field import text_field
from lenscalc.web.fields.whole_field import count_of, whole_field
from lenscalc.web.records.kept_store import export_bytes, is_there, kept_store
from lenscalc.web.records.record_shown import record_shown
from lenscalc.web.records.records_tables import MOST, check_in_words, lines_table, of_in_words
from lenscalc.web.shell import SECTIONS, as_page
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.made_on_click import made_on_click
from lenscalc.web.shown.note import note

if TYPE_CHECKING:
    from lenscalc.records import Filter, Line, Record, Store

SHOWN = 10
EVERY = "every one"
NAMED = "record"  # in the address: the first digits of a hash
_CHECKED = "what the check of the store found"


def records_page() -> None:
    """Draw the page."""
    st.title("What has been kept?", anchor=False)
    if not is_there():
        _nothing_yet()
        return
    with kept_store() as store:
        if store.aside is not None:
            st.info("The store was of an older version and has been migrated; as it was, it lies beside it.", icon=":material/info:")
        _kept(store)


def _nothing_yet() -> None:
    st.markdown(
        "In short: **nothing yet.** A reading is kept with its sheet, its single values, the version that computed it and what came of it; then it "
        "can be found, computed again and printed next year."
    )
    st.page_link(as_page(SECTIONS["A lot to judge"][0]), label="Follow a reading, and keep it", icon=":material/play_arrow:")
    note("By command: `lenscalc records add SHEET.toml`. The records are one file in your data folder, or where LENSCALC_STORE says.")
    caution()


def _kept(store: Store) -> None:
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    with form:
        lines, count, chosen = _which(store)
        _whole_store(store)
    with top:
        st.markdown(f"In short: **{count} record{'s' if count != 1 else ''}** as chosen. {_newest(lines)}")
        caution()
    with answers:
        if lines:
            st.header("Which records?", anchor=False)
            st.table(lines_table(lines))
        if chosen is not None:
            record_shown(store, chosen)


def _newest(lines: list[Line]) -> str:
    if not lines:
        return "Choose a wider span of days, or another lot."
    return f"The newest shown is of {lines[0].day}: {as_text(of_in_words(lines[0]))}."


def _which(store: Store) -> tuple[list[Line], int, Record | None]:
    wanted = _filter(store)
    count = store.count(wanted)
    first = 0
    if count > SHOWN:
        first = SHOWN * (_page(-(-count // SHOWN)) - 1)
    lines = store.lines(wanted, first=first, most=SHOWN)
    named = text_field(
        "A record by the first digits of its hash", key=NAMED, placeholder="3f2a91c04d77",
        told="As it stands on a printed determination; four digits or more. Empty: one of the list.",
    )  # fmt: skip
    note_drawn("records_page", "of_list")
    if named:
        try:
            return lines, count, store.record(named)
        except LenscalcError as error:
            say_below(NAMED, str(error))
            return lines, count, None
    by_id = {line.id: line for line in lines}
    if not by_id:
        return lines, count, None

    def said(id_: str) -> str:
        return f"{id_}, {by_id[id_].day}: {of_in_words(by_id[id_])}"

    chosen = choice_field("or one of the list", list(by_id), key="of_list", among="list", shown=said)
    return lines, count, store.record(by_id[chosen].hash)


def _page(pages: int) -> int:
    """Which page of the list; the nearest where there is none of that number."""
    given = whole_field(count_of("records_page", f"page, 1 to {pages}", "the newest come first", 1, pages), key="records_page", value=1)
    return int(min(max(given or 1.0, 1.0), pages))


def _filter(store: Store) -> Filter:
    from lenscalc.records import Filter  # a database's library: not on the way of the other pages

    material = _one_of("Material", store.materials(), "kept_material")
    note_drawn("kept_lot")
    lot = _one_of("Lot", store.lots(material), "kept_lot") if material is not None else None
    left, right = st.columns(2)
    with left:
        since = day_field("From", key="kept_since")
    with right:
        until = day_field("Until", key="kept_until")
    return Filter(material, lot, since, until, switch_field("Superseded and withdrawn ones too", key="kept_superseded"))


def _one_of(label: str, names: list[str], key: str) -> str | None:
    chosen = choice_field(label, [EVERY, *names], key=key, among="list")
    return None if chosen == EVERY else chosen


def _whole_store(store: Store) -> None:
    st.header("Does the store still hold?", anchor=False)
    if st.button("Check every record and every link"):
        st.session_state[_CHECKED] = store.check()
    checked = st.session_state.get(_CHECKED)
    if checked is not None and (checked.problems or checked.head == store.head()):
        said = check_in_words(checked)
        (st.error if checked.problems else st.success)(said, icon=":material/error:" if checked.problems else ":material/check:")
        for sentence in (*checked.problems[:MOST], *checked.remarks[:MOST]):
            st.markdown(f"- {as_text(sentence)}")
    st.markdown("The head of the store, which stands for all of it:")
    st.code(store.head(), language=None, wrap_lines=True)
    note("It stands on every printed record. Write it down: `lenscalc records check --head HASH` tells later whether all of this is still there.")
    made_on_click("Save everything (zip of CSV and JSON)", export_bytes, "records.zip", "application/zip")
