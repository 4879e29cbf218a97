"""How far the power of lenses of several polymers moves when each has another index than was meant."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns
from lenscalc.charts.names_apart import apart
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.lens import Recut, thick_lens

FURTHEST = 0.005  # of the index change, either way
NAMES_FROM, NAMES_TO = 0.0056, 0.0135  # where the names stand, right of the lines
HEIGHT_px, NAME_px = 420, 24
NARROW = "width < 640"  # of the picture, in pixels: there what the change does stands before the name


def power_by_index_change(*, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `power_by_index_change_data` makes them.

    >>> power_by_index_change().to_dict()["layer"][0]["data"]
    {'name': 'cursor'}
    """
    ticks = [-0.004, -0.002, 0.0, 0.002, 0.004]
    across = alt.Scale(domain=[-FURTHEST, NAMES_TO], nice=False)
    x = alt.X("change:Q", title="change of the index", scale=across, axis=alt.Axis(values=ticks, format="+.3f", grid=False, titleAnchor="start"))
    y = alt.Y("power:Q", title="power, D", scale=alt.Scale(zero=False, nice=False, padding=8), axis=alt.Axis(tickCount=6, grid=False))
    lines, names, points = (alt.Chart(alt.NamedData(name)) for name in ("lines", "names", "points"))
    steepest, cursor = "datum.place == 0", alt.Chart(alt.NamedData("cursor"))
    layers = [
        cursor.mark_rule(color=quiet(ground), strokeWidth=2, strokeDash=[5, 4]).encode(x=x),
        cursor.mark_text(align="right", baseline="bottom", dy=-4, fontSize=13, color=quiet(ground)).encode(
            x=alt.datum(NAMES_TO), y=alt.value(0), text="text:N"
        ),
        lines.transform_filter(f"!({steepest})").mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y, detail="place:N"),
        lines.transform_filter(steepest).mark_line(color=ORANGE, strokeWidth=4).encode(x=x, y=y),
        names.mark_rule(color=quiet(ground), strokeWidth=1).encode(x=x, x2="to:Q", y=alt.Y("end:Q"), y2="power:Q"),
        names.mark_text(
            align="left", baseline="middle", dx=5, fontSize=alt.expr(f"width < 400 ? 11 : {NARROW} ? 13 : 15"),
            text=alt.expr(f"{NARROW} ? datum.moved + ' ' + datum.name : datum.name + ' (' + datum.index + ')'"),
        ).encode(x=alt.X("to:Q"), y=y),
        names.mark_text(align="right", baseline="middle", fontSize=15, opacity=alt.expr(f"{NARROW} ? 0 : 1")).encode(
            x=alt.datum(NAMES_TO), y=y, text="moved:N"
        ),
        points.transform_filter(f"!({steepest})").mark_point(color=BLUE, filled=True, size=110, opacity=1).encode(x=x, y=y),
        points.transform_filter(steepest).mark_point(color=ORANGE, filled=True, size=150, opacity=1).encode(x=x, y=y),
    ]  # fmt: skip
    return styled(alt.layer(*layers).properties(width="container", height=HEIGHT_px), ground)


def power_by_index_change_data(lenses: Recut, n_lens: Any, names: list[str], *, index_change: float) -> dict[str, Columns]:
    """A line a lens, its name and index, what the change does to it, and where the change stands on it. Place 0 is the lens that moves most.

    Parameters
    ----------
    lenses : Recut
        arrays, one a polymer, all of one power.
    n_lens : array
        for which each was cut, in the eye's medium.
    names : list of str
    index_change : float

    >>> from lenscalc.lens import recut
    >>> n = [1.43, 1.49]
    >>> data = power_by_index_change_data(recut(20.0, n, center_thickness_mm=1.0), n, ["one", "other"], index_change=0.001)
    >>> data["names"]["index"].tolist(), data["names"]["moved"].tolist()
    (['1.430', '1.490'], ['+0.21 D', '+0.13 D'])
    """
    n = np.asarray(n_lens, dtype=np.float64)[:, None]
    R1, R2, t = (np.asarray(a)[:, None] for a in (lenses.front_radius_mm, lenses.back_radius_mm, lenses.center_thickness_mm))
    change = np.array([-FURTHEST, 0.0, FURTHEST, index_change])
    power = np.asarray(thick_lens(R1, R2, t, n + change).power_D)
    order = np.argsort(-np.abs(power[:, 2] - power[:, 0]), kind="stable")
    place = np.empty(len(order), dtype=int)
    place[order] = np.arange(len(order))
    # the picture's own range of powers, so that a name takes the room of its letters
    span = float(power[:, :3].max() - power[:, :3].min()) or 1.0
    at = apart(power[:, 2], NAME_px * 1.1 * span / HEIGHT_px)
    moved = power[:, 3] - power[:, 1]
    beside = {"name": names, "index": [f"{m:.3f}" for m in n[:, 0]], "moved": [f"{_signed(D)} D" for D in moved]}
    lines = columns({"place": np.repeat(place, 3), "change": np.tile(change[:3], len(n)), "power": power[:, :3].ravel()})
    table = columns({"place": place, "change": FURTHEST, "to": NAMES_FROM, "end": power[:, 2], "power": at, **beside})
    points = columns({"place": place, "change": index_change, "power": power[:, 3]})
    chosen = columns({"change": [index_change], "text": [f"at {index_change:+.4f}".replace("-", "−") if index_change else "no change"]})
    return {"lines": lines, "names": table, "points": points, "cursor": chosen}


def _signed(D: float) -> str:
    """As many digits as a reader of a picture uses.

    >>> _signed(-0.4074), _signed(0.0768), _signed(1e-9)
    ('−0.41', '+0.077', '0.000')
    """
    return f"{D:+.{2 if abs(D) >= 0.1 else 3}f}".replace("-", "−") if abs(D) >= 0.0005 else "0.000"
