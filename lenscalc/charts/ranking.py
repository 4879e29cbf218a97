"""How sure an order of candidates is: the distribution of the rank of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.errors import InputError
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import percent

ROW_px = 58
WRITTEN = 0.005  # smaller shares are drawn and not written


@Charted
def rank_bars(names: Sequence[str], probability: Any, *, most: int = 12, width: int | str = "container", ground: Ground = "light") -> Drawing:
    """A row a candidate, the first on top; in it a bar for each rank, as high as its probability, the share written above; the mean rank is marked.

    Parameters
    ----------
    names : sequence of texts
        the candidates in the order of their ranks.
    probability : array of shape (candidates, ranks)
        as `lenscalc.decision.rank_trials` returns it; every row adds up to 1.
    most : int
        so many candidates are drawn; ranks beyond as many are drawn together as the last.
    width : int or "container"
        in pixels.
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        if there is nothing to draw, or names and probabilities are not as many.

    Examples
    --------
    >>> chart = rank_bars(["A", "B"], [[0.75, 0.25], [0.25, 0.75]])
    >>> chart.to_dict()["description"]
    'Distribution of the ranks of 2 candidates; A has rank 1 with 75 %.'
    """
    p = np.asarray(probability, dtype=np.float64)
    if p.ndim != 2 or len(p) == 0 or len(names) < len(p):
        raise InputError("nothing to draw: no candidate has a distribution of ranks (is nothing uncertain, or nobody left?)")
    shown, mean = p[:most], p @ np.arange(1.0, p.shape[1] + 1.0)
    later = p.shape[1] > most
    if later:
        shown = np.column_stack([shown[:, :most], shown[:, most:].sum(axis=1)])
    many, ranks = shown.shape
    tall = 0.58  # of a row for a share of 1; the rest is for the writing
    bars = pd.DataFrame([
        {"candidate": str(names[i]), "rank": r + 1.0, "base": -float(i), "top": -i + tall * shown[i, r], "share": shown[i, r],
         "text": percent(shown[i, r]) if shown[i, r] >= WRITTEN else ""}
        for i in range(many) for r in range(ranks)
    ])  # fmt: skip
    rows = pd.DataFrame([
        {"candidate": str(names[i]), "base": -float(i), "below": -i - 0.13, "mean": min(mean[i], ranks), "left": 0.4, "right": ranks + 0.6}
        for i in range(many)
    ])  # fmt: skip
    thick = max(4, int(0.5 * (560 if isinstance(width, str) else width) / (ranks + 0.2)))
    return Drawing(
        _shape, (many, ranks, later, thick, ground), {"bars": bars, "rows": rows}, {}, {"width": width, "height": ROW_px * many},
        description=f"Distribution of the ranks of {counted(len(p), 'candidate')}; {names[0]} has rank 1 with {percent(p[0, 0])}.",
    )  # fmt: skip


def _shape(many: int, ranks: int, later: bool, thick: int, ground: Ground) -> alt.LayerChart:
    x_scale, y_scale = alt.Scale(domain=[0.4, ranks + 0.6], nice=False), alt.Scale(domain=[-many + 0.75, 0.85], nice=False)
    titles = [*(str(r + 1) for r in range(ranks - 1)), "later" if later else str(ranks)]
    labels = " : ".join(f"datum.value == {r + 1} ? '{title}'" for r, title in enumerate(titles)) + " : ''"
    axis = alt.Axis(values=list(range(1, ranks + 1)), labelExpr=labels, grid=False, orient="top", domain=False, ticks=False)

    def across(column: str) -> alt.X:
        return alt.X(f"{column}:Q", title="rank (the mark: mean rank)", scale=x_scale, axis=axis)

    def up(column: str) -> alt.Y:
        return alt.Y(f"{column}:Q", scale=y_scale, axis=None)

    bars, rows = (alt.Chart(table(name)) for name in ("bars", "rows"))
    return styled(alt.layer(
        rows.mark_rule(color=quiet(ground), opacity=0.5).encode(x=across("left"), x2="right:Q", y=up("base")),
        bars.mark_bar(color=BLUE, width=thick).encode(x=across("rank"), y=up("base"), y2="top:Q"),
        bars.mark_text(baseline="bottom", dy=-2, fontSize=12).encode(x=across("rank"), y=up("top"), text="text:N"),
        rows.mark_tick(color=ORANGE, thickness=3, height=9, opacity=1).encode(x=across("mean"), y=up("below")),
        rows.mark_text(align="right", baseline="bottom", fontWeight="bold", dx=-8).encode(x=alt.value(0), y=up("base"), text="candidate:N"),
    ), ground)  # fmt: skip
