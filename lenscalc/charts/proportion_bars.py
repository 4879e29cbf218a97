"""An error beside what scatters the refraction after surgery anyway."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from lenscalc.charts.columns import of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.uncertainty import BudgetLine
from lenscalc.uncertainty.rounding import with_sign

ROW_px = 38


@Charted
def proportion_bars(lines: Sequence[BudgetLine], error_D: float, error_name: str, *, ground: Ground = "light") -> Drawing:
    """Bars in dioptres of refraction: the standard deviation that each source brings, largest first, and below them the size of one error.

    The error is no standard deviation and stands apart, in another colour and with its sign in words.

    >>> from lenscalc.eye import in_proportion
    >>> chart = proportion_bars(in_proportion().lines, -0.1, "0.001 of the index, in every eye")
    >>> chart.to_dict()["description"]
    'Standard deviations of the refraction by source, the largest 0.44 D (implant position, foreseen); 0.001 of the index, in every eye: −0.10 D.'
    """
    ordered = sorted(lines, key=lambda line: -line.part)
    rows = [(x.part, f"{x.source}: {x.part:.2f} D", "scatter") for x in ordered]
    signed = with_sign(error_D, 2)
    rows.append((abs(error_D), f"{error_name}: {signed} D", "error"))
    most = max(0.5, *(size for size, *_ in rows))
    bars = of_rows(["size", "text", "kind", "place", "whole"], [(*row, f"{i:02d}", most) for i, row in enumerate(rows)])
    return Drawing(
        _shape, (ground,), {"bars": bars}, {"most": most}, {"height": len(rows) * ROW_px},
        f"Standard deviations of the refraction by source, the largest {ordered[0].part:.2f} D ({ordered[0].source}); {error_name}: {signed} D.",
    )  # fmt: skip


def _shape(ground: Ground) -> alt.LayerChart:
    size, whole = (alt.X(f"{name}:Q", scale=alt.Scale(domain=[0, "@most"]), axis=None) for name in ("size", "whole"))
    y = alt.Y("place:O", axis=None, scale=alt.Scale(paddingInner=0, paddingOuter=0))
    colour = alt.condition("datum.kind == 'error'", alt.value(ORANGE), alt.value(BLUE))
    base = alt.Chart(table("bars"))
    ground_bars = base.mark_bar(height=9, yOffset=9, color=quiet(ground), opacity=0.18).encode(x=whole, y=y)
    bars = base.mark_bar(height=9, yOffset=9).encode(x=size, y=y, color=colour)
    left, text = alt.value(0), "text:N"
    scatter, error = (base.transform_filter(f"datum.kind == '{kind}'") for kind in ("scatter", "error"))
    plain = scatter.mark_text(align="left", baseline="middle", dy=-7).encode(x=left, y=y, text=text)
    bold = error.mark_text(align="left", baseline="middle", dy=-7, fontWeight="bold").encode(x=left, y=y, text=text)
    return styled(alt.layer(ground_bars, bars, plain, bold).properties(width="container"), ground)
