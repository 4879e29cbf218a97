"""Where the power lies between the limits of its label, and how much of what is likely lies outside."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, inf, isfinite, log

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns, kept, of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, ROWS_KEEP_THEIR_HEIGHT, Ground, ink, quiet, styled
from lenscalc.uncertainty import coverage_factor
from lenscalc.uncertainty.rounding import as_stated, decimals_for, signed

ROW_px, HILL_px = 44, 92
MARKS = {"inside": "circle", "across": "diamond", "outside": "cross"}


@Charted
def power_in_tolerance(
    power_D: float, u_power_D: float, lower_limit_D: float, upper_limit_D: float, *, labelled_power_D: float | None = None,
    acceptance_lower_D: float | None = None, acceptance_upper_D: float | None = None, dof: float = inf, ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """What is likely of the power as a hill over its 95 % interval; below it the tolerance, and the part of it that guarded acceptance leaves.

    The hill is normal, or Student's t where the degrees of freedom are few; the conformance probability is its area between the limits. What lies
    outside them has another colour and a dashed edge. The mark is a disc where the whole interval lies inside, a cross where all of it lies
    outside, a diamond where it reaches across a limit.

    >>> chart = power_in_tolerance(20.42, 0.06, 20.1, 20.9, labelled_power_D=20.5, acceptance_lower_D=20.22, acceptance_upper_D=20.78)
    >>> chart.to_dict()["description"]
    'Power 20.420 D, 95 % interval 20.302 to 20.538 D, inside the tolerance of 20.10 to 20.90 D.'
    """
    places = decimals_for(u_power_D) if u_power_D > 0 else 2  # as in the text beside it; limits and label are as they are stated
    k = float(coverage_factor(0.95, dof))
    low, high = power_D - k * u_power_D, power_D + k * u_power_D
    apart = high < lower_limit_D or low > upper_limit_D
    where = "inside" if lower_limit_D <= low and high <= upper_limit_D else "outside" if apart else "across"
    rows = [(0, f"This lens: {signed(power_D, places)} D; 95 %: {signed(low, places)} to {signed(high, places)} D", low, high)]
    label = "" if labelled_power_D is None else f" of the label {as_stated(labelled_power_D)} D"
    rows.append((1, f"Tolerance{label}: {as_stated(lower_limit_D)} to {as_stated(upper_limit_D)} D", lower_limit_D, upper_limit_D))
    if acceptance_lower_D is not None and acceptance_upper_D is not None:
        accepted = f"{signed(acceptance_lower_D, places)} to {signed(acceptance_upper_D, places)} D"
        rows.append((2, f"Guarded acceptance: {accepted}", acceptance_lower_D, acceptance_upper_D))
    else:
        rows.append((2, "Guarded acceptance: no room is left between the guard bands", np.nan, np.nan))
    bars = of_rows(["row", "text", "low", "high"], rows)
    bars["y"] = HILL_px + ROW_px * bars["row"] + 26.0
    half = max((upper_limit_D - lower_limit_D) / 2, 1e-6)
    clear = [(4.0, HILL_px), *((at - 8.0, at + 9.0) for at in bars["y"])]  # a line leaves the rows of words free
    said = {"inside": "inside", "outside": "outside", "across": "reaching beyond a limit of"}[where]
    limits = f"{as_stated(lower_limit_D)} to {as_stated(upper_limit_D)} D"
    interval = f"95 % interval {signed(low, places)} to {signed(high, places)} D"
    hill = _hill(power_D, u_power_D, lower_limit_D, upper_limit_D, dof)
    return Drawing(
        _shape, (where, tuple(name for name, part in hill.items() if len(part["low"]) > 1), ground),
        {
            "bars": kept(bars, ~np.isnan(bars["low"])), "words": bars, "lens": columns({"low": power_D, "y": bars["y"][0]}),
            "limits": _upright((lower_limit_D, upper_limit_D), clear),
            "label": _upright(() if labelled_power_D is None else (labelled_power_D,), clear),
            **hill,
        },
        {
            "left": lower_limit_D - half * _margin((lower_limit_D - power_D + 3.2 * u_power_D) / half),
            "right": upper_limit_D + half * _margin((power_D + 3.2 * u_power_D - upper_limit_D) / half),
        },
        description=f"Power {signed(power_D, places)} D, {interval}, {said} the tolerance of {limits}.",
    )  # fmt: skip


def _shape(where: str, hill: Sequence[str], ground: Ground) -> alt.LayerChart:
    """An area without points would be a mark without a name, which a reader by ear meets as a riddle: only the parts that there are."""
    height = HILL_px + 3 * ROW_px
    scale = alt.Scale(domain=["@left", "@right"], nice=False)
    x = alt.X("low:Q", scale=scale, title="power, D", axis=alt.Axis(format=".1f", tickCount=6, grid=False))
    y = alt.Y("y:Q", scale=alt.Scale(domain=[height, 0], nice=False), axis=None)
    bars = alt.Chart(table("bars"))
    first, others = bars.transform_filter("datum.row == 0"), bars.transform_filter("datum.row > 0")
    layers = [
        alt.Chart(table("limits")).mark_rule(color=BLUE, strokeWidth=2).encode(x=x, y=y, y2="to:Q"),
        alt.Chart(table("label")).mark_rule(color=quiet(ground), strokeDash=[2, 4]).encode(x=x, y=y, y2="to:Q"),
        *(
            alt.Chart(table(name)).mark_area(color=colour, opacity=opacity, line={"color": colour, "strokeWidth": 2, "strokeDash": dash})
            .encode(x=x, y=y, y2="ground:Q")
            for name, colour, opacity, dash in (("between", BLUE, 0.25, [1, 0]), ("below", ORANGE, 0.6, [5, 3]), ("above", ORANGE, 0.6, [5, 3]))
            if name in hill
        ),
        others.mark_bar(height=11, color=BLUE, opacity=0.4).encode(x=x, x2="high:Q", y=y),
        first.mark_rule(strokeWidth=3, color=ink(ground)).encode(x=x, x2="high:Q", y=y),
        *(first.mark_tick(thickness=3, height=14, color=ink(ground)).encode(x=alt.X(f"{end}:Q"), y=y) for end in ("low", "high")),
        alt.Chart(table("lens")).mark_point(shape=MARKS[where], filled=True, size=150, opacity=1, color=ink(ground)).encode(x=x, y=y),
        alt.Chart(table("words")).mark_text(align="left", baseline="bottom", dy=-9).encode(x=alt.value(4), y=y, text="text:N"),
    ]  # fmt: skip
    return styled(alt.layer(*layers).properties(width="container", height=height, autosize=ROWS_KEEP_THEIR_HEIGHT), ground)


def _margin(beyond: float) -> float:
    """How much room a limit has outside it; in steps, so that the frame stays while the power moves, and the browser moves what is in it.

    >>> [round(_margin(beyond), 3) for beyond in (-0.5, 0.1, 0.19, 0.3, 5.0)]
    [0.2, 0.2, 0.3, 0.45, 7.689]
    """
    return 0.2 * 1.5 ** max(0, ceil(log(max(1.1 * beyond, 1e-9) / 0.2, 1.5)))


def _upright(at_D: Sequence[float], stretches: Sequence[tuple[float, float]]) -> Columns:
    return of_rows(["low", "y", "to"], [(at, top, bottom) for at in at_D for top, bottom in stretches])


def _hill(power_D: float, u_D: float, lower_D: float, upper_D: float, dof: float) -> dict[str, Columns]:
    """The hill in its three parts; none where nothing is uncertain."""
    if not u_D > 0:
        return {name: of_rows(["low", "y", "ground"], []) for name in ("below", "between", "above")}
    at = np.unique(np.concatenate([np.linspace(power_D - 3.2 * u_D, power_D + 3.2 * u_D, 97), [lower_D, upper_D]]))
    at = at[np.abs(at - power_D) <= 3.2 * u_D]
    z = (at - power_D) / u_D
    hill = np.exp(-z * z / 2.0) if not isfinite(dof) else (1.0 + z * z / dof) ** (-(dof + 1.0) / 2.0)
    curve = columns({"low": at, "y": HILL_px - (HILL_px - 14.0) * hill, "ground": float(HILL_px)})
    parts = {"below": at <= lower_D, "between": (at >= lower_D) & (at <= upper_D), "above": at >= upper_D}
    return {name: kept(curve, part) for name, part in parts.items()}
