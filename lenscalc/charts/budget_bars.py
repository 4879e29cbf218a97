"""Where an uncertainty comes from: the share of u² of each source."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lenscalc.charts.columns import of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, Ground, quiet, styled
from lenscalc.uncertainty import BudgetLine
from lenscalc.uncertainty.budget import WHOSE
from lenscalc.uncertainty.rounding import percent

ROW_px = 38


@Charted
def budget_bars(lines: Sequence[BudgetLine], *, most: int = 7, ground: Ground = "light") -> Drawing:
    """Bars of the share of u², largest first, each with its source, whose error it is, and the share written above it.

    Parameters
    ----------
    lines : sequence of BudgetLine
        as `lenscalc.uncertainty.budget` returns them.
    most : int
        this many lines are drawn, the rest together as the last one.
    ground : "light" or "dark"
        what the chart stands on.

    Examples
    --------
    >>> from lenscalc.uncertainty import BudgetLine
    >>> lines = [BudgetLine("calibration", 3e-4, 0.36, "instrument", "normal", 50.0), BudgetLine("replicates", 4e-4, 0.64, "lot", "t", 4.0)]
    >>> [row["source"] for row in budget_bars(lines).to_dict()["datasets"]["bars"]]
    ['replicates', 'calibration']
    """
    ordered = sorted(lines, key=lambda line: -line.share)
    alone = most + 1 if len(ordered) == most + 1 else most  # a rest of one line is that line
    rows = [(line.source, line.share, f"{line.source} ({WHOSE.get(line.scope, line.scope)}): {percent(line.share)}") for line in ordered[:alone]]
    if rest := ordered[alone:]:
        together = sum(line.share for line in rest)
        rows.append(("the rest", together, f"{len(rest)} smaller sources together: {percent(together)}"))
    bars = of_rows(["source", "share", "text", "place", "whole"], [(*row, f"{i:02d}", 1.0) for i, row in enumerate(rows)])
    largest = rows[0][2] if rows else "nothing"
    return Drawing(
        _shape, (ground,), {"bars": bars}, {}, {"height": max(1, len(rows)) * ROW_px},
        f"Share of the squared uncertainty by source; the largest is {largest}.",
    )  # fmt: skip


def _shape(ground: Ground) -> alt.LayerChart:
    share, whole_share = (alt.X(f"{name}:Q", scale=alt.Scale(domain=[0, 1]), axis=None) for name in ("share", "whole"))
    y = alt.Y("place:O", axis=None, scale=alt.Scale(paddingInner=0, paddingOuter=0))
    base = alt.Chart(table("bars"))
    whole = base.mark_bar(height=9, yOffset=9, color=quiet(ground), opacity=0.18).encode(x=whole_share, y=y)
    bars = base.mark_bar(height=9, yOffset=9, color=BLUE).encode(x=share, y=y)
    texts = base.mark_text(align="left", baseline="middle", dy=-7).encode(x=alt.value(0), y=y, text="text:N")
    return styled(alt.layer(whole, bars, texts).properties(width="container"), ground)
