"""A sweep in one picture: a result over one swept quantity, a line for each value of a second, or points where all vary at once."""

from __future__ import annotations

from typing import Any, Final

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Drawing, table
from lenscalc.charts.style import BLUE, Ground, styled
from lenscalc.errors import InputError
from lenscalc.quantities import counted

MOST_LINES: Final = 7
MOST_POINTS: Final = 5000


def sweep_curves(x: Any, y: Any, by: Any = None, *, x_title: str, y_title: str, by_title: str = "", ground: Ground = "light") -> Drawing:
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

    >>> titles = {"x_title": "radius, mm", "y_title": "power, D", "by_title": "index"}
    >>> sweep_curves([12, 13, 12, 13], [20, 19, 22, 21], [1.49, 1.49, 1.52, 1.52], **titles).description
    'power, D over radius, mm: 2 lines, one for each index.'
    """
    rows = pd.DataFrame({"x": np.asarray(x, float), "y": np.asarray(y, float), "by": 0.0 if by is None else np.asarray(by, float)})
    rows = rows[np.isfinite(rows["x"]) & np.isfinite(rows["y"])].sort_values(["by", "x"])
    lines = rows["by"].nunique()
    if not 1 <= lines <= MOST_LINES:
        raise InputError(f"{lines} lines to draw: there must be one, and no more than {MOST_LINES}")
    ends = rows.groupby("by").tail(1)
    ends = ends.assign(text=[f"{v:.6g}" if by is not None else "" for v in ends["by"]])
    told = f"{counted(lines, 'line')}, one for each {by_title}" if by is not None else "one line"
    return Drawing(
        _lines, (ground,), {"lines": rows, "ends": ends}, _places(rows, x_title, y_title, right=0.04 if by is None else 0.16),
        description=f"{y_title} over {x_title}: {told}.",
    )  # fmt: skip


def sweep_points(x: Any, y: Any, *, x_title: str, y_title: str, ground: Ground = "light") -> Drawing:
    """A point a design, where other quantities vary besides.

    >>> sweep_points([12, 13], [20, 19], x_title="radius, mm", y_title="power, D").description
    'power, D over radius, mm: 2 designs.'
    """
    rows = pd.DataFrame({"x": np.asarray(x, float), "y": np.asarray(y, float)})
    rows = rows[np.isfinite(rows["x"]) & np.isfinite(rows["y"])]
    if not len(rows):
        raise InputError("nothing to draw: no design has both")
    return Drawing(
        _points, (ground,), {"points": rows}, _places(rows, x_title, y_title, right=0.04),
        description=f"{y_title} over {x_title}: {counted(len(rows), 'design')}.",
    )  # fmt: skip


def _lines(ground: Ground) -> alt.LayerChart:
    x, y = _axes()
    dots = alt.OverlayMarkDef(size=22, color=BLUE)
    lines = alt.Chart(table("lines")).mark_line(color=BLUE, strokeWidth=2, point=dots).encode(x=x, y=y, detail="by:N")
    names = alt.Chart(table("ends")).mark_text(align="left", dx=8).encode(x=x, y=y, text="text:N")
    return styled(alt.layer(lines, names).properties(width="container", height=360), ground)


def _points(ground: Ground) -> alt.LayerChart:
    x, y = _axes()
    points = alt.Chart(table("points")).mark_point(color=BLUE, filled=True, size=26, opacity=0.6).encode(x=x, y=y)
    return styled(alt.layer(points).properties(width="container", height=360), ground)


def _axes() -> tuple[alt.X, alt.Y]:
    across, up = (alt.Scale(domain=[f"@{n}_low", f"@{n}_high"], nice=False) for n in "xy")
    return (
        alt.X("x:Q", title="@x_title", scale=across, axis=alt.Axis(grid=False, tickCount=6)),
        alt.Y("y:Q", title="@y_title", scale=up, axis=alt.Axis(tickCount=6)),
    )


def _places(rows: pd.DataFrame, x_title: str, y_title: str, *, right: float) -> dict[str, Any]:
    places: dict[str, Any] = {"x_title": x_title, "y_title": y_title}
    for column, more in (("x", right), ("y", 0.04)):
        low, high = float(rows[column].min()), float(rows[column].max())
        room = (high - low) or abs(high) or 1.0
        places |= {f"{column}_low": low - 0.04 * room, f"{column}_high": high + more * room}
    return places
