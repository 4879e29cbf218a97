"""A control chart as lines for a person, or as the values of a JSON object."""

from __future__ import annotations

from typing import Any

from lenscalc.cli.show import heading, line, paragraph
from lenscalc.control import ControlChart
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import decimals_for, fixed

MOST = 40  # signals are printed
LABELS = {
    "weight": "weight of the newest point, λ", "width_sigma": "distance of the limits, L", "k_sigma": "allowance k, in sigma",
    "h_sigma": "decision interval h, in sigma", "head_start_sigma": "start of the sums, in sigma",
}  # fmt: skip


def show_limits(chart: ControlChart) -> None:
    """The limits, and where they come from."""
    limits = chart.limits
    decimals = decimals_for(limits.sigma)
    heading("Limits")
    line("chart", limits.kind)
    line("centre", fixed(limits.centre, decimals))
    open_by = f", open by {100 * limits.u_sigma_relative:.0f} %" if limits.u_sigma_relative else ""
    line("sigma of one reading" if limits.kind.startswith("xbar") else "sigma of one point", f"{limits.sigma:.2g}{open_by}")
    for part in (chart.level, chart.spread):
        if part is not None:
            line(f"limits of the {part.name}", f"{fixed(part.lower[-1], decimals)} to {fixed(part.upper[-1], decimals)}{_if_they_differ(part)}")
    for name, value in limits.settings.items():
        line(LABELS[name], f"{value:.4g}")
    line("baseline", f"{counted(limits.points, 'point')}, {limits.first} to {limits.last}")
    line("computed by", limits.made_by)


def _if_they_differ(part: Any) -> str:
    return " (at the last point)" if part.upper[0] != part.upper[-1] else ""


def show_signals(chart: ControlChart) -> None:
    """Each signal, and once for each kind of it what to look at."""
    if not chart.signals:
        return
    heading("What signals")
    for signal in chart.signals[:MOST]:
        paragraph(f"{signal.sentence}.")
    if len(chart.signals) > MOST:
        paragraph(f"And {len(chart.signals) - MOST} more; --json has them all.")
    heading(f"What to look at ({chart.of})")
    for advice in dict.fromkeys(signal.look_at for signal in chart.signals):
        paragraph(f"- {advice}")


def show_how_soon(chart: ControlChart) -> None:
    """How long it waits on average after a move of the mean."""
    heading("How soon would it notice, on average?")
    for shift, wait in chart.how_soon().items():
        line(f"mean moved by {shift:g} sigma" if shift else "not moved: a false alarm", f"after {wait:.{0 if wait >= 20 else 1}f} points")


def as_object(chart: ControlChart) -> dict[str, Any]:
    """The chart as plain values; points are counted from 1."""
    limits, columns = chart.limits, chart.columns
    points = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    signals = [{**signal._asdict(), "first": signal.first + 1, "last": signal.last + 1} for signal in chart.signals]
    return {
        "sentence": chart.sentence, "kind": limits.kind, "of": chart.of, "rules": list(chart.rules), "centre": limits.centre, "sigma": limits.sigma,
        "u_sigma_relative": limits.u_sigma_relative, **limits.settings, "baseline_points": limits.points, "baseline_first": limits.first,
        "baseline_last": limits.last, "made_by": limits.made_by, "average_run_length": chart.by_chance.mean,
        "u_average_run_length": chart.by_chance.u, "average_run_length_after_shift": {f"{s:g}": wait for s, wait in chart.how_soon().items()},
        "signals": signals, "points": points,
    }  # fmt: skip
