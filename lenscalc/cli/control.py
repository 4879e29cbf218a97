"""`lenscalc control`: a series of dated values on a control chart."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.control import (
    ALL_RULES,
    FOUR_RULES,
    KINDS,
    LIMITS_ONLY,
    RULES,
    WATCHED,
    ControlChart,
    control_chart,
    interval_for_run_length,
    read_limits,
    read_series,
    save_limits,
    series_from_text,
    width_for_run_length,
)
from lenscalc.control.limits import WEIGHT, K
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.uncertainty.rounding import decimals_for

SETS = {"limits": LIMITS_ONLY, "four": FOUR_RULES, "all": ALL_RULES}
MOST = 40  # signals are printed
SETTINGS = {
    "centre": "Centre from outside, such as a certified value, in place of the baseline's mean.",
    "sigma": "Sigma from outside, such as a long record.",
    "weight": "EWMA: weight of the newest point, λ (0.2).",
    "width_sigma": "EWMA: distance of the limits, L (3).",
    "k_sigma": "CUSUM: allowance k (0.5).",
    "h_sigma": "CUSUM: decision interval h (5).",
    "head_start_sigma": "CUSUM: where the sums start (0); half of h answers fast at the start.",
}
LABELS = {
    "weight": "weight of the newest point, λ", "width_sigma": "distance of the limits, L", "k_sigma": "allowance k, in sigma",
    "h_sigma": "decision interval h, in sigma", "head_start_sigma": "start of the sums, in sigma",
}  # fmt: skip


def settings_options(f: Any) -> Any:
    """An option for each setting; none is passed on that was not given."""
    for name in reversed(SETTINGS):
        f = click.option(f"--{name.replace('_', '-')}", name, type=float, help=SETTINGS[name])(f)
    return f


@click.command()
@click.argument("series", required=False)
@click.option("--demo", is_flag=True, help="The demo series, invented: water checks of a refractometer that drifts.")
@click.option("--value", "column", default="value", show_default=True, help="Column of the values.")
@click.option("--kind", type=click.Choice(KINDS), help="The chart; individuals where nothing is said.")
@click.option("--baseline", metavar="N|FROM:TO", help="Points that the limits come from: 25, 1:25 or 2026-01-05:2026-06-22.")
@click.option("--limits", "frozen", metavar="FROZEN.toml", help="Limits that were frozen, in place of a baseline.")
@click.option("--freeze", metavar="OUT.toml", help="Keep the limits of this baseline for next month.")
@click.option("--rules", default="four", show_default=True, metavar="limits|four|all|NAME,NAME", help=f"Run rules: {', '.join(RULES)}.")
@click.option("--of", type=click.Choice(WATCHED), default="instrument", show_default=True, help="Whose values they are.")
@settings_options
@click.option("--false-alarm-every", type=float, metavar="POINTS", help="EWMA, CUSUM: find the limits that signal by chance once in so many points.")
@click.option("--save", metavar="FILE", help="The chart as .html, .svg, .png or .json.")
@click.option("--part", type=click.Choice(["level", "spread"]), default="level", show_default=True, help="What --save draws.")
@click.option("--dark", is_flag=True, help="The chart on a dark ground.")
@json_option
def control(
    series: str | None, demo: bool, column: str, kind: Any, baseline: str | None, frozen: str | None, freeze: str | None, rules: str, of: Any,
    false_alarm_every: float | None, save: str | None, part: Any, dark: bool, as_json: bool, **settings: float | None,
) -> None:  # fmt: skip
    """Has the instrument or the material moved? SERIES.csv on a control chart.

    Columns: date and value; group for replicates that make one point; baseline (yes or empty), label and id where wanted.

    \b
    Example:
      lenscalc control --demo --baseline 25
      lenscalc control checks.csv --baseline 25 --freeze water.toml
      lenscalc control next_month.csv --limits water.toml --save chart.svg
    """
    if demo == (series is not None):
        raise click.UsageError("give one series, or --demo")
    if frozen and freeze:
        raise click.UsageError("--limits are frozen already: --freeze needs a baseline")
    if save:
        from lenscalc.charts.save import check_chart_path

        check_chart_path(save)
    values = series_from_text(demo_text(WATER_CHECKS), value=column) if series is None else read_series(series, value=column)
    chosen = SETS.get(rules) or [name.strip() for name in rules.split(",") if name.strip()]
    given = {name: value for name, value in settings.items() if value is not None}
    if false_alarm_every is not None:
        given |= _wide_enough(kind, false_alarm_every, given)
    limits = read_limits(frozen) if frozen else None
    chart = control_chart(values, kind=kind, baseline=baseline, limits=limits, rules=chosen, of=of, **given)
    if freeze:
        save_limits(chart.to_freeze, freeze)
    if save:
        from lenscalc.charts import control_chart_drawing, save_chart

        ground: Any = "dark" if dark else "light"
        save_chart(control_chart_drawing(chart, part=part, name="" if column == "value" else column, width=640, ground=ground), save, ground=ground)
    if as_json:
        show_json(as_object(chart), chart.remarks)
        return
    heading(chart.sentence)
    paragraph(chart.chance_sentence)
    show_limits(chart)
    show_signals(chart)
    show_how_soon(chart)
    show_end(chart.remarks)


def _wide_enough(kind: str | None, points: float, given: dict[str, float]) -> dict[str, float]:
    wanted = {"ewma": "width_sigma", "cusum": "h_sigma"}.get(kind or "")
    if wanted is None or wanted in given:
        raise click.UsageError("--false-alarm-every finds the limits of --kind ewma or cusum, in place of --width-sigma or --h-sigma")
    if kind == "ewma":
        return {wanted: width_for_run_length(points, weight=given.get("weight", WEIGHT))}
    return {wanted: interval_for_run_length(points, k_sigma=given.get("k_sigma", K))}


def show_limits(chart: ControlChart) -> None:
    """The limits, and where they come from."""
    limits = chart.limits
    decimals = decimals_for(limits.sigma)
    heading("Limits")
    line("chart", limits.kind)
    line("centre", f"{limits.centre:.{decimals}f}")
    open_by = f", open by {100 * limits.u_sigma_relative:.0f} %" if limits.u_sigma_relative else ""
    line("sigma of one reading" if limits.kind.startswith("xbar") else "sigma of one point", f"{limits.sigma:.2g}{open_by}")
    for part in (chart.level, chart.spread):
        if part is not None:
            line(f"limits of the {part.name}", f"{part.lower[-1]:.{decimals}f} to {part.upper[-1]:.{decimals}f}{_if_they_differ(part)}")
    for name, value in limits.settings.items():
        line(LABELS[name], f"{value:.4g}")
    line("baseline", f"{limits.points} points, {limits.first} to {limits.last}")
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
