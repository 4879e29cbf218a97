"""Where a sentence about a wrong input stands: right below the field that it concerns."""

from __future__ import annotations

import streamlit as st

from lenscalc.errors import InputError, LenscalcError
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.shown.as_text import as_text

_FIELDS = "fields of this run"
_LABELS = "labels of the fields of this run"
_CANNOT_BE = "fields of this run whose value cannot be"
_SAID = "sentences below the fields of this run"


def new_run() -> None:
    """Forget the fields of the run before."""
    st.session_state[_FIELDS], st.session_state[_CANNOT_BE], st.session_state[_SAID], st.session_state[_LABELS] = {}, set(), {}, {}


def place_below(name: str, key: str, label: str = "") -> None:
    """Keep a place below the field that was just drawn, for what may have to be said of this quantity, and the label by which to call it."""
    st.session_state.setdefault(_FIELDS, {})[name] = (st.empty(), key)
    if label:
        st.session_state.setdefault(_LABELS, {}).update({name: label, key: label})


def note_drawn(*keys: str) -> None:
    """Fields that were drawn and have no quantity of their own to speak of: so that the address may name them."""
    for key in keys:
        place_below(key, key)


def keys_drawn() -> set[str]:
    """The keys of the fields that this run has drawn."""
    return {key for _, key in st.session_state.get(_FIELDS, {}).values()}


def say_below(name: str, sentence: str, *, cannot_be: bool = False, is_wrong: bool = True) -> None:
    """A sentence at the place that was kept for this quantity.

    `cannot_be` where its value is impossible by itself; not `is_wrong` where it has none yet.
    """
    place = st.session_state[_FIELDS][name][0]
    if is_wrong:
        place.error(told(sentence), icon=":material/error:")
    else:
        place.info(told(sentence[:1].upper() + sentence[1:]), icon=":material/edit:")
    st.session_state.setdefault(_SAID, {})[name] = sentence
    if cannot_be:
        st.session_state.setdefault(_CANNOT_BE, set()).add(name)


def told(sentence: str) -> str:
    """A sentence of the core as a page shows it: in the words of its fields, and as plain text."""
    return as_text(in_page_words(sentence, st.session_state.get(_LABELS, {})))


def said_of(sentence: str) -> str | None:
    """The quantity whose field has this sentence below it already, with or without the table of a sheet before it; None where none has."""
    said: dict[str, str] = st.session_state.get(_SAID, {})
    return next((name for name, below in said.items() if sentence.endswith(below)), None)


def tell(error: LenscalcError) -> None:
    """The sentence of an error: below the field of the quantity that it names, or here where the page has no such field.

    Where a field has said of itself that its value cannot be, that is enough: what follows from it need not be said too.
    """
    fields = st.session_state.get(_FIELDS, {})
    named = error.quantity if isinstance(error, InputError) else None
    begins = str(error).partition(" ")[0]  # the chain's sentences begin with the quantity
    name = next((n for n in (named, begins) if n in fields), None)
    if name is not None:
        before = st.session_state.get(_SAID, {}).get(name, "")  # of the address, say: it is not forgotten for what follows from another field
        say_below(name, str(error) if before in str(error) else f"{before}. {error}")
    elif not st.session_state.get(_CANNOT_BE):
        st.error(told(str(error)), icon=":material/error:")
        return
    st.info("The answer stands here as soon as the marked input is mended.", icon=":material/edit:")
