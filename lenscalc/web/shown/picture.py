"""A chart on a page: our own look, on the ground that the reader has chosen, drawn fast.

`picture(chart, message)` takes an altair chart (50 to 150 ms of computing) or a `lenscalc.charts.drawing.Drawing` (2 to 5 ms): the shape of a
drawing is built once a process, and a move of a slider only swaps its tables. So what stands under a slider is a `Drawing`; see
`charts/power_against_index.py` for one. The axes of such a picture should stay put while the slider moves (`places` that do not change), or follow
its tables: then the browser keeps the picture and moves what is in it. Otherwise it builds it anew, some 50 ms more, and so it would for a name that
changes; therefore a picture is named by what it is, and its numbers are in the message below it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any, Literal

import numpy as np
import pandas as pd
import pyarrow as pa
import streamlit as st

from lenscalc.charts.columns import Columns
from lenscalc.charts.drawing import Drawing
from lenscalc.charts.style import Ground
from lenscalc.web.shown.note import note


def ground() -> Ground:
    """Light or dark: as the configuration fixes it (the browser tells of that only after the first run), else as the browser shows the page."""
    fixed = st.get_option("theme.base")
    return "dark" if (fixed or st.context.theme.type) == "dark" else "light"


def picture(chart: Any, message: str, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """A chart with its message in words below it, and its name for who does not see it."""
    draw(replace(chart, description=named(chart.description)) if isinstance(chart, Drawing) else chart, width=width)
    note(message)


def named(description: str) -> str:
    """What a picture is, by its description as far as it holds no number.

    >>> named("Power against index: 20.47 D at 1.4900; tolerance 20.10 to 20.90 D.")
    'Power against index; its message stands below it'
    >>> named("4 rays.")
    'A picture; its message stands below it'
    """
    what = re.split(r"[:;,.]|\s\S*\d", description)[0].strip()
    return f"{what if what and not what[0].isdigit() else 'A picture'}; its message stands below it"


def _columns(rows: Columns | pd.DataFrame) -> pa.Table:
    """The columns alone: a page takes them in a third of the time that it takes to carry over what pandas knows besides."""
    return pa.table({str(name): pa.array(np.asarray(column), from_pandas=True) for name, column in rows.items()})


def draw(chart: Any, *, width: Literal["stretch", "content"] = "stretch") -> None:
    """The chart alone, where the words already stand beside it."""
    if isinstance(chart, Drawing):
        specification = chart.specification() | {"datasets": {name: _columns(rows) for name, rows in chart.tables.items()}}
        st.vega_lite_chart(specification, theme=None, width=width, alt=chart.description or None)
    else:
        st.altair_chart(chart, theme=None, width=width)
