"""The page of one reading sheet: form on one side, questions and their answers on the other."""

from __future__ import annotations

import streamlit as st
import tomli_w

from lenscalc.chain import Followed, follow, follow_index
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import InputError
from lenscalc.refractometer import sheet_from_data
from lenscalc.web.caution import caution
from lenscalc.web.figures import figure, first
from lenscalc.web.questions.eye_notices import eye_notices
from lenscalc.web.questions.how_strong import how_strong
from lenscalc.web.questions.index_off import index_off
from lenscalc.web.questions.which_index import which_index
from lenscalc.web.questions.would_it_conform import with_sign, would_it_conform
from lenscalc.web.sheet_form import sheet_form
from lenscalc.web.sheet_state import REFUSED, is_changed, load, load_bytes, tables
from lenscalc.web.sheet_tables import in_use, kept_in_words

UPLOAD, DEMO = "upload_sheet", "demo_sheet"


def reading_page() -> None:
    """Draw the page."""
    st.title("One reading, all the way")
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    with form:
        _sources()
        try:
            sheet_form()
            followed = _followed()
        except InputError as error:
            top.error(f"{error}", icon=":material/error:")
            return
        _keep()
    with top:
        _in_short(followed)
        caution()
    with answers:
        which_index(followed)
        if followed.sheet.lens is None:
            st.info("Give the radii and the thickness of a lens to follow the reading further.")
            return
        how_strong(followed)
        index_off(followed)
        would_it_conform(followed)
        eye_notices(followed)


def _sources() -> None:
    names = demo_sheets()
    st.file_uploader("Load a reading sheet (TOML)", type="toml", key=UPLOAD, on_change=_uploaded)
    st.selectbox("or start from a sheet of the demo", names, index=None, placeholder="choose one", key=DEMO, on_change=_chosen)
    if st.session_state.get(REFUSED):
        st.error(st.session_state[REFUSED], icon=":material/error:")


def _uploaded() -> None:
    file = st.session_state.get(UPLOAD)
    if file is not None:
        load_bytes(file.getvalue(), file.name)


def _chosen() -> None:
    name = st.session_state.get(DEMO)
    if name:
        load(demo_text(name), name)


def _followed() -> Followed:
    sheet = sheet_from_data(in_use(tables()), "this sheet")
    return follow(sheet) if sheet.lens else follow_index(sheet)


def _keep() -> None:
    told = kept_in_words(tables())
    if told:
        st.markdown("Also in this sheet, and counted:\n\n" + "\n".join(f"- {sentence}" for sentence in told))
    sheet = in_use(tables())
    st.download_button(
        "Save this sheet", data=lambda: tomli_w.dumps(sheet), file_name="reading_sheet.toml", mime="application/toml", on_click="ignore"
    )


def _in_short(followed: Followed) -> None:
    sheet, result = followed.sheet, followed.evaluation
    invented = " These numbers are invented, to show the way." if "invented" in sheet.provenance.lower() else ""
    changed = " **Changed here since it was loaded:** say under “The specimen” whose numbers they are now." if is_changed() else ""
    st.markdown(f"**{sheet.title}** — where the numbers come from: *{sheet.provenance}*.{invented}{changed}")
    index = f"index in the eye **{figure(first(followed.index.n.value), first(followed.index.n.u))}**"
    if sheet.lens is None:
        st.markdown(f"In short: {index}.")
        return
    power = f"power of a lens of it **{figure(first(result.columns['power_D']), first(result.columns['u_power_D']), 'D')}**"
    verdict = f"; **{with_sign(str(result.columns['verdict'][0]))}**" if "verdict" in result.columns else "; no label, so no decision"
    st.markdown(f"In short: {index}; {power}{verdict}.")
    for sentence in followed.warnings:
        st.info(sentence, icon=":material/info:")
