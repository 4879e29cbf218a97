"""Has it moved? A series point by point between its limits."""

from __future__ import annotations

from typing import Any, Literal

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, in_expression, ink, quiet, styled, titled
from lenscalc.control import GROUPED, ControlChart, Part
from lenscalc.errors import InputError
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import decimals_for, signed

HEIGHT_px = 400
_LOOKS: dict[str, dict[str, Any]] = {
    "dotted": {"strokeWidth": 0.7, "strokeDash": [2, 4]},
    "centre": {"strokeWidth": 1.2},
    "limit": {"strokeWidth": 2, "strokeDash": [7, 4]},
}


@Charted
def control_chart_drawing(
    chart: ControlChart, *, part: Literal["level", "spread"] = "level", name: str = "", most: int = 400, width: int | str = "container",
    ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """Points in their order, centre and limits as lines, the baseline shaded; what signals is a diamond with its numbers written above.

    Parameters
    ----------
    chart : ControlChart
        from `lenscalc.control.control_chart`.
    part : "level" or "spread"
        the points themselves, or the moving range, range or standard deviation; an EWMA or a CUSUM has the level alone.
    name : str
        of the quantity, with its unit, at the axis; else what is plotted.
    most : int
        no more points than these are drawn, the last ones.
    width : int or "container"
        in pixels.
    ground : "light" or "dark"
        what the chart stands on.

    Raises
    ------
    InputError
        if the chart has no spread.

    Examples
    --------
    >>> from lenscalc.control import control_chart, series
    >>> flow = control_chart(series([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]))
    >>> control_chart_drawing(flow).to_dict()["description"]
    'Control chart of 10 points, centre 50.8, limits 45.8 to 55.8; none signals.'
    """
    shown = chart.level if part == "level" else chart.spread
    if shown is None:
        raise InputError(f"a chart of the kind {chart.limits.kind} has no spread to draw; only the level", quantity="part", value=part)
    n = chart.series.points
    start = max(0, n - most)
    decimals = decimals_for(chart.limits.sigma)
    hit = np.zeros(n, dtype=bool)  # of all points: what is said is of the whole series, though only the last ones are drawn
    for signal in (s for s in chart.signals if s.part == part):
        hit[signal.first : signal.last + 1] = True
    heights = np.concatenate([side[start:] for side in (shown.value, shown.lower, shown.upper, shown.value_below) if side is not None])
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    room = 0.12 * (high - low)
    name = " ".join(name.split())  # the picture's own words about its axes take no second line
    title = name if name and shown.name == "value" else f"{name}, {shown.name}" if name else shown.name
    tables = {**_baseline(chart, start), **_lines(chart, shown, start, decimals, part)}
    for side, value in (("points", shown.value), ("points below", shown.value_below)):
        if value is not None:
            data = pd.DataFrame({"at": np.arange(start + 1.0, n + 1.0), "value": value[start:]})
            tables[side] = data.assign(signals=hit[start:] & _beyond_here(shown, value, start))
    tables |= _numbers(shown, hit, start)
    limits = f"{signed(shown.lower[-1], decimals)} to {signed(shown.upper[-1], decimals)}"
    told = f"{int(hit.sum())} signal" if hit.any() else "none signals"
    return Drawing(
        _shape, (tuple(tables), title, _dates(chart, start), (start + 0.4, n + 0.6), ground), tables,
        {"low": low - 0.5 * room, "high": high + room},
        {"width": width, "height": HEIGHT_px, "title": titled(*_message(chart, shown, hit, start)).to_dict()},
        description=f"Control chart of {counted(n, 'point')}, centre {signed(shown.centre[-1], decimals)}, limits {limits}; {told}.",
    )  # fmt: skip


def _shape(
    names: tuple[str, ...], title: str, dates: tuple[tuple[int, ...], str], ends: tuple[float, float], ground: Ground
) -> alt.LayerChart:
    """A layer or two for every table that there is."""
    ticks, labels = dates
    axis = alt.Axis(values=list(ticks), labelExpr=labels, grid=False, labelFlush=True)
    x = alt.X("at:Q", title=None, scale=alt.Scale(domain=list(ends), nice=False), axis=axis)
    y = alt.Y("value:Q", title=title, scale=alt.Scale(domain=["@low", "@high"], nice=False, zero=False), axis=alt.Axis(tickCount=6))
    still = "!datum.signals && datum.value != 0" if "points below" in names else "!datum.signals"  # an idle sum is a line alone
    layers: list[Any] = []
    for name in names:
        of = alt.Chart(table(name))
        kind = name.split()[0]
        if kind == "bands":
            layers.append(of.mark_rect(color=BLUE, opacity=0.12).encode(x=x, x2="to:Q"))
        elif kind == "word":
            word = of.mark_text(align="left", baseline="top", dx=6, dy=5, fontSize=12, color=quiet(ground))
            layers.append(word.encode(x=x, y=alt.value(0), text="text:N"))
        elif kind in _LOOKS:
            layers.append(of.mark_line(interpolate="step", color=quiet(ground), **_LOOKS[kind]).encode(x=x, y=y))
        elif kind == "named":
            words = of.mark_text(align="left", baseline="middle", dx=8, fontSize=12, lineBreak="\n", color=ink(ground))
            layers.append(words.encode(x=alt.value("width"), y=y, text="text:N"))
        elif kind == "points":
            layers.append(of.mark_line(color=BLUE, strokeWidth=1.5).encode(x=x, y=y))
            layers.append(of.transform_filter(still).mark_point(color=BLUE, filled=True, size=34, opacity=1).encode(x=x, y=y))
            diamonds = of.transform_filter("datum.signals").mark_point(color=ORANGE, filled=True, shape="diamond", size=120, opacity=1)
            layers.append(diamonds.encode(x=x, y=y))
        else:
            numbers = of.mark_text(baseline="bottom" if kind == "above" else "top", dy=-9 if kind == "above" else 9, fontSize=12, fontWeight="bold")
            layers.append(numbers.encode(x=x, y=y, text="text:N"))
    return styled(alt.layer(*layers), ground)


def _beyond_here(shown: Part, value: np.ndarray, start: int) -> np.ndarray:
    """Which points of this line a diamond may stand on: of a CUSUM only those of the sum that is beyond."""
    if shown.value_below is None:
        return np.ones(len(value) - start, dtype=bool)
    return (value[start:] > shown.upper[start:]) | (value[start:] < shown.lower[start:])


def _message(chart: ControlChart, shown: Part, hit: np.ndarray, start: int) -> list[str]:
    said = [chart.sentence]
    if shown is chart.spread:
        of = f"the {shown.name} of {counted(len(hit), 'point')}"
        said = [f"Of {of} {int(hit.sum())} signal{'s' if hit.sum() == 1 else ''}." if hit.any() else f"Nothing signals in {of}."]
    keys = [*(["Diamonds signal."] if hit[start:].any() else []), *(["Shaded: the baseline."] if chart.in_baseline[start:].any() else [])]
    if start:
        keys.append(f"Drawn are the last {len(hit) - start} of {len(hit)} points.")
    return [*said, " ".join(keys)] if keys else said


def _dates(chart: ControlChart, start: int) -> tuple[tuple[int, ...], str]:
    """Where the axis is written on, and what stands there."""
    n = chart.series.points
    count = min(5, n - start)
    ticks = sorted({int(t) for t in np.linspace(start + 1, n, count).round()})
    names = {t: chart.series.date[t - 1][:10] or chart.series.label[t - 1][:12] for t in ticks}
    written = {t: ", ".join(map(in_expression, [f"{t}", said] if said else [f"{t}"])) for t, said in names.items()}
    labels = " : ".join(f"datum.value == {t} ? [{lines}]" for t, lines in written.items()) + " : ''"
    return tuple(ticks), labels


def _baseline(chart: ControlChart, start: int) -> dict[str, pd.DataFrame]:
    marked = chart.in_baseline.copy()
    marked[:start] = False
    if not marked.any():
        return {}
    edge = np.diff(np.concatenate([[0], marked.astype(int), [0]]))
    bands = pd.DataFrame({"at": np.flatnonzero(edge == 1) + 0.5, "to": np.flatnonzero(edge == -1) + 0.5})
    return {"bands": bands, "word": bands.head(1).assign(text="baseline")}  # the first stretch carries the word


def _lines(chart: ControlChart, shown: Part, start: int, decimals: int, part: str) -> dict[str, pd.DataFrame]:
    n = chart.series.points
    at = np.arange(start + 1.0, n + 1.0)

    def across(value: np.ndarray) -> pd.DataFrame:
        ends = np.concatenate([[at[0] - 0.5], at, [at[-1] + 0.5]])
        held = value[start:]
        return pd.DataFrame({"at": ends, "value": np.concatenate([held[:1], held, held[-1:]])})

    tables: dict[str, pd.DataFrame] = {}
    even = bool(np.ptp(shown.upper[start:]) == 0)  # where groups differ in size, four more lines of steps would hide the points
    if part == "level" and even and chart.limits.kind in ("individuals", *GROUPED):
        for sigmas in (-2.0, -1.0, 1.0, 2.0):
            tables[f"dotted {sigmas:g}"] = across(shown.centre + sigmas * (shown.upper - shown.centre) / 3.0)
    tables |= {"centre": across(shown.centre), "limit lower": across(shown.lower), "limit upper": across(shown.upper)}
    named = [("upper limit", shown.upper), ("lower limit", shown.lower)]
    if shown.value_below is None:
        named.append(("centre", shown.centre))
    tables["named"] = pd.DataFrame({
        "value": [value[-1] for _, value in named],
        "text": [f"{text}\n{signed(value[-1], decimals)}" for text, value in named],
    })  # fmt: skip
    return tables


def _numbers(shown: Part, hit: np.ndarray, start: int) -> dict[str, pd.DataFrame]:
    """The numbers of what signals, once for a stretch, above it; below it where it lies under the centre."""
    edge = np.diff(np.concatenate([[0], (hit & (np.arange(len(hit)) >= start)).astype(int), [0]]))
    rows = []
    for first, after in zip(np.flatnonzero(edge == 1), np.flatnonzero(edge == -1), strict=True):
        inside = slice(first, after)
        values = shown.value[inside]
        if shown.value_below is not None and np.any(shown.value_below[inside] < shown.lower[inside]):
            values = shown.value_below[inside]
        above = values[-1] >= shown.centre[first]
        text = f"{first + 1}" if after == first + 1 else f"{first + 1} to {after}"
        at = first + 1.0 + int(np.nanargmax(values) if above else np.nanargmin(values))
        rows.append({"at": at, "value": float(np.nanmax(values) if above else np.nanmin(values)), "text": text, "above": bool(above)})
    sides = {"above": [row for row in rows if row["above"]], "under": [row for row in rows if not row["above"]]}
    return {side: pd.DataFrame(of) for side, of in sides.items() if of}
