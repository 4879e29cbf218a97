"""What a reference case may ask of the decision."""

from __future__ import annotations

from typing import Any

from lenscalc.verified.adapter import Adapter, of


def _rank_trials(**inputs: Any) -> dict[str, Any]:
    from lenscalc.decision import rank_trials

    found = rank_trials(**inputs).probability
    return {f"candidate_{i + 1}_rank_{r + 1}": p for i, row in enumerate(found) for r, p in enumerate(row)}


def _pareto_set(**inputs: Any) -> dict[str, Any]:
    """By the row: 1 where it stands in the set, else 0."""
    from lenscalc.decision import pareto_set

    return {f"row_{i + 1}": float(best) for i, best in enumerate(pareto_set(**inputs))}


FUNCTIONS: dict[str, Adapter] = {
    "power_tolerance_D": of("decision", "power_tolerance_D", "power_tolerance_D"),
    "lot_forecast": of("decision", "lot_forecast"),
    "better_probability": of("decision", "better_probability", "better_probability"),
    "rank_trials": _rank_trials,
    "pareto_set": _pareto_set,
}
