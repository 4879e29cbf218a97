"""The caution, where numbers are read."""

from __future__ import annotations

import streamlit as st

from lenscalc.conditions import CAUTION


def caution() -> None:
    """What the numbers must not be used for."""
    st.warning(CAUTION, icon=":material/warning:")
