"""A chart on a page: our own look, on the ground that the reader has chosen."""

from __future__ import annotations

from typing import Any, Literal

import streamlit as st

from lenscalc.charts.style import Ground
from lenscalc.web.note import note


def ground() -> Ground:
    """Light or dark: as the configuration fixes it (the browser tells of that only after the first run), else as the browser shows the page."""
    fixed = st.get_option("theme.base")
    return "dark" if (fixed or st.context.theme.type) == "dark" else "light"


def picture(chart: Any, message: str, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """A chart with its message in words below it."""
    st.altair_chart(chart, theme=None, width=width)
    note(message)
