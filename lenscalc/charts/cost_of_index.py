"""What 0.001 of index costs in power, against the index of the polymer."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns
from lenscalc.charts.style import BLUE, ORANGE, Ground, styled
from lenscalc.conditions import N_MEDIUM_IN_USE

LOWEST, HIGHEST = 1.40, 1.70
NEAR = 0.03  # indices this close have their names on two sides


def cost_of_index(*, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `cost_of_index_data` makes them.

    >>> cost_of_index().to_dict()["layer"][0]["data"]
    {'name': 'rule'}
    """
    x = alt.X("n:Q", title="index of the polymer", scale=alt.Scale(domain=[LOWEST, HIGHEST]), axis=alt.Axis(format=".2f", tickCount=7, grid=False))
    y = alt.Y("cost:Q", title="D for 0.001 of index", scale=alt.Scale(zero=True), axis=alt.Axis(tickCount=5))
    points = alt.Chart(alt.NamedData("points"))
    layers = [
        alt.Chart(alt.NamedData("rule")).mark_line(color=BLUE, strokeWidth=4).encode(x=x, y=y),
        points.mark_point(color=ORANGE, filled=True, size=150, opacity=1).encode(x=x, y=y),
        points.transform_filter("datum.above").mark_text(align="left", baseline="bottom", dx=8, dy=-8, fontSize=15).encode(x=x, y=y, text="text:N"),
        points.transform_filter("!datum.above").mark_text(align="right", baseline="top", dx=-8, dy=10, fontSize=15).encode(x=x, y=y, text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=380), ground)


def cost_of_index_data(power_D: float, n_lens: Any, d_power_d_n_lens: Any, names: list[str]) -> dict[str, Columns]:
    """The rule F·0.001/(n − m) of a thin lens as a curve, and each lens's own derivative on it.

    >>> data = cost_of_index_data(20.0, [1.49], [129.5], ["PMMA"])
    >>> data["rule"]["cost"][0].round(4), data["points"]["text"].tolist()
    (np.float64(0.3125), ['PMMA'])
    """
    n = np.linspace(LOWEST, HIGHEST, 97)
    at = np.asarray(n_lens, dtype=np.float64)
    above = np.ones(len(at), dtype=bool)
    order = np.argsort(at, kind="stable")
    for before, here in pairwise(order):
        above[here] = not (above[before] and at[here] - at[before] < NEAR)
    above[order] = above[order] | (at[order] < LOWEST + NEAR)
    points = columns({"n": at, "cost": np.abs(np.asarray(d_power_d_n_lens)) / 1000.0, "text": names, "above": above})
    return {"rule": columns({"n": n, "cost": abs(power_D) / 1000.0 / (n - N_MEDIUM_IN_USE)}), "points": points}
