"""A page that turns dark or light while it is open has its pictures drawn anew."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import streamlit as st


def follow_changed_ground() -> None:
    """Once a page."""
    st.html(f"<script>{_script()}</script>", unsafe_allow_javascript=True)


@cache
def _script() -> str:
    return (files("lenscalc.web.shown") / "changed_ground.js").read_text(encoding="utf-8")
