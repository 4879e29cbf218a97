"""One input field for a short text, kept in the address."""

from __future__ import annotations

import streamlit as st

from lenscalc.web.fields.beside import place_below
from lenscalc.web.shown.as_text import as_text


def text_field(label: str, *, key: str, value: str = "", told: str | None = None, placeholder: str | None = None) -> str:
    """A line of text, with no blanks around it; `told` is its help."""
    text = st.text_input(as_text(label), value, key=key, help=told, placeholder=placeholder, bind="query-params", persist_state="session")
    place_below(key, key, label)
    return (text or "").strip()
