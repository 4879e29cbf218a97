"""What `lenscalc control` and `lenscalc records chart` have in common: the options of a chart, and what is done with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import click

from lenscalc.cli.control_show import as_object, show_how_soon, show_limits, show_signals
from lenscalc.cli.options import json_option
from lenscalc.cli.show import heading, paragraph, show_end, show_json
from lenscalc.control import (
    ALL_RULES,
    FOUR_RULES,
    GROUPED,
    KINDS,
    LIMITS_ONLY,
    RULES,
    ControlChart,
    Series,
    control_chart,
    interval_for_run_length,
    read_limits,
    save_limits,
    width_for_run_length,
)
from lenscalc.control.limits import WEIGHT, K

SETS = {"limits": LIMITS_ONLY, "four": FOUR_RULES, "all": ALL_RULES}
SETTINGS = {
    "centre": "Centre from outside, such as a certified value, in place of the baseline's mean.",
    "sigma": "Sigma from outside, such as a long record.",
    "weight": "EWMA: weight of the newest point, λ (0.2).",
    "width_sigma": "EWMA: distance of the limits, L (3).",
    "k_sigma": "CUSUM: allowance k (0.5).",
    "h_sigma": "CUSUM: decision interval h (5).",
    "head_start_sigma": "CUSUM: where the sums start (0); half of h answers fast at the start.",
}
_SETTINGS = [click.option(f"--{name.replace('_', '-')}", name, type=float, help=text) for name, text in SETTINGS.items()]
_OPTIONS = [
    click.option("--kind", type=click.Choice(KINDS), help="The chart; individuals where nothing is said."),
    click.option("--baseline", metavar="N|FROM:TO", help="Points that the limits come from: 25, 1:25 or 2026-01-05:2026-06-22."),
    click.option("--limits", "frozen", metavar="FROZEN.toml", help="Limits that were frozen, in place of a baseline."),
    click.option("--freeze", metavar="OUT.toml", help="Keep the limits of this baseline for next month."),
    click.option("--rules", default="four", show_default=True, metavar="limits|four|all|NAME,NAME", help=f"Run rules: {', '.join(RULES)}."),
    *_SETTINGS,
    click.option("--false-alarm-every", type=float, metavar="POINTS", help="EWMA, CUSUM: limits that signal by chance once in so many points."),
    click.option("--save", metavar="FILE", help="The chart as .html, .svg, .png or .json."),
    click.option("--part", type=click.Choice(["level", "spread"]), default="level", show_default=True, help="What --save draws."),
    click.option("--dark", is_flag=True, help="The chart on a dark ground."),
    json_option,
]


class Wanted(NamedTuple):
    """What the options of a chart ask for."""

    kind: Any
    baseline: str | None
    frozen: str | None
    freeze: str | None
    rules: str
    false_alarm_every: float | None
    save: str | None
    part: Any
    dark: bool
    as_json: bool
    settings: dict[str, float]


def chart_options(f: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a chart, the same for both commands; the command is handed them by name and makes `wanted` of them."""
    for option in reversed(_OPTIONS):
        f = option(f)
    return f


def wanted(**given: Any) -> Wanted:
    """The options as one, checked before anything is read; no setting is passed on that was not given.

    Raises
    ------
    click.UsageError
        for options that exclude each other.
    FileError
        for a file that the chart cannot be saved as.
    """
    settings = {name: value for name in SETTINGS if (value := given.pop(name)) is not None}
    asked = Wanted(**given, settings=settings)
    if asked.frozen and asked.freeze:
        raise click.UsageError("--limits are frozen already: --freeze needs a baseline")
    if asked.save:
        from lenscalc.charts.save import check_chart_path

        check_chart_path(asked.save)
    return asked


def chart_and_show(asked: Wanted, series_for: Callable[[bool], Series], *, of: Any, name: str = "") -> None:
    """Chart a series, keep what is to be kept, and print it.

    `series_for` is told whether a chart of group means is wanted; `name` is that of the quantity at the axis.
    """
    limits = read_limits(asked.frozen) if asked.frozen else None
    settings = dict(asked.settings)
    if asked.false_alarm_every is not None:
        settings |= _wide_enough(asked.kind, asked.false_alarm_every, settings)
    chosen = SETS.get(asked.rules) or [rule.strip() for rule in asked.rules.split(",") if rule.strip()]
    values = series_for((limits.kind if limits else asked.kind) in GROUPED)
    chart = control_chart(values, kind=asked.kind, baseline=asked.baseline, limits=limits, rules=chosen, of=of, **settings)
    if asked.freeze:
        save_limits(chart.to_freeze, asked.freeze)
    if asked.save:
        _save(chart, asked, name)
    if asked.as_json:
        show_json(as_object(chart), chart.remarks)
        return
    heading(chart.sentence)
    paragraph(chart.chance_sentence)
    show_limits(chart)
    show_signals(chart)
    show_how_soon(chart)
    show_end(chart.remarks)


def _save(chart: ControlChart, asked: Wanted, name: str) -> None:
    from lenscalc.charts import control_chart_drawing, save_chart

    ground: Any = "dark" if asked.dark else "light"
    save_chart(control_chart_drawing(chart, part=asked.part, name=name, width=640, ground=ground), str(asked.save), ground=ground)


def _wide_enough(kind: str | None, points: float, given: dict[str, float]) -> dict[str, float]:
    wanted = {"ewma": "width_sigma", "cusum": "h_sigma"}.get(kind or "")
    if wanted is None or wanted in given:
        raise click.UsageError("--false-alarm-every finds the limits of --kind ewma or cusum, in place of --width-sigma or --h-sigma")
    if kind == "ewma":
        return {wanted: width_for_run_length(points, weight=given.get("weight", WEIGHT))}
    return {wanted: interval_for_run_length(points, k_sigma=given.get("k_sigma", K))}
