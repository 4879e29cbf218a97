"""Many candidates in one picture: a mark for each, over two of their columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled
from lenscalc.errors import InputError

MOST: Final = 5000
NAMED: Final = 30  # so many are written with their names; more would cover each other
SIGNS: Final = ("●", "▲", "○", "◆")
_SHAPES: Final = ("circle", "triangle-up", "circle", "diamond")
SELECTION: Final = "chosen"


def candidates_scatter(
    names: Sequence[str], x: Any, y: Any, kinds: Sequence[str], *, x_title: str, y_title: str, all_kinds: Sequence[str],
    selectable: bool = True, ground: Ground = "light",
) -> Any:  # fmt: skip
    """A point a candidate; a few are written with their names. Where it is selectable, a rectangle drawn in it is the selection `chosen`.

    Parameters
    ----------
    names, x, y, kinds
        one entry a candidate: its name, finite numbers, and what kind it is.
    x_title, y_title : str
        with the unit.
    all_kinds : sequence of at most four
        in the order of the signs ●, ▲, ○ and ◆: a kind is told by its sign, not by colour alone.
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        for more kinds than there are signs, or nothing to draw.

    >>> titles = {"x_title": "index", "y_title": "power, D"}
    >>> chart = candidates_scatter(["A", "B"], [1.49, 1.52], [20.1, 19.7], ["yes", "no"], all_kinds=["yes", "no"], **titles)
    >>> chart.to_dict()["description"]
    'power, D over index of 2 candidates: 1 yes, 1 no.'
    """
    if len(all_kinds) > len(SIGNS) or not len(names):
        raise InputError(f"nothing to draw: {len(names)} candidates of {len(all_kinds)} kinds (there are {len(SIGNS)} signs)")
    table = pd.DataFrame({"name": [str(n) for n in names], "x": np.asarray(x, float), "y": np.asarray(y, float), "kind": list(kinds)})
    sign = dict(zip(all_kinds, SIGNS, strict=False))
    table["text"] = [f"{sign[k]} {n}" for k, n in zip(table["kind"], table["name"], strict=True)]
    colour = alt.Color(
        "kind:N", title=None, scale=alt.Scale(domain=list(all_kinds), range=[BLUE, ORANGE, quiet(ground), ink(ground)][: len(all_kinds)]), legend=None
    )
    shape = alt.Shape("kind:N", title=None, scale=alt.Scale(domain=list(all_kinds), range=list(_SHAPES[: len(all_kinds)])), legend=None)
    base = alt.Chart(table)
    if len(table) <= NAMED:
        marks = base.mark_text(fontSize=15, fontWeight="bold", align="left", dx=-5).encode(text="text:N", color=colour)
    elif len(all_kinds) == 1:
        marks = base.mark_point(filled=True, size=28, opacity=0.6).encode(color=colour)
    else:
        filled = alt.FillOpacity("kind:N", scale=alt.Scale(domain=list(all_kinds), range=[0.6, 0.6, 0.0, 0.6][: len(all_kinds)]), legend=None)
        marks = base.mark_point(size=32, opacity=0.8, strokeWidth=1.2).encode(
            color=colour, fill=alt.Fill("kind:N", scale=colour["scale"], legend=None), fillOpacity=filled, shape=shape
        )
    counts = ", ".join(f"{int((table['kind'] == k).sum())} {k}" for k in all_kinds)
    chart = marks.encode(
        x=alt.X("x:Q", title=x_title, scale=_scale(table["x"]), axis=alt.Axis(grid=False, tickCount=6)),
        y=alt.Y("y:Q", title=y_title, scale=_scale(table["y"]), axis=alt.Axis(tickCount=6)),
        tooltip=[alt.Tooltip("name:N"), alt.Tooltip("x:Q", title=x_title), alt.Tooltip("y:Q", title=y_title), alt.Tooltip("kind:N", title=" ")],
    ).properties(width="container", height=360, description=f"{y_title} over {x_title} of {len(table)} candidates: {counts}.")  # fmt: skip
    return styled(chart.add_params(alt.selection_interval(name=SELECTION)) if selectable else chart, ground)


def _scale(values: Any) -> alt.Scale:
    low, high = float(values.min()), float(values.max())
    room = 0.08 * (high - low) or 0.01 * abs(high) or 1.0
    return alt.Scale(domain=[low - room, high + room], nice=False)


def legend(all_kinds: Sequence[str]) -> str:
    """The signs in words, for the sentence under the chart.

    >>> legend(["would conform", "would not"])
    '● would conform, ▲ would not'
    """
    return ", ".join(f"{sign} {kind}" for sign, kind in zip(SIGNS, all_kinds, strict=False))
