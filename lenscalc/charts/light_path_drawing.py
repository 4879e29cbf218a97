"""The way of light from far away through a schematic eye, with its vergences as numbers."""

from __future__ import annotations

from typing import Literal

import altair as alt

from lenscalc.charts.columns import columns, kept, of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.near_focus import STRIP_px, near_focus_layers, near_focus_tables
from lenscalc.charts.style import BLUE, Ground, ink, quiet, styled
from lenscalc.eye import LightWay
from lenscalc.uncertainty.rounding import signed

IN_FRONT_mm = 5.0
BEHIND_mm = 1.5
LINE_px = 20
BEAM_px = 120
ROOM_px = 16


@Charted
def light_path_drawing(way: LightWay, *, ground: Ground = "light") -> Drawing:
    """The beam along the axis, to scale there; above every plane its name, the vergence before → behind it, and what the change makes of them.

    Heights are not to scale. The focus is that with the labelled power; how far the change moves it is written beside it, and drawn below in a
    strip about the focus that is magnified, because to scale nobody would see it.

    >>> from lenscalc.eye import light_way
    >>> light_path_drawing(light_way(20.0, 20.13)).to_dict()["description"]
    'Light from far away: cornea 0.00 → 43.08 D, implant 51.36 → 71.36 D (change 0.00 → +0.13 D); the focus moves by −0.03 mm.'
    """
    left, right = -IN_FRONT_mm, way.focus_mm + BEHIND_mm
    rows = 3 * len(way.steps) + 2
    top, total = float(BEAM_px + ROOM_px), float(BEAM_px + ROOM_px + LINE_px * rows)
    middle, half = BEAM_px / 2.0, 0.42 * BEAM_px

    beam = [(left, 1.0), *((s.place_mm, s.height) for s in way.steps), (way.focus_mm, 0.0)]
    planes, texts = [], []
    for i, s in enumerate(way.steps):
        at = total - LINE_px * (3 * i + 1)
        lines_below = 1.4
        texts.append((s.place_mm + 0.3, at, s.plane, "name"))
        texts.append((s.place_mm + 0.3, at - LINE_px, f"{_pair(s.before_D, s.behind_D)} D", "number"))
        if _changed(s.change_before_D) or _changed(s.change_behind_D):
            change = f"change {_changes(s.change_before_D, s.change_behind_D)} D"
            texts.append((s.place_mm + 0.3, at - 2 * LINE_px, change, "change"))
            lines_below = 2.4
        planes.append((s.place_mm, middle - 1.15 * half, at - LINE_px * lines_below))
    written = ["z", "y", "text", "kind"]
    words = of_rows(written, texts)
    ends = of_rows(written, [
        (way.focus_mm + BEHIND_mm, top + 0.9 * LINE_px, f"focus at {way.focus_mm:.2f} mm", "name"),
        (way.focus_mm + BEHIND_mm, top - 0.1 * LINE_px, f"moves by {_signed(way.focus_shift_mm)} mm", "change"),
    ])  # fmt: skip
    tables = {
        "beam": of_rows(["z", "y", "low"], [(z, middle + half * h, middle - half * h) for z, h in beam]),
        "axis": columns({"z": left, "z2": right, "y": middle}),
        "planes": of_rows(["z", "y", "y2"], planes),
        "names": kept(words, words["kind"] == "name"),
        "numbers": kept(words, words["kind"] != "name"),
        "focus": columns({"z": way.focus_mm, "y": middle}),
        "focus_name": kept(ends, ends["kind"] == "name"),
        "focus_moves": kept(ends, ends["kind"] != "name"),
        "arrow": columns({"z": left + 0.3, "y": middle, "text": "light →"}),
    }
    tables |= near_focus_tables(way, left, right)
    places = {"left": left, "right": right, "total": total, "floor": -float(STRIP_px)}
    return Drawing(_shape, (ground,), tables, places, {"height": total + STRIP_px}, _in_words(way))


def _shape(ground: Ground) -> alt.LayerChart:
    across, high = alt.Scale(domain=["@left", "@right"], nice=False), alt.Scale(domain=["@floor", "@total"], nice=False)
    below_the_beam = alt.Axis(values=[0, 5, 10, 15, 20, 25], grid=False, offset=-STRIP_px)
    x = alt.X("z:Q", title="behind the front of the cornea, mm", scale=across, axis=below_the_beam)
    y = alt.Y("y:Q", scale=high, axis=None)

    def written(names: str, others: str, align: Literal["left", "right"]) -> list[alt.Chart]:
        return [
            alt.Chart(table(names)).mark_text(align=align, baseline="middle", fontWeight="bold").encode(x=x, y=y, text="text:N"),
            alt.Chart(table(others)).mark_text(align=align, baseline="middle").encode(x=x, y=y, text="text:N"),
        ]

    layers = [
        alt.Chart(table("beam")).mark_area(color=BLUE, opacity=0.25).encode(x=x, y=y, y2="low:Q"),
        alt.Chart(table("axis")).mark_rule(color=quiet(ground)).encode(x=x, x2="z2:Q", y=y),
        alt.Chart(table("planes")).mark_rule(color=ink(ground), strokeWidth=1.5).encode(x=x, y=y, y2="y2:Q"),
        *written("names", "numbers", "left"),
        alt.Chart(table("focus")).mark_point(color=BLUE, filled=True, size=80, opacity=1).encode(x=x, y=y),
        *written("focus_name", "focus_moves", "right"),
        alt.Chart(table("arrow")).mark_text(align="left", baseline="bottom", dy=-3).encode(x=x, y=y, text="text:N"),
        *near_focus_layers(x, y, ground),
    ]
    return styled(alt.layer(*layers).properties(width="container"), ground)


def _in_words(way: LightWay) -> str:
    parts = []
    for s in way.steps:
        change = f" (change {_changes(s.change_before_D, s.change_behind_D)} D)" if _changed(s.change_before_D) or _changed(s.change_behind_D) else ""
        parts.append(f"{s.plane} {_pair(s.before_D, s.behind_D)} D{change}")
    return f"Light from far away: {', '.join(parts)}; the focus moves by {_signed(way.focus_shift_mm)} mm."


def _pair(before: float, behind: float) -> str:
    return f"{signed(before, 2)} → {signed(behind, 2)}"


def _changes(before: float, behind: float) -> str:
    return f"{_signed(before)} → {_signed(behind)}"


def _changed(value: float) -> bool:
    return abs(round(value, 2)) > 0


def _signed(value: float) -> str:
    return f"{round(value, 2):+.2f}".replace("-", "−") if _changed(value) else "0.00"
