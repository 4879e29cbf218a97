"""The caution, where numbers are read."""

from __future__ import annotations

import streamlit as st

from lenscalc.conditions import CAUTION

NOT_A_DEVICE = f"{CAUTION.split('. ')[1]}."  # what its sentence says in one line, wherever on the page somebody reads


def caution() -> None:
    """What the numbers must not be used for."""
    st.warning(CAUTION, icon=":material/warning:")
