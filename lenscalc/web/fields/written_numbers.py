"""Numbers as people write them, with a comma or a printed minus sign, in the number fields of a browser that takes neither."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import streamlit as st


def take_written_numbers() -> None:
    """Once a page: every number field takes a decimal comma as the point; what is no number is not taken, and its field says so."""
    st.html(f"<script>{_script()}</script>", unsafe_allow_javascript=True)


@cache
def _script() -> str:
    return (files("lenscalc.web.fields") / "written_numbers.js").read_text(encoding="utf-8")
