"""What a reference case may ask of uncertainty and control charts."""

from __future__ import annotations

from functools import cache
from math import inf
from typing import Any

from lenscalc.verified.adapter import Adapter, of


def _coverage(p: float, dof: float = inf) -> dict[str, Any]:
    from lenscalc.uncertainty import coverage_factor

    return {"k": coverage_factor(p, dof)}


def _welch_satterthwaite(u: list[float], dof: list[float]) -> dict[str, Any]:
    from lenscalc.uncertainty import Estimate, Source

    return {"dof": Estimate(0.0, {Source(f"input {i}", dof=v): x for i, (x, v) in enumerate(zip(u, dof, strict=True))}).dof}


def _example(model: str, choices: dict[str, Any]) -> Any:
    from lenscalc.uncertainty.worked_examples import EXAMPLES

    if model not in EXAMPLES:
        raise ValueError(f"model = {model!r}: the models are {', '.join(EXAMPLES)}")
    return EXAMPLES[model](**choices)


def _propagate(model: str, probability: float = 0.95, second_order: bool = False, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import propagate

    x = _example(model, choices)
    result = propagate(x.model, x.inputs, x.correlation, second_order=second_order)
    lower, upper = result.interval(probability)
    return {
        "value": result.value, "u": result.u, "dof_effective": result.dof_effective, "k": result.coverage_factor(probability),
        "expanded": result.expanded(probability), "lower": lower, "upper": upper,
    }  # fmt: skip


@cache  # the same seed gives the same bits
def _run_trials(model: str, trials: int = 1_000_000, probability: float = 0.95, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import run_trials

    x = _example(model, choices)
    result = run_trials(x.model, x.inputs, x.correlation, trials=trials, probability=probability)
    (lower, upper), (shortest_lower, shortest_upper) = result.interval, result.shortest_interval
    return {
        "mean": result.mean, "u": result.u, "lower": lower, "upper": upper, "shortest_lower": shortest_lower, "shortest_upper": shortest_upper,
    }  # fmt: skip


@cache
def _sobol_indices(model: str, trials: int = 320_000, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import sobol_indices

    x = _example(model, choices)
    result = sobol_indices(x.model, x.inputs, trials)
    return {**{f"first_{k}": v for k, v in result.first.items()}, **{f"total_{k}": v for k, v in result.total.items()}}


def _fit_line(at: float | None = None, u_at: float = 0.0, **inputs: Any) -> dict[str, Any]:
    """The line and, at a point of it whose own u is known too, its value."""
    from lenscalc.uncertainty import Estimate, Source, combine, fit_line

    line = fit_line(**inputs)
    found = {**line._asdict(), "covariance": line.correlation * line.u_intercept * line.u_slope}
    if at is None:
        return found
    y, x = Estimate(line.value(at), {Source("line"): line.u(at)}), Estimate(at, {Source("point"): u_at})
    return {**found, "value": y.value, "u_value": combine(y.value, [(1.0, y), (line.slope, x)]).u}


def _control_chart(value: list[float], **inputs: Any) -> dict[str, Any]:
    """Limits at the last point, what is plotted at each, how many points signal and which is the first (counted from 1)."""
    from lenscalc.control import control_chart, series

    chart = control_chart(series(value), **inputs)
    level, at = chart.level, chart.signalling
    found = {"centre": chart.limits.centre, "sigma": chart.limits.sigma, "lower": level.lower[-1], "upper": level.upper[-1], "signals": len(at)}
    found |= {f"plotted_{i + 1}": x for i, x in enumerate(level.value)}
    if level.value_below is not None:
        found |= {f"below_{i + 1}": x for i, x in enumerate(level.value_below)}
    if chart.spread is not None:
        found["mean_range"] = chart.spread.centre[-1]
    return found | ({"first_signal": at[0] + 1} if len(at) else {})


FUNCTIONS: dict[str, Adapter] = {
    "fit_line": _fit_line,
    "conformance_probability": of("uncertainty", "conformance_probability", "conformance_probability"),
    "coverage_factor": _coverage,
    "welch_satterthwaite": _welch_satterthwaite,
    "propagate": _propagate,
    "run_trials": _run_trials,
    "sobol_indices": _sobol_indices,
    "acceptance_limits_at": of("uncertainty", "acceptance_limits_at"),
    "global_risks": of("uncertainty", "global_risks"),
    "guard_band_at_global_risk": of("uncertainty", "guard_band_at_global_risk", "guard_band"),
    "process_capability": of("uncertainty", "process_capability"),
    "chart_constants": of("control", "chart_constants"),
    "control_chart": _control_chart,
    "average_run_length": of("control", "average_run_length"),
}
