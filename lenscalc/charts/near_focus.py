"""The focus of the labelled power and the focus that a change makes of it, magnified: to scale their distance is a hair's breadth."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns, of_rows
from lenscalc.charts.drawing import table
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet
from lenscalc.eye import LightWay

STRIP_px = 220  # below the axis of the picture above, whose numbers and title stand in it
TITLE_px, NAMES_px, MIDDLE_px, BAR_px = -62.0, -102.0, -150.0, -202.0
OPEN_px = 30.0  # of the labelled cone at both ends
WINDOWS_mm = (0.5, 1.0, 2.0, 5.0)  # to either side of the focus; the first serves all but gross errors, so that pictures can be compared
BARS_mm = dict(zip(WINDOWS_mm, (0.1, 0.2, 0.5, 1.0), strict=True))
FARTHEST = 0.6  # of the window, for the changed focus


def near_focus_tables(way: LightWay, left: float, right: float) -> dict[str, Columns]:
    """The strip in the coordinates of the picture above it: along the axis from `left` to `right` [mm there], heights in pixels below its axis.

    Heights are not to scale, as above. A focus that lies farther away than the widest window reaches is left out, which is said.

    >>> from lenscalc.eye import light_way
    >>> tables = near_focus_tables(light_way(20.0, 20.13), -5.0, 25.0)
    >>> tables["near_title"]["text"].item()
    'about the focus, 30 times as long'
    >>> round((tables["near_moved"]["z"].item() - tables["near_focus"]["z"].item()) / 30.0, 3)  # mm, as light_way has it
    -0.034
    """
    shift = way.focus_shift_mm
    window = next((w for w in WINDOWS_mm if np.isfinite(shift) and abs(shift) <= FARTHEST * w), None)
    times = (right - left) / (2.0 * (window or WINDOWS_mm[0]))
    middle, bar = (left + right) / 2.0, BARS_mm[window or WINDOWS_mm[0]]
    slope, opened = 2.0 * OPEN_px / (right - left), np.array([1.0, 0.0, 1.0])
    moved = middle + times * shift if window else np.nan
    side = -1 if shift < 0 else 1
    names = [(middle, "as labelled", -side)]
    if window:
        alike = abs(round(shift, 3)) == 0
        names = [(middle, "the focus stays", 1)] if alike else [*names, (moved, "changed", side)]
    title = f"about the focus, {times:.0f} times as long" if window else "the changed focus lies far outside"
    ends = (left, moved, right) if window else ()
    rays = [(z, MIDDLE_px + ray * slope * (z - moved), ray) for ray in (-1, 1) for z in ends]
    return {
        "near_beam": columns({"z": [left, middle, right], "y": MIDDLE_px + OPEN_px * opened, "low": MIDDLE_px - OPEN_px * opened}),
        "near_rays": of_rows(["z", "y", "ray"], rays),
        "near_axis": columns({"z": left, "z2": right, "y": MIDDLE_px}),
        "near_focus": columns({"z": middle, "y": MIDDLE_px}),
        "near_moved": of_rows(["z", "y"], [(moved, MIDDLE_px)] if window else []),
        "near_left": of_rows(["z", "text", "y"], [(z, text, NAMES_px) for z, text, to in names if to < 0]),
        "near_right": of_rows(["z", "text", "y"], [(z, text, NAMES_px) for z, text, to in names if to > 0]),
        "near_title": columns({"z": left, "y": TITLE_px, "text": title}),
        "near_bar": columns({"z": right - times * bar, "z2": right, "y": BAR_px, "text": f"{bar:g} mm"}),
    }  # fmt: skip


def near_focus_layers(x: Any, y: Any, ground: Ground) -> list[alt.Chart]:
    """The layers that draw these tables on the axes of the picture above."""
    on_left, on_right, bar = (alt.Chart(table(f"near_{name}")) for name in ("left", "right", "bar"))
    return [
        alt.Chart(table("near_beam")).mark_area(color=BLUE, opacity=0.25).encode(x=x, y=y, y2="low:Q"),
        alt.Chart(table("near_axis")).mark_rule(color=quiet(ground)).encode(x=x, x2="z2:Q", y=y),
        alt.Chart(table("near_rays")).mark_line(color=ORANGE, strokeWidth=2, strokeDash=[6, 4]).encode(x=x, y=y, detail="ray:N"),
        alt.Chart(table("near_focus")).mark_point(color=BLUE, filled=True, size=80, opacity=1).encode(x=x, y=y),
        alt.Chart(table("near_moved")).mark_point(color=ORANGE, shape="diamond", filled=True, size=110, opacity=1).encode(x=x, y=y),
        on_left.mark_text(align="right", baseline="bottom").encode(x=x, y=y, text="text:N"),
        on_right.mark_text(align="left", baseline="bottom").encode(x=x, y=y, text="text:N"),
        alt.Chart(table("near_title")).mark_text(align="left", baseline="top", fontWeight="bold").encode(x=x, y=y, text="text:N"),
        bar.mark_rule(color=quiet(ground), strokeWidth=3).encode(x=x, x2="z2:Q", y=y),
        bar.mark_text(align="right", baseline="top", dy=5).encode(x=alt.X("z2:Q"), y=y, text="text:N"),
    ]
