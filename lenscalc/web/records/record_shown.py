"""One record on its page: what came of it, what was read, who made it, whether it comes out again, what became of its lot."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from lenscalc.charts import lot_history
from lenscalc.web.records.kept_store import report_bytes
from lenscalc.web.records.records_tables import MOST, again_in_words, differences_table, figures_table, history_table, made_table, read_table
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.made_on_click import made_on_click
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture

if TYPE_CHECKING:
    from lenscalc.records import Again, Record, Store

HISTORY = 20
OF_AN_INDEX = ("nested_mean", "fit_line", "water_index", "dispersion_from_abbe", "welch_satterthwaite")
OF_A_POWER = ("thick_lens", "power_sensitivity")
OF_A_DECISION = ("power_tolerance_D", "conformance_probability", "coverage_factor")
_AGAIN = "computed again"


def record_shown(store: Store, record: Record) -> None:
    """Draw one record."""
    st.header(f"What does record {record.id} hold?", anchor=False)
    if record.is_withdrawal:
        made = record.section("record")
        st.markdown(f"Only that record {made['supersedes'][:12]} is withdrawn, because {as_text(made['because'])}.")
        st.table(made_table(record))
        return
    session = record.section("session")
    if not record.gives_its_hash:
        st.error("This record was changed after it was added: its content no longer gives its hash. Do not use it.", icon=":material/error:")
    for hash_ in record.superseded_by:
        new = store.record(hash_)
        st.warning(f"Superseded by record {new.id}, because {as_text(new.section('record')['because'])}.", icon=":material/update:")
    for gone in record.withdrawn_by:
        st.warning(f"Withdrawn, because {as_text(gone.because)}. Nothing stands in its place.", icon=":material/block:")
    title, provenance = as_text(session["title"]), as_text(session["provenance"])
    st.markdown(f"**{title}**. Where the numbers come from: *{provenance}*.")
    st.table(figures_table(record))
    for row in record.rows("remarks"):
        st.info(as_text(f"{row['sentence'][0].upper()}{row['sentence'][1:]}"), icon=":material/info:")
    caution()
    st.subheader("What was read?", anchor=False)
    st.table(read_table(record))
    st.subheader("Who made it, and when?", anchor=False)
    st.table(made_table(record))
    st.markdown("The hash of its whole content, by which it is called:")
    st.code(record.hash, language=None, wrap_lines=True)
    _does_it_come_out_again(store, record)
    _take_away(store, record)
    if record.lot is not None:
        _lot(store, record, record.lot)
    _computed(record)


def _computed(record: Record) -> None:
    has_lens, decided = bool(record.section("lens")), bool(record.section("decision"))
    how_computed(
        words="Its sheet, kept as it was given, was followed from the readings to the index in use"
        f"{', to the power' if has_lens else ''}{' and to the decision' if decided else ''} by the version that is named above. The record keeps "
        "what came of it; to compute it again is to follow the sheet anew and to compare every value.",
        functions=[*OF_AN_INDEX, *(OF_A_POWER if has_lens else ()), *(OF_A_DECISION if decided else ())],
        command=f"lenscalc records again {record.id}",
        python=f'from lenscalc.records import open_store\n\nwith open_store() as store:\n    again = store.again(store.record("{record.id}"))\n\n'
        "again.figures_hold",
    )


def _does_it_come_out_again(store: Store, record: Record) -> None:
    st.subheader("Does it come out again?", anchor=False)
    if st.button("Compute it again"):
        st.session_state[_AGAIN] = (record.hash, store.again(record))
    done: tuple[str, Again] | None = st.session_state.get(_AGAIN)
    if done is None or done[0] != record.hash:
        note("From the kept sheet and the kept settings; every value is compared with the record's.")
        return
    again = done[1]
    icon = ":material/check:" if again.holds else ":material/compare_arrows:"
    (st.success if again.figures_hold else st.error)(as_text(again_in_words(again)), icon=icon)
    if again.differences:
        st.table(differences_table(again))
        if len(again.differences) > MOST:
            note(f"The first {MOST} of {len(again.differences)} are shown; `lenscalc records again {record.id}` has them all.")


def _take_away(store: Store, record: Record) -> None:
    st.subheader("What can be taken along?", anchor=False)
    if _printable(store, record):
        for ending, kind, mime in ((".pdf", "PDF", "application/pdf"), (".html", "HTML", "text/html")):
            made_on_click(f"Save the determination ({kind})", partial(report_bytes, record.hash, ending), f"record_{record.id}{ending}", mime)
        note("It is made when you click, computed again and compared first; the record's hash and the head of the store stand on it.")
    else:
        st.info("No determination is printed: its figures do not come out again here. See above, by computing it again.", icon=":material/info:")
    text, name = store.text_of(record), record.section("record")["sheet_name"]
    st.download_button("Save its sheet, as it was given", text, str(name), mime="application/toml", on_click="ignore")


def _printable(store: Store, record: Record) -> bool:
    """Whether its figures are the record's: the same version on the same kind of machine owes the same bits, another one is tried."""
    from lenscalc.records.made_by import BITS, made_by

    if not record.gives_its_hash:
        return False
    made, now = record.section("record"), made_by()
    if all(made.get(name) == now[name] for name in ("lenscalc", *BITS)):
        return True
    return _figures_hold(store.place, record.hash, store, record)


@st.cache_data(max_entries=64, show_spinner=False)
def _figures_hold(place: str, hash_: str, _store: Store, _record: Record) -> bool:
    return _store.again(_record).figures_hold


def _lot(store: Store, record: Record, lot: str) -> None:
    rows = store.history(lot, material=record.material)
    st.subheader(f"What became of lot {as_text(lot)}?", anchor=False)
    superseded = [row["superseded_by"] is not None or row["withdrawn_by"] is not None for row in rows]
    at = next((i for i, row in enumerate(rows) if row["record"] == record.hash), None)
    drawn = lot_history.drawing(
        [row["read_on"] or row["added_at_utc"] for row in rows], [row["n_lens"] for row in rows], [row["u_n_lens"] for row in rows],
        superseded=superseded, looked_at=at, ground=ground(),
    )  # fmt: skip
    count, stands = len(rows), len(rows) - sum(superseded)
    said = f"{count} records of this lot, of which {stands} stand{'s' if stands == 1 else ''}; in the order in which they were added."
    picture(drawn, said if count > 1 else "The only record of this lot.")
    st.table(history_table(rows[-HISTORY:]))
    if len(rows) > HISTORY:
        note(f"The last {HISTORY} of {len(rows)} are shown; `lenscalc records history` has them all.")
