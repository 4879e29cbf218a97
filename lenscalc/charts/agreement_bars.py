"""How far computed reference values lie from the printed ones, as a part of their tolerance."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled
from lenscalc.quantities import counted

BINS = 24  # from -1.2 to 1.2 of the tolerance
ENDS = 1.2


@Charted
def agreement_bars(part_of_tolerance: Any, *, ground: Ground = "light") -> Drawing:
    """How many values lie how far from the printed ones: bars over the difference, 1 being the tolerance; what lies outside is orange.

    What is beyond 1.2 of its tolerance, or infinite, stands in the outermost bar.

    >>> chart = agreement_bars([0.0, 0.3, -0.9, 1.5])
    >>> chart.to_dict()["description"]
    'Computed less printed, as a part of the tolerance: 3 of 4 values lie within it.'
    """
    parts = np.nan_to_num(np.asarray(part_of_tolerance, dtype=np.float64), nan=np.inf)
    edges = np.linspace(-ENDS, ENDS, BINS + 1)
    agree = np.abs(parts) <= 1.0 + 1e-9
    drawn = np.where(agree, np.clip(parts, -1.0, 1.0 - 1e-9), np.clip(parts, -ENDS, ENDS))  # what agrees to rounding stands within, not beside
    counts, _ = np.histogram(drawn, edges)
    within = int(np.sum(agree))
    bars = pd.DataFrame({"from": edges[:-1], "to": edges[1:], "values": counts, "none": 0})
    bars["outside"] = (bars["to"] < -1.0 + 1e-9) | (bars["from"] > 1.0 - 1e-9)
    ends = pd.DataFrame({"at": [-1.0, 1.0], "text": ["tolerance", "tolerance"]})
    return Drawing(
        _shape, (ground,), {"bars": bars, "ends": ends},
        description=f"Computed less printed, as a part of the tolerance: {within} of {counted(parts.size, 'value')} "
        f"{'lies' if within == 1 else 'lie'} within it.",
    )  # fmt: skip


def _shape(ground: Ground) -> alt.LayerChart:
    axis = alt.Axis(values=[-1, -0.5, 0, 0.5, 1], format="+.1f", grid=False)
    x = alt.X("from:Q", title="computed less printed, as a part of the tolerance", scale=alt.Scale(domain=[-ENDS, ENDS], nice=False), axis=axis)
    y = alt.Y("values:Q", title="reference values", axis=alt.Axis(tickCount=5))
    colour = alt.condition("datum.outside", alt.value(ORANGE), alt.value(BLUE))
    ends = alt.Chart(table("ends"))
    return styled(alt.layer(
        alt.Chart(table("bars")).mark_rect(opacity=0.8).encode(x=x, x2="to:Q", y=y, y2="none:Q", color=colour),
        ends.mark_rule(strokeDash=[6, 4], color=quiet(ground)).encode(x=alt.X("at:Q")),
        ends.mark_text(
            baseline="top", dy=4, color=ink(ground), align=alt.ExprRef("datum.at < 0 ? 'left' : 'right'"), dx=alt.ExprRef("datum.at < 0 ? 5 : -5")
        ).encode(x=alt.X("at:Q"), y=alt.value(0), text="text:N"),
    ).properties(width="container", height=260), ground)  # fmt: skip
