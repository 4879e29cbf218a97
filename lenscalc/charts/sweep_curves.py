"""A sweep in one picture: a result over one swept quantity, a line for each value of a second, or points where all vary at once."""

from __future__ import annotations

from typing import Any, Final

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.style import BLUE, Ground, styled
from lenscalc.errors import InputError

MOST_LINES: Final = 7
MOST_POINTS: Final = 5000


def sweep_curves(x: Any, y: Any, by: Any = None, *, x_title: str, y_title: str, by_title: str = "", ground: Ground = "light") -> alt.LayerChart:
    """Lines of y over x, each named at its end by its value of a second quantity.

    Parameters
    ----------
    x, y, by
        one entry a design; `by` at most seven different values, or None for one line.
    x_title, y_title, by_title : str
        with the unit.
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        for more lines than can be told apart, or nothing to draw.

    >>> chart = sweep_curves([12, 13, 12, 13], [20, 19, 22, 21], [1.49, 1.49, 1.52, 1.52], x_title="radius, mm", y_title="power, D", by_title="index")
    >>> chart.to_dict()["description"]
    'power, D over radius, mm: 2 lines, one for each index.'
    """
    table = pd.DataFrame({"x": np.asarray(x, float), "y": np.asarray(y, float), "by": 0.0 if by is None else np.asarray(by, float)})
    table = table[np.isfinite(table["x"]) & np.isfinite(table["y"])].sort_values(["by", "x"])
    lines = table["by"].nunique()
    if not 1 <= lines <= MOST_LINES:
        raise InputError(f"{lines} lines to draw: there must be one, and no more than {MOST_LINES}")
    across, up = _axes(table, x_title, y_title, right=0.0 if by is None else 0.16)
    dots = alt.OverlayMarkDef(size=22, color=BLUE)
    layers = [alt.Chart(table).mark_line(color=BLUE, strokeWidth=2, point=dots).encode(x=across, y=up, detail="by:N")]
    if by is not None:
        ends = table.groupby("by").tail(1).assign(text=lambda t: [f"{v:.6g}" for v in t["by"]])
        layers.append(alt.Chart(ends).mark_text(align="left", dx=8).encode(x=across, y=up, text="text:N"))
    told = f"{lines} lines, one for each {by_title}" if by is not None else "one line"
    return styled(alt.layer(*layers).properties(width="container", height=360, description=f"{y_title} over {x_title}: {told}."), ground)


def sweep_points(x: Any, y: Any, *, x_title: str, y_title: str, ground: Ground = "light") -> alt.LayerChart:
    """A point a design, where other quantities vary besides.

    >>> sweep_points([12, 13], [20, 19], x_title="radius, mm", y_title="power, D").to_dict()["description"]
    'power, D over radius, mm: 2 designs.'
    """
    table = pd.DataFrame({"x": np.asarray(x, float), "y": np.asarray(y, float)})
    table = table[np.isfinite(table["x"]) & np.isfinite(table["y"])]
    if not len(table):
        raise InputError("nothing to draw: no design has both")
    across, up = _axes(table, x_title, y_title, right=0.0)
    points = alt.Chart(table).mark_point(color=BLUE, filled=True, size=26, opacity=0.6).encode(x=across, y=up)
    description = f"{y_title} over {x_title}: {len(table)} designs."
    return styled(alt.layer(points).properties(width="container", height=360, description=description), ground)


def _axes(table: pd.DataFrame, x_title: str, y_title: str, *, right: float) -> tuple[alt.X, alt.Y]:
    ends = []
    for column, more in (("x", right), ("y", 0.06)):
        low, high = float(table[column].min()), float(table[column].max())
        room = (high - low) or abs(high) or 1.0
        ends.append(alt.Scale(domain=[low - 0.04 * room, high + max(more, 0.04) * room], nice=False))
    return (
        alt.X("x:Q", title=x_title, scale=ends[0], axis=alt.Axis(grid=False, tickCount=6)),
        alt.Y("y:Q", title=y_title, scale=ends[1], axis=alt.Axis(tickCount=6)),
    )
