"""One result under several decision rules, side by side."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from lenscalc.decision.decide import refuse_per_cent
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty import conformance_probability, coverage_factor, nonconformance_probability
from lenscalc.uncertainty.acceptance import GUARD_BAND_RULES, AcceptanceLimits, acceptance_limits, acceptance_limits_at

WANTED_RISK: Final = "acceptance at the required probability"


class RuleOutcome(NamedTuple):
    """Acceptance limits [D] by one rule and what it makes of the power; `accepted` is None where the rule leaves no acceptance zone.

    `guard_band_in_U` is r in w = r·U, with U = k·u for 95 %; `largest_risk` is the specific consumer's risk of a value on an acceptance limit;
    `risk` is the one taken with this power: the consumer's where it is accepted, the producer's where it is rejected.
    """

    rule: str
    guard_band_in_U: float
    k: float
    acceptance_lower_D: float
    acceptance_upper_D: float
    accepted: bool | None
    largest_risk: float
    risk: float
    source: str


def by_rules(power_D: float, u_power_D: float, dof: float, lower_D: float, upper_D: float, required_probability: float) -> list[RuleOutcome]:
    """A power under every named guard-band rule, simple acceptance first, and under limits at the required conformance probability; one case.

    Raises
    ------
    InputError
        for a required probability outside 0 to 1.

    >>> for o in by_rules(20.80, 0.1, float("inf"), 20.1, 20.9, 0.95)[:2]:
    ...     print(o.rule, round(o.acceptance_upper_D, 3), o.accepted, round(o.risk, 3))
    simple acceptance 20.9 True 0.159
    guarded acceptance 20.704 False 0.841
    """
    refuse_per_cent(required_probability)
    power_D, u_power_D, dof, lower_D, upper_D, required_probability = single_numbers(
        power_D=power_D, u_power_D=u_power_D, dof=dof, lower_D=lower_D, upper_D=upper_D, required_probability=required_probability
    )
    k = float(coverage_factor(0.95, dof))
    U = 0.0 if u_power_D <= 0 else k * u_power_D  # a u below 0 is refused by its own name, with the probabilities

    def outcome(rule: str, a: AcceptanceLimits, source: str) -> RuleOutcome:
        low, high = float(a.acceptance_lower), float(a.acceptance_upper)
        if not a.exists:
            return RuleOutcome(rule, float("nan"), k, low, high, None, float("nan"), float("nan"), source)
        accepted = low <= power_D <= high
        ends = [end for end in (low, high) if np.isfinite(end)] or [power_D]  # without a limit every value is alike
        at_the_limit = float(np.max(nonconformance_probability(ends, u_power_D, lower_D, upper_D, dof)))
        of = nonconformance_probability if accepted else conformance_probability
        risk = float(of(power_D, u_power_D, lower_D, upper_D, dof))
        return RuleOutcome(rule, float(a.guard_band) / U if U else 0.0, k, low, high, accepted, at_the_limit, risk, source)

    rows = [outcome(name, acceptance_limits(lower_D, upper_D, U, rule=name), rule.source) for name, rule in GUARD_BAND_RULES.items()]
    if 0.5 < required_probability < 1.0 and np.isfinite(u_power_D):
        limits = acceptance_limits_at(lower_D, upper_D, u_power_D, probability=required_probability, dof=dof)
        rows.append(outcome(WANTED_RISK, limits, f"JCGM 106:2012, 8.3.2 (from memory): conformance probability {required_probability:g} at it"))
    return rows
