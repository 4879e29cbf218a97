"""Several candidates at once: where the power of each lies about its own label, before its own tolerance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.signs import SHAPES, colours, filled
from lenscalc.charts.style import BLUE, ROWS_KEEP_THEIR_HEIGHT, Ground, quiet, styled
from lenscalc.errors import InputError
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import as_stated, signed

MOST: Final = 12  # rows that a reader takes in at once
ROW_px: Final = 40


@Charted
def powers_about_labels(
    names: Sequence[str], power_D: Any, half_D: Any, label_D: Any, lower_D: Any, upper_D: Any, kinds: Sequence[str], *,
    all_kinds: Sequence[str], ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """A row a candidate: its power less its label with the interval of it, on the band of its tolerance.

    Parameters
    ----------
    names, kinds
        one entry a candidate: its name, and what was decided of it.
    power_D, half_D, label_D, lower_D, upper_D : array
        its power, half of the interval about it, its label and the limits about that.
    all_kinds : sequence of at most four
        in the order of the signs (`lenscalc.charts.signs`).
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        if there is nothing to draw.

    >>> kinds = ["would conform", "not decided"]
    >>> of = {"label_D": [20, 20.5], "lower_D": [19.6, 20.1], "upper_D": [20.4, 20.9]}
    >>> drawn = powers_about_labels.drawing(["A", "B"], [20.1, 20.4], [0.1, 0.2], **of, kinds=kinds, all_kinds=kinds)
    >>> drawn.description, drawn.tables["rows"]["text"].tolist()
    ('The powers of 2 candidates about their labels: 1 would conform, 1 not decided.', ['A: 20.10 D for 20.00 D', 'B: 20.40 D for 20.50 D'])
    """
    if not len(names):
        raise InputError("nothing to draw: no candidate")
    rows = pd.DataFrame({"name": [str(n) for n in names], "kind": list(kinds), "row": np.arange(len(names)) + 0.68})
    power, half, label = (np.asarray(column, dtype=np.float64) for column in (power_D, half_D, label_D))
    rows["power"], rows["low"], rows["high"] = power - label, power - half - label, power + half - label
    rows["lower"], rows["upper"] = np.asarray(lower_D) - label, np.asarray(upper_D) - label
    rows["text"] = [f"{n}: {signed(p, 2)} D for {as_stated(at)} D" for n, p, at in zip(rows["name"], power, label, strict=True)]
    left, right = (float(f(np.stack([rows[a], rows[b]]))) for f, a, b in ((np.min, "low", "lower"), (np.max, "high", "upper")))
    room = 0.06 * (right - left) or 0.1
    counts = ", ".join(f"{int((rows['kind'] == k).sum())} {k}" for k in all_kinds if (rows["kind"] == k).any())
    return Drawing(
        _shape, (tuple(all_kinds), ground), {"rows": rows}, {"left": left - room, "right": right + room, "most": len(rows)},
        {"height": ROW_px * len(rows)}, description=f"The powers of {counted(len(rows), 'candidate')} about their labels: {counts}.",
    )  # fmt: skip


def _shape(all_kinds: tuple[str, ...], ground: Ground) -> alt.LayerChart:
    many, kinds = len(all_kinds), list(all_kinds)
    title = "power less its label, D"
    x = alt.X("power:Q", title=title, scale=alt.Scale(domain=["@left", "@right"], nice=False), axis=alt.Axis(format="+.1f", tickCount=6, grid=False))
    y = alt.Y("row:Q", scale=alt.Scale(domain=["@most", 0], nice=False), axis=None)
    of_kind = alt.Scale(domain=kinds, range=colours(ground)[:many])
    rows = alt.Chart(table("rows"))
    layers = [
        rows.mark_bar(height=18, color=BLUE, opacity=0.18).encode(x=alt.X("lower:Q", title=title), x2="upper:Q", y=y),
        rows.mark_tick(thickness=2, height=18, color=quiet(ground)).encode(x=alt.datum(0), y=y),
        rows.mark_rule(strokeWidth=3).encode(x=alt.X("low:Q", title=title), x2="high:Q", y=y, color=alt.Color("kind:N", scale=of_kind, legend=None)),
        rows.mark_point(size=110, opacity=1, strokeWidth=2).encode(
            x=x, y=y, color=alt.Color("kind:N", scale=of_kind, legend=None),
            fill=filled(alt.Fill("kind:N", scale=of_kind, legend=None), all_kinds),
            shape=alt.Shape("kind:N", scale=alt.Scale(domain=kinds, range=list(SHAPES[:many])), legend=None),
        ),
        rows.mark_text(align="left", baseline="bottom", dy=-11).encode(x=alt.value(4), y=y, text="text:N"),
    ]  # fmt: skip
    return styled(alt.layer(*layers).properties(width="container", autosize=ROWS_KEEP_THEIR_HEIGHT), ground)
