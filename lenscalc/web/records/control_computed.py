"""How a control chart came to its limits: the law of its kind with this series' numbers, and the command and lines that give the same."""

from __future__ import annotations

import shlex
from typing import Any, NamedTuple

from lenscalc.control import ALL_RULES, FOUR_RULES, LIMITS_ONLY, ControlChart
from lenscalc.quantities import plain
from lenscalc.uncertainty.rounding import decimals_for, fixed
from lenscalc.web.fields.typed import as_arguments, as_options
from lenscalc.web.shown.computed import how_computed

LIMITS_FILE = "limits.toml"
NAMED_RULES = {LIMITS_ONLY: ("limits", "LIMITS_ONLY"), FOUR_RULES: ("four", "FOUR_RULES"), ALL_RULES: ("all", "ALL_RULES")}
SIGMA = {
    "individuals": r"\sigma = \frac{\overline{MR}}{d_2} \quad (d_2 = 1.128,\ \text{steps between neighbours})",
    "xbar-r": r"\sigma = \frac{\overline{R}}{d_2} \quad (\text{ranges within groups})",
    "xbar-s": r"\sigma = \frac{\overline{s}}{c_4} \quad (\text{standard deviations within groups})",
}
LAWS = {
    "individuals": (r"\mathrm{CL} \pm 3\,\sigma",),
    "xbar-r": (r"\mathrm{CL} \pm \frac{3\,\sigma}{\sqrt{n}}",),
    "xbar-s": (r"\mathrm{CL} \pm \frac{3\,\sigma}{\sqrt{n}}",),
    "ewma": (
        r"z_i = \lambda\,x_i + (1 - \lambda)\,z_{i-1}",
        r"\mathrm{CL} \pm L\,\sigma \sqrt{\frac{\lambda}{2 - \lambda} \left(1 - (1 - \lambda)^{2 i}\right)}",
    ),
    "cusum": (
        r"C^+_i = \max\left(0,\ x_i - \mathrm{CL} - k\,\sigma + C^+_{i-1}\right), \quad "
        r"C^-_i = \max\left(0,\ \mathrm{CL} - x_i - k\,\sigma + C^-_{i-1}\right)",
        r"\text{signal where } C^\pm_i > h\,\sigma",
    ),
}  # fmt: skip
SYMBOLS = {"weight": r"\lambda", "width_sigma": "L", "k_sigma": "k", "h_sigma": "h", "head_start_sigma": r"C_0/\sigma"}


class Typed(NamedTuple):
    """How a series is named: the command without its options, Python lines that leave it in `values`, and the file that both take."""

    command: str
    python: str
    file: tuple[str, str] | None = None


class Options(NamedTuple):
    """What was chosen: kind and baseline, or frozen limits; settings by name; whose values, where the command must be told."""

    kind: str
    baseline: str | None
    frozen: bool
    settings: dict[str, float]
    of: str | None


def control_computed(chart: ControlChart, typed: Typed, chosen: Options) -> None:
    """The panel."""
    by_baseline = "frozen limits" if chosen.frozen else "a baseline, while nothing had moved"
    how_computed(
        words=f"Centre and sigma come from {by_baseline}; every point is then judged by the same limits. The waits are those of a Markov chain over "
        "what a signal may still come from, or of an integral equation, for normal points.",
        equations=(*([SIGMA.get(chart.limits.kind, SIGMA["individuals"])] if not chosen.frozen else []), *LAWS[chart.limits.kind], _numbers(chart)),
        functions=("control_chart", "chart_constants", "average_run_length"),
        command=_command(chart, typed, chosen),
        python=_python(chart, typed, chosen),
        file=typed.file,
    )


def _numbers(chart: ControlChart) -> str:
    """What the letters are here."""
    limits, d = chart.limits, decimals_for(chart.limits.sigma)
    named = {r"\mathrm{CL}": fixed(limits.centre, d), r"\sigma": f"{limits.sigma:.{d}f}"}
    named |= {SYMBOLS[name]: plain(value) for name, value in limits.settings.items()}
    return r",\quad ".join(f"{letter} = {number}" for letter, number in named.items())


def _command(chart: ControlChart, typed: Typed, chosen: Options) -> str:
    named: dict[str, Any] = {"limits": LIMITS_FILE} if chosen.frozen else {"kind": chosen.kind}
    if chosen.baseline is not None:
        named["baseline"] = shlex.quote(chosen.baseline)
    named |= {"of": chosen.of} if chosen.of else {}
    rules = {"rules": NAMED_RULES[chart.rules][0]} if chart.rules else {}  # only points and means are judged by rules
    return f"{typed.command} {as_options(named | chosen.settings | rules)}"


def _python(chart: ControlChart, typed: Typed, chosen: Options) -> str:
    rules = NAMED_RULES[chart.rules][1] if chart.rules else None
    names = ["control_chart", *([rules] if rules else []), *(["read_limits"] if chosen.frozen else [])]
    given: dict[str, Any] = {"kind": chosen.kind} | ({} if chosen.baseline is None else {"baseline": chosen.baseline}) | chosen.settings
    by = f'limits=read_limits("{LIMITS_FILE}")' if chosen.frozen else as_arguments(given)
    return (
        f"from lenscalc.control import {', '.join(sorted(names))}\n{typed.python}\n\n"
        f"control_chart(values, {by}{f', rules={rules}' if rules else ''}, of={chart.of!r}).sentence"
    )
