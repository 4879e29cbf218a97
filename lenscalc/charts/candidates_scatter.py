"""Many candidates in one picture: a mark for each, over two of their columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import altair as alt
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from lenscalc.charts.drawing import Drawing, table
from lenscalc.charts.signs import SHAPES, SIGNS, colours, filled
from lenscalc.charts.style import BLUE, Ground, quiet, styled
from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, counted

MOST: Final = 5000
NAMED: Final = 30  # so many are written with their names; more would cover each other
SELECTION: Final = "chosen"
LETTERS, LEVEL = 60, 0.06  # so many letters reach across a narrow picture; a line of them is so high in it
ROOM = 0.08  # of the values beyond them, to either side
# written flat above the axis: a title of many words, set upright, is longer than the picture is high
_UPWARDS: Final = alt.Axis(tickCount=6, titleAngle=0, titleAlign="left", titleAnchor="start", titleBaseline="bottom", titleX=-34, titleY=-10)


def candidates_scatter(
    names: Sequence[str], x: Any, y: Any, kinds: Sequence[str], *, x_title: str, y_title: str, all_kinds: Sequence[str],
    ringed: Any = None, selectable: bool = True, ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """A point a candidate; a few are written with their names. Where it is selectable, a rectangle drawn in it is the selection `chosen`.

    Parameters
    ----------
    names, x, y, kinds
        one entry a candidate: its name, finite numbers, and what kind it is.
    x_title, y_title : str
        with the unit.
    all_kinds : sequence of at most four
        in the order of the signs ●, ▲, ○ and ◆: a kind is told by its sign, not by colour alone.
    ringed : array of bool, optional
        one entry a candidate: who stands out for another reason than the kind. These have a ring around them and are blue, all others grey.
    selectable : bool
        whether a rectangle can be drawn.
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        for more kinds than there are signs, or nothing to draw.

    >>> titles = {"x_title": "index", "y_title": "power, D"}
    >>> drawn = candidates_scatter(["A", "B"], [1.49, 1.52], [20.1, 19.7], ["yes", "no"], all_kinds=["yes", "no"], **titles)
    >>> drawn.description, drawn.tables["points"]["text"].tolist()
    ('power, D over index of 2 candidates: 1 yes, 1 no.', ['● A', '▲ B'])
    >>> ringed = candidates_scatter(["A", "B"], [1.49, 1.52], [20.1, 19.7], ["yes", "no"], all_kinds=["yes", "no"], ringed=[False, True], **titles)
    >>> ringed.description, ringed.tables["points"]["ringed"].tolist()
    ('power, D over index of 2 candidates: 1 yes, 1 no; 1 ringed.', [False, True])
    >>> level = candidates_scatter(["lot A", "B", "lot C"], [1.49, 1.50, 1.6], [20.1, 20.1, 20.2], ["yes"] * 3, all_kinds=["yes"], **titles)
    >>> level.tables["points"]["text"].tolist()
    ['lot A ●', '● B', 'lot C ●']
    """
    if len(all_kinds) > len(SIGNS) or not len(names):
        raise InputError(f"nothing to draw: {len(names)} candidates of {len(all_kinds)} kinds (there are {len(SIGNS)} signs)")
    points = pd.DataFrame({"name": [str(n) for n in names], "x": np.asarray(x, float), "y": np.asarray(y, float), "kind": list(kinds)})
    sign = dict(zip(all_kinds, SIGNS, strict=False))
    named = len(points) <= NAMED
    points["left"] = _to_the_left(points["x"].to_numpy(), points["y"].to_numpy(), points["name"].tolist()) if named else False
    rows = zip(points["kind"], points["name"], points["left"], strict=True)
    points["text"] = [f"{n} {sign[k]}" if left else f"{sign[k]} {n}" for k, n, left in rows]
    counts = ", ".join(f"{int((points['kind'] == k).sum())} {k}" for k in all_kinds)
    if ringed is not None:
        points["ringed"] = np.asarray(ringed, dtype=bool)
        counts += f"; {int(points['ringed'].sum())} ringed"
    (x_low, x_high), (y_low, y_high) = _ends(points["x"]), _ends(points["y"])
    return Drawing(
        _shape, (named, tuple(all_kinds), ringed is not None, selectable, ground), {"points": points},
        {"x_title": x_title, "y_title": y_title, "x_low": x_low, "x_high": x_high, "y_low": y_low, "y_high": y_high},
        description=f"{y_title} over {x_title} of {counted(len(points), 'candidate')}: {counts}.",
    )  # fmt: skip


def _shape(named: bool, all_kinds: tuple[str, ...], ringed: bool, selectable: bool, ground: Ground) -> Any:
    many, kinds = len(all_kinds), list(all_kinds)
    by = "ringed:N" if ringed else "kind:N"
    scale = alt.Scale(domain=[True, False] if ringed else kinds, range=[BLUE, quiet(ground)] if ringed else colours(ground)[:many])
    colour = alt.Color(by, scale=scale, legend=None)
    base = alt.Chart(table("points"))
    if named:
        marks = base.mark_text(
            fontSize=15, fontWeight="bold", align=alt.expr("datum.left ? 'right' : 'left'"), dx=alt.expr("datum.left ? 5 : -5")
        ).encode(text="text:N", color=colour)
    else:
        marks = base.mark_point(size=32, opacity=0.8, fillOpacity=0.6, strokeWidth=1.2).encode(
            color=colour, fill=filled(alt.Fill(by, scale=scale, legend=None), all_kinds),
            shape=alt.Shape("kind:N", scale=alt.Scale(domain=kinds, range=list(SHAPES[:many])), legend=None),
        )  # fmt: skip
    x = alt.X("x:Q", title="@x_title", scale=alt.Scale(domain=["@x_low", "@x_high"], nice=False), axis=alt.Axis(grid=False, tickCount=6))
    y = alt.Y("y:Q", title="@y_title", scale=alt.Scale(domain=["@y_low", "@y_high"], nice=False), axis=_UPWARDS)
    chart = marks.encode(
        x=x, y=y,
        tooltip=[alt.Tooltip("name:N"), alt.Tooltip("x:Q", title="@x_title"), alt.Tooltip("y:Q", title="@y_title"), alt.Tooltip("kind:N", title=" ")],
    )  # fmt: skip
    if selectable:
        chart = chart.add_params(alt.selection_interval(name=SELECTION))
    if ringed:
        rings = base.transform_filter("datum.ringed").mark_point(size=380 if named else 110, color=BLUE, strokeWidth=1.6, opacity=1)
        chart = alt.layer(rings.encode(x=x, y=y), chart)
    return styled(chart.properties(width="container", height=360), ground)


def _to_the_left(x: FloatArray, y: FloatArray, names: Sequence[str]) -> NDArray[np.bool_]:
    """Whether a name goes left of its sign: right of it another sign or the picture's end is nearer than it reaches, and left of it no sign."""
    across, up = np.ptp(x) or 1.0, np.ptp(y) or 1.0
    reach = (np.array([len(name) for name in names]) + 2.0)[:, None] / LETTERS
    ahead, level = (x[None, :] - x[:, None]) / across, np.abs(y[None, :] - y[:, None]) / up < LEVEL
    right = (level & (ahead > 0) & (ahead < reach)).any(axis=1) | ((x.max() - x) / across + ROOM < reach[:, 0])
    return np.asarray(right & ~(level & (ahead < 0) & (ahead > -reach)).any(axis=1))


def _ends(values: Any) -> tuple[float, float]:
    low, high = float(values.min()), float(values.max())
    room = ROOM * (high - low) or 0.01 * abs(high) or 1.0
    return low - room, high + room

