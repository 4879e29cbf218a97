"""A chart on a page: our own look, on the ground that the reader has chosen, drawn fast.

`picture(chart, message)` takes an altair chart (50 to 150 ms of computing) or a `lenscalc.charts.drawing.Drawing` (2 to 5 ms): the shape of a
drawing is built once a process, and a move of a slider only swaps its tables. So what stands under a slider is a `Drawing`; see
`charts/power_against_index.py` for one. The axes of such a picture should stay put while the slider moves (`places` that do not change), and its
description should hold no number: then the browser keeps the picture and moves what is in it. Otherwise it builds it anew, some 50 ms more.
"""

from __future__ import annotations

from typing import Any, Literal

import streamlit as st

from lenscalc.charts.drawing import Drawing
from lenscalc.charts.style import Ground
from lenscalc.web.shown.note import note


def ground() -> Ground:
    """Light or dark: as the configuration fixes it (the browser tells of that only after the first run), else as the browser shows the page."""
    fixed = st.get_option("theme.base")
    return "dark" if (fixed or st.context.theme.type) == "dark" else "light"


def picture(chart: Any, message: str, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """A chart with its message in words below it, and its description for who does not see it."""
    draw(chart, width=width)
    note(message)


def draw(chart: Any, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """The chart alone, where the words already stand beside it."""
    if isinstance(chart, Drawing):
        specification = chart.specification() | {"datasets": dict(chart.tables)}
        st.vega_lite_chart(specification, theme=None, width=width, alt=chart.description or None)
    else:
        st.altair_chart(chart, theme=None, width=width)
