"""The page of one reading sheet: the sheet on one side, questions and their answers on the other."""

from __future__ import annotations

import tomllib

import streamlit as st
import tomli_w

from lenscalc.chain import Followed, follow, follow_index
from lenscalc.demo import demo_text, demo_titles
from lenscalc.errors import InputError
from lenscalc.refractometer import sheet_from_text
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.questions.eye_notices import eye_notices
from lenscalc.web.questions.how_strong import how_strong
from lenscalc.web.questions.improve_first import improve_first
from lenscalc.web.questions.in_short import in_short, in_view, remarks, whose
from lenscalc.web.questions.index_off import index_off
from lenscalc.web.questions.which_index import which_index
from lenscalc.web.questions.which_radii import which_radii
from lenscalc.web.questions.would_it_conform import would_it_conform
from lenscalc.web.reading.keep_reading import keep_reading
from lenscalc.web.reading.reading_computed import SAVED_AS, reading_computed
from lenscalc.web.reading.sheet_form import SheetForm
from lenscalc.web.reading.sheet_state import LOADED, NAME, REFUSED, UPLOADED, begun_from, is_changed, load, load_bytes, tables
from lenscalc.web.reading.sheet_tables import in_use
from lenscalc.web.reading.still_loaded import Leaf, by_section, in_few_words, in_one_word, still_loaded
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.note import note

UPLOAD, DEMO = "upload_sheet", "demo_sheet"
STILL = "what is the demo's still"  # key of the panel: whether it stands open
SIDES = (11, 10)


def reading_page() -> None:
    """Draw the page."""
    named, loaded = st.columns(SIDES, gap="large", vertical_alignment="bottom")
    named.title("One lot, from reading to verdict")
    with loaded:
        _sources()
    answers, sheet = answers_and_inputs(widths=SIDES)
    with sheet:
        form = SheetForm()
    text = tomli_w.dumps(in_use(tables()))
    followed = None
    if not form.refused:
        try:
            followed = _followed(text)
        except InputError as error:
            form.refuse(error)
    with sheet:
        _keep(text, bool(form.refused))
        if followed is not None:
            keep_reading(text, SAVED_AS, whose=_borrowed(followed))
    still = _still()
    in_view(followed, refused=form.refused, borrowed=in_one_word(still))
    with answers:
        if followed is None:
            st.markdown(f"**No answer as the sheet stands.** Why is told at: *{', '.join(dict.fromkeys(s for s, _ in form.refused))}*.")
            caution()
        else:
            in_short(followed, borrowed=in_one_word(still))
            _whose(followed, still)
            remarks(followed)
            _answers(followed, text)


def _still() -> list[Leaf]:
    """Which numbers are the demo's still, for who has typed some of his own; none where all are, or none can be."""
    return still_loaded(in_use(tables()), st.session_state[LOADED]) if begun_from() and is_changed() else []


def _whose(followed: Followed, still: list[Leaf]) -> None:
    """Whose numbers these are."""
    title = demo_titles().get(begun_from(), "")
    unsaid = not title or bool(_borrowed(followed))
    st.markdown(whose(followed.sheet, changed=is_changed(), begun_from=title, unsaid=unsaid, still=in_few_words(still)))
    if not still:
        return
    panel = st.expander("All that stands as in the demo", key=STILL, on_change="rerun")
    if panel.open:
        panel.markdown("\n".join(f"- {section}: {values}" for section, values in by_section(still).items()))


def _answers(followed: Followed, text: str) -> None:
    if followed.sheet.lens is None:
        which_index(followed)
        caution()
        st.info("Give the radii and the thickness of a lens to follow the reading further.")
    else:
        would_it_conform(followed)
        improve_first(followed)
        caution()
        which_index(followed)
        how_strong(followed)
        index_off(followed)
        which_radii(followed)
        eye_notices(followed)
    reading_computed(followed, text)


def _borrowed(followed: Followed) -> str:
    """What a changed sheet of the demo still says about where its numbers come from; empty where that has been mended, or nothing is changed."""
    loaded = begun_from()
    if not is_changed() or not loaded:
        return ""
    said = followed.sheet.provenance
    return said if said == tomllib.loads(demo_text(loaded))["provenance"] else ""


def _sources() -> None:
    titles = demo_titles()
    with st.expander("Load a sheet"):
        st.file_uploader("Load a reading sheet (TOML)", type="toml", key=UPLOAD, on_change=_uploaded)
        st.selectbox(
            "or start from a sheet of the demo", list(titles), index=None, placeholder=f"now: {titles.get(begun_from(), UPLOADED)}", key=DEMO,
            format_func=lambda name: f"{titles[name]} ({name})", on_change=_chosen,
        )  # fmt: skip
    if st.session_state.get(REFUSED):
        st.error(as_text(st.session_state[REFUSED]), icon=":material/error:")


def _uploaded() -> None:
    file = st.session_state.get(UPLOAD)
    if file is not None:
        load_bytes(file.getvalue(), uploaded_name(file.name))
        _loaded_from(UPLOADED)


def _chosen() -> None:
    name = st.session_state.get(DEMO)
    if name:
        load(demo_text(name), name)
        _loaded_from(name)
        st.session_state[DEMO] = None  # the box says which sheet is loaded, and takes the same one again


def _loaded_from(name: str) -> None:
    if not st.session_state.get(REFUSED):
        st.session_state[NAME] = name


@st.cache_resource(max_entries=64, show_spinner=False)
def _followed(text: str) -> Followed:
    """What comes of the very text that is saved; shared between sessions, and never written to."""
    sheet = sheet_from_text(text, "this sheet")
    return follow(sheet) if sheet.lens else follow_index(sheet)


def _keep(text: str, refused: bool) -> None:
    st.download_button("Save this sheet", data=text, file_name=SAVED_AS, mime="application/toml", on_click="ignore")
    note("Nothing is kept by itself: a reload of this page begins with the demo again.")
    if refused:
        note("What was refused in a table or a list is not in the saved sheet; there it stands as it was last understood.")
