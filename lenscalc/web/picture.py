"""A chart on a page: our own look, on the ground that the reader has chosen."""

from __future__ import annotations

from typing import Any, Literal

import streamlit as st

from lenscalc.charts.style import Ground


def ground() -> Ground:
    """Light or dark, as the browser shows the page."""
    return "dark" if st.context.theme.type == "dark" else "light"


def picture(chart: Any, message: str, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """A chart with its message in words below it."""
    st.altair_chart(chart, theme=None, width=width)
    st.caption(message)
