"""Is the index known well enough?"""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.decision.decide import SIDE_OPEN, UNDECIDED
from lenscalc.uncertainty import conformance_probability
from lenscalc.uncertainty.conformity import t_density
from lenscalc.uncertainty.rounding import at_most


def largest_u(value: Any, lower: Any, upper: Any, required_probability: Any, dof: Any = np.inf) -> Any:
    """The largest standard uncertainty at which a value is still within [lower, upper] with the required probability; nan outside.

    A limit may be infinite. JCGM 106:2012, 7.3, solved for u: in 1/u the probability rises and is concave, so that Newton's steps from 0 come to
    the answer from below and never pass it. The degrees of freedom are held as they are. Plain numpy.

    Accuracy: 8e-16 relative, over required probabilities 0.8 to 0.99.

    >>> u = largest_u(20.0, 19.6, 20.4, 0.95)
    >>> round(float(u), 4), round(float(conformance_probability(20.0, u, 19.6, 20.4)), 6)
    (0.2041, 0.95)
    """
    arguments = (value, lower, upper, required_probability, dof)
    value, lower, upper, p, dof = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in arguments))
    inside = (value > lower) & (value < upper) & ~np.isnan(p)
    value, lower, upper = np.where(inside, value, 0.0), np.where(inside, lower, -1.0), np.where(inside, upper, 1.0)
    below, above = value - lower, upper - value
    x = np.zeros(value.shape)  # 1/u
    while True:
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = sum(np.where(np.isinf(far), 0.0, far * t_density(far * x, dof)) for far in (below, above))
            further = x + (p - conformance_probability(value, 1.0 / x, lower, upper, dof)) / slope
        moves = further > x
        if not moves.any():
            with np.errstate(divide="ignore"):
                return np.where(inside, 1.0 / x, np.nan)[()]
        x = np.where(moves, further, x)


def largest_u_n_lens(
    power_D: Any, lower_D: Any, upper_D: Any, u_other_D: Any, d_power_d_n_lens: Any, required_probability: Any, dof: Any = np.inf
) -> Any:
    """How well the index must be known for this power: the largest u(n) that still decides, the other contributions as they are.

    0 where the other contributions alone are already too large; nan where the power lies outside the limits.

    Accuracy: 1e-15 relative, over required probabilities 0.8 to 0.99.

    >>> round(float(largest_u_n_lens(20.0, 19.6, 20.4, 0.05, 132.5, 0.95)), 5)
    0.00149
    """
    whole = largest_u(power_D, lower_D, upper_D, required_probability, dof)
    left = (whole - u_other_D) * (whole + u_other_D)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.sqrt(np.maximum(left, 0.0)) / np.abs(d_power_d_n_lens)


def known_well_enough_text(largest: float | None, power_D: float, lower_D: float, upper_D: float, verdict: str = "") -> str:
    """How well something must be known, or why that cannot be said."""
    if not lower_D < power_D < upper_D:
        if verdict == UNDECIDED:
            return f"not said: {SIDE_OPEN}"
        return "no u decides: the power lies outside the limits"
    if largest is None or np.isnan(largest):
        return "not computed: a dimension is taken as exact, or the power does not depend on it"
    if largest == 0:
        return "no u decides: the other contributions alone are too large"
    return "any u decides" if np.isinf(largest) else f"u {at_most(largest)} or better"
