"""What a change of the index costs in power, against the index of the polymer."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns
from lenscalc.charts.names_apart import apart
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.conditions import N_MEDIUM_IN_USE

LOWEST, HIGHEST = 1.40, 1.70
NAMES_FROM, NAMES_TO = 1.615, 1.76  # where the names stand: the curve has fallen below all of them there
HEIGHT_px, NAME_px = 380, 21
FURTHEST_UP = 1.12  # the picture's own range of costs, in that of the curve


def cost_of_index(*, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `cost_of_index_data` makes them.

    >>> cost_of_index().to_dict()["layer"][0]["data"]
    {'name': 'points'}
    """
    across = alt.Axis(format=".2f", values=np.arange(LOWEST, HIGHEST + 0.01, 0.05).round(2).tolist(), grid=False, titleAnchor="start")
    x = alt.X("n:Q", title="index of the polymer", scale=alt.Scale(domain=[LOWEST, NAMES_TO], nice=False), axis=across)
    y = alt.Y("cost:Q", title="change of the power, D", scale=alt.Scale(zero=True, nice=False), axis=alt.Axis(tickCount=5, grid=False))
    points = alt.Chart(alt.NamedData("points"))
    layers = [
        points.mark_rule(color=quiet(ground), strokeWidth=1).encode(x=x, x2="to:Q", y=y, y2="at:Q"),
        alt.Chart(alt.NamedData("rule")).mark_line(color=BLUE, strokeWidth=4).encode(x=x, y=y),
        points.mark_point(color=ORANGE, filled=True, size=150, opacity=1).encode(x=x, y=y),
        points.mark_text(align="left", baseline="middle", dx=5, fontSize=15).encode(x=alt.X("to:Q"), y=alt.Y("at:Q"), text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=HEIGHT_px), ground)


def cost_of_index_data(power_D: float, n_lens: Any, moved_D: Any, names: list[str], *, index_change: float) -> dict[str, Columns]:
    """The rule F·Δn/(n − m) of a thin lens as a curve, without its sign; what each lens's own power does, named with its value right of it.

    >>> data = cost_of_index_data(20.0, [1.49], [-0.1295], ["PMMA"], index_change=-0.001)
    >>> data["rule"]["cost"][0].round(4), data["points"]["text"].tolist()
    (np.float64(0.3125), ['PMMA: 0.13 D'])
    """
    n = np.linspace(LOWEST, HIGHEST, 97)
    rule = abs(power_D * index_change) / (n - N_MEDIUM_IN_USE)
    cost = np.abs(np.asarray(moved_D, dtype=np.float64))
    room = NAME_px * FURTHEST_UP * float(rule[0]) / HEIGHT_px
    at = apart(cost, room)
    at = at + max(0.0, float(np.interp(NAMES_FROM, n, rule)) + room / 2.0 - float(at.min()))  # no name on the curve
    text = [f"{name}: {D:.{2 if D >= 0.1 else 3}f} D" for name, D in zip(names, cost, strict=True)]
    points = columns({"n": np.asarray(n_lens, dtype=np.float64), "cost": cost, "to": NAMES_FROM, "at": at, "text": text})
    return {"rule": columns({"n": n, "cost": rule}), "points": points}
