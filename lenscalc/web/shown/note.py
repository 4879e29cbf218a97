"""Small print that is still dark enough to read."""

from __future__ import annotations

import streamlit as st


def note(text: str) -> None:
    """A sentence beside a picture or a number (the framework's own caption is too pale: 3.9 : 1 on white)."""
    st.markdown(f":small[{text}]")
