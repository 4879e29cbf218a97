"""The caution, where numbers are read."""

from __future__ import annotations

import streamlit as st

from lenscalc.conditions import CAUTION
from lenscalc.web.shown.note import note


def caution() -> None:
    """What the numbers must not be used for."""
    st.warning(CAUTION, icon=":material/warning:")


def caution_in_brief() -> None:
    """Its first two sentences in small print, for the head of a long page that has the whole of it at its end."""
    first, second, _ = CAUTION.split(". ", 2)
    note(f"{first}. {second}.")
