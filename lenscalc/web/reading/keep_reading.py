"""On the page of a reading: keep the very sheet that is saved, and print the determination of it."""

from __future__ import annotations

import streamlit as st

from lenscalc.errors import LenscalcError
from lenscalc.report import report_html, report_pdf
from lenscalc.web.records.kept_store import kept_store
from lenscalc.web.shell import PAGES, as_page
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.made_on_click import made_on_click
from lenscalc.web.shown.note import note

_TOLD = "what became of keeping the reading"
KEPT_PAGE = next(page for page in PAGES if page[2] == "kept")


def keep_reading(text: str, name: str, *, whose: str) -> None:
    """The buttons; what is kept and printed is the text of the sheet as it stands.

    In place of them a sentence, where the numbers are no more those of `whose` name the sheet still bears: a record and a print say where numbers
    come from, and would say it wrongly for ever.
    """
    if whose:
        st.info(
            f"Changed here, and still said to come from “{as_text(whose)}”: write under “The specimen, and whose numbers these are” where they come "
            "from now. Then they can be kept and printed here.", icon=":material/edit:",
        )  # fmt: skip
        return
    st.button("Keep this in the records", on_click=_keep, args=(text, name), icon=":material/inventory_2:")
    told = st.session_state.get(_TOLD)
    if told is not None and told[0] == text:
        _, id_, sentence = told
        if id_:
            st.success(sentence, icon=":material/check:")
            st.page_link(as_page(KEPT_PAGE), label="Look at the record", icon=":material/arrow_forward:", query_params={"record": id_})
        else:
            st.error(as_text(sentence), icon=":material/error:")
    made_on_click("Save the determination (PDF)", lambda: report_pdf(text, name=name), "determination.pdf", "application/pdf")
    made_on_click("Save the determination (HTML)", lambda: report_html(text, name=name).encode(), "determination.html", "text/html")
    note("A determination is made when you click. One that is built from a record names it: keep the reading, and print it from there.")


def _keep(text: str, name: str) -> None:
    try:
        with kept_store(create=True) as store:
            record = store.add_sheet(text, name)
            head = store.head()
    except LenscalcError as error:
        st.session_state[_TOLD] = (text, "", f"{str(error)[:1].upper()}{str(error)[1:]}.")
        return
    st.session_state[_TOLD] = (text, record.id, f"Kept as record {record.id}. The head of the store is now {head}.")
