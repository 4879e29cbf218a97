"""Is the index known well enough?"""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.decision.decide import SIDE_OPEN, UNDECIDED, refuse_per_cent
from lenscalc.quantities import numbers
from lenscalc.uncertainty import conformance_probability, nonconformance_probability
from lenscalc.uncertainty.conformity import t_density
from lenscalc.uncertainty.rounding import at_most


def largest_u(value: Any, lower: Any, upper: Any, required_probability: Any, dof: Any = np.inf) -> Any:
    """The largest standard uncertainty at which a value is still within [lower, upper] with the required probability; nan outside.

    A limit may be infinite. JCGM 106:2012, 7.3, solved for u: in 1/u the probability rises and is concave, so that Newton's steps from 0 come to
    the answer from below and never pass it. The degrees of freedom are held as they are. 0 for a required probability of 1. Plain numpy.

    Accuracy: 4e-15 relative, over required probabilities from 0.001 to 1 − 1e-16; within a tenth of a half, with the value near one limit, what the
    last bits of the probability move.

    Raises
    ------
    InputError
        for a required probability outside 0 to 1, a lower limit above the upper one, or dof not above 0.

    >>> u = largest_u(20.0, 19.6, 20.4, 0.95)
    >>> round(float(u), 4), round(float(conformance_probability(20.0, u, 19.6, 20.4)), 6)
    (0.2041, 0.95)
    """
    value, lower, upper, p, dof = numbers(value=value, lower=lower, upper=upper, required_probability=required_probability, dof=dof)
    refuse_per_cent(p)
    inside = (value > lower) & (value < upper) & ~np.isnan(p) & ~np.isnan(dof)
    value = np.where(inside, value, np.nan)
    below, above = value - lower, upper - value
    near_one = p > 0.99  # there the digits are in what is missing to 1

    def short(u: Any) -> Any:
        missing = np.asarray(p - conformance_probability(value, u, lower, upper, dof))
        if near_one.any():
            off = nonconformance_probability(*(a[near_one] for a in (value, u, lower, upper, dof)))
            missing[near_one] = off - (1.0 - p[near_one])
        return missing

    x = np.zeros(value.shape)  # 1/u
    while True:
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            slope = sum(np.where(np.isinf(far), 0.0, far * t_density(far * x, dof)) for far in (below, above))
            further = np.where(p == 1.0, x, x + short(np.asarray(1.0 / x)) / slope)
        moves = further > x
        if not moves.any():
            with np.errstate(divide="ignore"):
                whole = np.isinf(below) & np.isinf(above)
                return np.where(inside, np.where((p == 1.0) & ~whole, 0.0, 1.0 / x), np.nan)[()]
        x = np.where(moves, further, x)


def largest_u_n_lens(
    power_D: Any, lower_D: Any, upper_D: Any, u_other_D: Any, d_power_d_n_lens: Any, required_probability: Any, dof: Any = np.inf
) -> Any:
    """How well the index must be known for this power: the largest u(n) that still decides, the other contributions as they are.

    0 where the other contributions alone are already too large; nan where the power lies outside the limits.

    Accuracy: 4e-15 relative, over required probabilities from 0.8 to 1 − 1e-15.

    >>> round(float(largest_u_n_lens(20.0, 19.6, 20.4, 0.05, 132.5, 0.95)), 5)
    0.00149
    """
    u_other_D, d_power_d_n_lens = numbers(u_other_D=u_other_D, d_power_d_n_lens=d_power_d_n_lens)
    power_D, lower_D, upper_D = numbers(power_D=power_D, lower_D=lower_D, upper_D=upper_D)
    whole = largest_u(power_D, lower_D, upper_D, required_probability, dof)
    left = (whole - u_other_D) * (whole + u_other_D)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.sqrt(np.maximum(left, 0.0)) / np.abs(d_power_d_n_lens)


def known_well_enough_text(largest: float | None, power_D: float, lower_D: float, upper_D: float, verdict: str = "") -> str:
    """How well something must be known, or why that cannot be said."""
    if not lower_D < power_D < upper_D:
        if power_D in (lower_D, upper_D):
            return "no u above 0 decides: the power lies on a limit"
        if verdict == UNDECIDED:
            return f"not said: {SIDE_OPEN}"
        return "no u decides: the power lies outside the limits"
    if largest is None or np.isnan(largest):
        return "not computed: a dimension is taken as exact, or the power does not depend on it"
    if largest == 0:
        return "no u decides: the other contributions alone are too large"
    return "any u decides" if np.isinf(largest) else f"u {at_most(largest)} or better"
