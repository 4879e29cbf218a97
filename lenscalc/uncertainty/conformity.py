"""Conformance probability and coverage factors (JCGM 106:2012, clause 7; JCGM 100:2008, annex G)."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError


def conformance_probability(value: Any, u: Any, lower: Any, upper: Any, dof: Any = np.inf) -> Any:
    """Probability that the quantity lies within [lower, upper], given its estimate and standard uncertainty.

    JCGM 106:2012, 7.2–7.4: Φ((upper − value)/u) − Φ((lower − value)/u); with finite `dof` the scaled and shifted Student t takes Φ's place.
    The tail is taken on its own side, so that a small probability keeps its digits. With u = 0 it is 1 or 0. Not a verdict:
    that needs a decision rule. Plain numbers or arrays that broadcast; limits may be infinite.

    Raises
    ------
    InputError
        for u below 0, dof not above 0, or a lower limit above the upper one.

    >>> round(float(conformance_probability(-5.47, 0.05, -np.inf, -5.40)), 4)      # JCGM 106 example, a Zener diode
    0.9192
    >>> round(float(conformance_probability(0.0, 0.15, -0.3, 0.3, dof=4)), 3)
    0.884
    """
    from scipy.special import ndtr, stdtr  # 0.3 s: only where a decision is asked for

    value, u, lower, upper, dof = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in (value, u, lower, upper, dof)))
    if np.any(u < 0):
        raise InputError(f"u = {float(u[u < 0][0]):g}: a standard uncertainty must be 0 or more", quantity="u")
    if np.any(dof <= 0):
        raise InputError(f"dof = {float(dof[dof <= 0][0]):g}: degrees of freedom must be above 0", quantity="dof")
    if np.any(lower > upper):
        raise InputError("the lower limit lies above the upper limit", quantity="lower")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        a = (lower - value) / u
        b = (upper - value) / u
    flip = a > 0  # both limits above the value: take the other tail
    low, high = np.where(flip, -b, a), np.where(flip, -a, b)

    def cdf(z: Any) -> Any:
        return np.where(np.isinf(dof), ndtr(z), stdtr(np.where(np.isinf(dof), 1.0, dof), z))

    inside = ((lower <= value) & (value <= upper)).astype(np.float64)
    result = np.where(u > 0, cdf(high) - cdf(low), np.where(u == 0, inside, np.nan))
    return result[()]


def nonconformance_probability(value: Any, u: Any, lower: Any, upper: Any, dof: Any = np.inf) -> Any:
    """One minus the conformance probability, taken as the sum of the two tails, so that a small one keeps its digits.

    >>> f"{float(nonconformance_probability(20.5, 0.05, 20.1, 20.9)):.2e}"       # eight standard uncertainties either side
    '1.24e-15'
    """
    return conformance_probability(value, u, -np.inf, lower, dof) + conformance_probability(value, u, upper, np.inf, dof)


def coverage_factor(probability: Any, dof: Any = np.inf) -> Any:
    """Two-sided coverage factor k: t with `dof` (not truncated), or normal (JCGM 100:2008, table G.2).

    >>> round(float(coverage_factor(0.95)), 3), round(float(coverage_factor(0.99, 16)), 2)
    (1.96, 2.92)
    """
    from scipy.special import ndtri, stdtrit

    dof = np.asarray(dof, dtype=np.float64)
    p = 0.5 + probability / 2
    return np.where(np.isinf(dof), ndtri(p), stdtrit(np.where(np.isinf(dof), 1.0, dof), p))[()]
