"""What became of a lot? Its records one after another, the index of each with its u."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, in_expression, quiet, styled, titled
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import decimals_for

HEIGHT_px = 220
_LOOKS: dict[str, dict[str, Any]] = {
    "stands": {"color": BLUE, "filled": True, "size": 60, "opacity": 1},
    "superseded": {"filled": False, "size": 60, "strokeWidth": 2},
    "looked at": {"color": ORANGE, "filled": True, "shape": "diamond", "size": 140, "opacity": 1},
}


@Charted
def lot_history(
    day: Sequence[str], n_lens: Sequence[float], u_n_lens: Sequence[float], *, superseded: Sequence[bool], looked_at: int | None = None,
    most: int = 60, width: int | str = "container", ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """Records in the order in which they were added: a point with bars of one u; superseded ones hollow, the one looked at a diamond.

    Parameters
    ----------
    day : sequence of str
        what stands below each.
    n_lens, u_n_lens : sequence of float
        index in use of each record, and its standard uncertainty.
    superseded : sequence of bool
        whether another record has come in its place, or it was withdrawn.
    looked_at : int, optional
        which of them is looked at, counted from 0.
    most : int
        no more than these are drawn, the last ones.
    width : int or "container"
        in pixels.
    ground : "light" or "dark"
        what the chart stands on.

    Examples
    --------
    >>> lot_history(["2026-11-20"], [1.4988], [1e-4], superseded=[False]).to_dict()["description"]
    'The index of 1 record of the lot, 1.49880 to 1.49880; none is superseded or withdrawn.'
    """
    n, u, old = np.asarray(n_lens, dtype=np.float64), np.asarray(u_n_lens, dtype=np.float64), np.asarray(superseded, dtype=bool)
    start = max(0, len(n) - most)
    kind = np.where(old, "superseded", "stands").astype(object)
    if looked_at is not None:
        kind[looked_at] = "looked at"
    at = np.arange(1, len(n) + 1)
    data = pd.DataFrame({"at": at, "n": n, "low": n - u, "high": n + u, "kind": kind})[start:]
    low, high = float(data["low"].min()), float(data["high"].max())
    room = 0.1 * (high - low) or 1e-5
    decimals = decimals_for(float(u[start:].min())) if u[start:].min() > 0 else 5
    ticks = sorted({int(t) for t in np.linspace(start + 1, len(n), min(5, len(n) - start)).round()})
    labels = " : ".join(f"datum.value == {t} ? {in_expression(day[t - 1][:10])}" for t in ticks) + " : ''"
    kinds = tuple(name for name in _LOOKS if (data["kind"] == name).any())  # a layer without a point would be a picture without words
    count, gone = len(n), int(old.sum())
    told = f"{gone} {'is' if gone == 1 else 'are'} superseded or withdrawn" if gone else "none is superseded or withdrawn"
    keys = [
        "Bars are u.", *(["The diamond is this one."] if "looked at" in kinds else []),
        *(["Hollow: superseded or withdrawn."] if "superseded" in kinds else []),
    ]  # fmt: skip
    if start:
        keys.append(f"Drawn are the last {count - start} of {count}.")
    return Drawing(
        _shape, (kinds, tuple(ticks), labels, (start + 0.4, count + 0.6), decimals, ground), {"records": data},
        {"low": low - room, "high": high + room}, {"width": width, "height": HEIGHT_px, "title": titled(" ".join(keys)).to_dict()},
        description=f"The index of {counted(count, 'record')} of the lot, {n.min():.{decimals}f} to {n.max():.{decimals}f}; {told}.",
    )  # fmt: skip


def _shape(
    kinds: tuple[str, ...], ticks: tuple[int, ...], labels: str, ends: tuple[float, float], decimals: int, ground: Ground
) -> alt.LayerChart:
    axis = alt.Axis(values=list(ticks), labelExpr=labels, grid=False, labelFlush=True)
    x = alt.X("at:Q", title=None, scale=alt.Scale(domain=list(ends), nice=False), axis=axis)
    scale = alt.Scale(domain=["@low", "@high"], nice=False, zero=False)
    y = alt.Y("n:Q", title="index in the eye", scale=scale, axis=alt.Axis(tickCount=4, format=f".{decimals}f"))
    whole = alt.Chart(table("records"))
    layers: list[Any] = [whole.mark_rule(color=quiet(ground), strokeWidth=1.5).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q")]
    for name in kinds:
        look = {"color": quiet(ground)} | _LOOKS[name]
        layers.append(whole.transform_filter(f"datum.kind == '{name}'").mark_point(**look).encode(x=x, y=y))
    return styled(alt.layer(*layers), ground)
