"""Conformance probability and coverage factors (JCGM 106:2012, clause 7; JCGM 100:2008, annex G)."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers, plain

_NARROW: Final = 0.5  # of the way over which the density turns to another: there ten nodes leave less than 1e-16


def conformance_probability(value: Any, u: Any, lower: Any, upper: Any, dof: Any = np.inf) -> Any:
    """Probability that the quantity lies within [lower, upper], given its estimate and standard uncertainty.

    JCGM 106:2012, 7.2–7.4: Φ((upper − value)/u) − Φ((lower − value)/u); with finite `dof` the scaled and shifted Student t takes Φ's place.
    The tail is taken on its own side, near the value both limits from the middle outwards, and between limits that lie close together the density, so
    that a small probability keeps its digits, be it of a far tail, of a large u or of a narrow tolerance. With u = 0 it is 1 or 0. Not a verdict:
    that needs a decision rule. Plain numbers or arrays that broadcast; limits may be infinite, and hold then even where u is.

    Accuracy: 4e-13 relative (what the last bit of z moves; in the middle 1e-15), over tails to 1e-250, u to 1e300, ν from 0.5.

    Raises
    ------
    InputError
        for u below 0, dof not above 0, or a lower limit above the upper one.

    >>> round(float(conformance_probability(-5.47, 0.05, -np.inf, -5.40)), 4)      # JCGM 106 example, a Zener diode
    0.9192
    >>> round(float(conformance_probability(0.0, 0.15, -0.3, 0.3, dof=4)), 3)
    0.884
    """
    from scipy.special import erf, ndtr, stdtr  # 0.3 s: only where a decision is asked for

    value, u, lower, upper, dof = numbers(value=value, u=u, lower=lower, upper=upper, dof=dof)
    if np.any(u < 0):
        raise InputError(f"u = {float(u[u < 0][0]):g}: a standard uncertainty must be 0 or more", quantity="u")
    if np.any(dof <= 0):
        raise InputError(f"dof = {float(dof[dof <= 0][0]):g}: degrees of freedom must be above 0", quantity="dof")
    refuse_swapped(lower, upper, "lower", "upper")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        a = np.where(np.isinf(lower), lower, (lower - value) / u)  # where nothing is known, u = inf, a limit at infinity holds nevertheless
        b = np.where(np.isinf(upper), upper, (upper - value) / u)
    flip = a > 0  # both limits above the value: take the other tail
    low, high = np.where(flip, -b, a), np.where(flip, -a, b)
    from_middle = (high > 0) | (low > -1.0)
    between = np.asarray(np.where(from_middle, (erf(high / 2.0**0.5) - erf(low / 2.0**0.5)) / 2.0, ndtr(high) - ndtr(low)))
    few = ~np.isinf(dof)  # nan too, which gives nan
    if few.any():
        near, far = few & from_middle, few & ~from_middle  # each row by one way only: these functions are slow
        between[near] = t_from_middle(high[near], dof[near]) - t_from_middle(low[near], dof[near])
        between[far] = stdtr(dof[far], high[far]) - stdtr(dof[far], low[far])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        width = (upper - lower) / u
        narrow = width * _steepest(np.maximum(0.0, -high), np.maximum(np.abs(a), np.abs(b)), dof) < _NARROW
    if narrow.any():
        between[narrow] = _of_narrow(a[narrow], width[narrow], dof[narrow])
    inside = ((lower <= value) & (value <= upper)).astype(np.float64)
    result = np.where(u > 0, between, np.where(u == 0, inside, np.nan))
    return result[()]


def refuse_swapped(lower: Any, upper: Any, lower_name: str, upper_name: str) -> None:
    """Limits of which the lower lies above the upper one are refused; a limit that is nan is none, and stays."""
    swapped = lower > upper
    if np.any(swapped):
        low, high = (float(limit[swapped].flat[0]) for limit in (lower, upper))
        raise InputError(
            f"the lower limit, {lower_name} = {plain(low)}, lies above the upper limit, {upper_name} = {plain(high)}: write the smaller one as "
            f"{lower_name}", quantity=lower_name, value=low,
        )  # fmt: skip


def _steepest(nearest: Any, farthest: Any, dof: Any) -> Any:
    """How fast the density turns to another, in its slope or, in the middle, its bend, at most: between two distances from the middle."""
    few = ~np.isinf(dof)  # nan too, which gives nan
    v = np.where(few, dof, 1.0)
    root = np.hypot(np.sqrt(v), nearest)  # the slope of ln t is (ν + 1)·z/(ν + z²), the normal one's z
    bend = np.where(few, np.sqrt(v + 1.0) / root, 1.0)
    return np.maximum(bend, bend * bend * farthest)


def _of_narrow(z: Any, width: Any, dof: Any) -> Any:
    """Between z and z + width by the density at ten nodes, where the distribution functions would take each other's digits. Plain numpy."""
    nodes, weights = np.polynomial.legendre.leggauss(10)
    return width / 2.0 * sum(w * t_density(z + width / 2.0 * (1.0 + x), dof) for x, w in zip(nodes.tolist(), weights.tolist(), strict=True))


def t_from_middle(z: Any, dof: Any) -> Any:
    """Student's distribution function less ½, whose digits do not fade towards the middle; finite degrees of freedom. Plain numpy."""
    from scipy.special import betainc, stdtr

    with np.errstate(invalid="ignore", over="ignore"):
        square = z * z
    result = np.empty(np.shape(z))
    near = square < dof
    result[near] = betainc(0.5, dof[near] / 2.0, square[near] / (dof[near] + square[near])) / 2.0
    result[~near] = stdtr(dof[~near], z[~near]) - 0.5
    return np.copysign(result, z)


def t_density(z: Any, dof: Any) -> Any:
    """Student's density, or the normal one where the degrees of freedom are infinite. Plain numpy."""
    from scipy.special import beta

    few = ~np.isinf(dof)  # nan too, which gives nan
    v = np.where(few, dof, 1.0)
    # in the middle 1/(√ν·B(½, ν/2)); beyond 300 scipy's B loses digits (2e-10 at 10⁶) and Stirling's series of the two gamma functions has them
    part = 1.0 / np.maximum(v, 300.0)
    many = 1.0 - part / 4.0 * (1.0 - part / 8.0 * (1.0 + 5.0 * part / 4.0 * (1.0 - 21.0 * part / 80.0 * (1.0 + 19.0 * part / 4.0))))
    middle = np.where(v > 300.0, many / np.sqrt(2.0 * np.pi), 1.0 / (np.sqrt(v) * beta(0.5, v / 2.0)))
    t = middle * np.exp(-(v + 1.0) / 2.0 * np.log1p(z * z / v))
    return np.where(few, t, np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi))


def nonconformance_probability(value: Any, u: Any, lower: Any, upper: Any, dof: Any = np.inf) -> Any:
    """One minus the conformance probability, taken as the sum of the two tails, so that a small one keeps its digits. With u = 0 it is 0 or 1.

    Accuracy: 4e-13 relative (what the last bit of z moves; 2e-15 where a limit is less than three u away), over tails to 1e-250, u to 1e300.

    >>> f"{float(nonconformance_probability(20.5, 0.05, 20.1, 20.9)):.2e}"       # eight standard uncertainties either side
    '1.24e-15'
    """
    low, high = numbers(lower=lower, upper=upper)
    refuse_swapped(low, high, "lower", "upper")
    tails = conformance_probability(value, u, -np.inf, lower, dof) + conformance_probability(value, u, upper, np.inf, dof)
    exact = np.asarray(u) == 0  # then a value on a limit is within, and in both tails
    return np.where(exact, 1.0 - conformance_probability(value, u, lower, upper, dof), tails)[()] if np.any(exact) else tails


def coverage_factor(probability: Any, dof: Any = np.inf) -> Any:
    """Two-sided coverage factor k: t with `dof` (not truncated), or normal (JCGM 100:2008, table G.2).

    Accuracy: 3e-15 relative, over probabilities 1e-12 to 1 − 1e-16, ν from 0.2.

    Raises
    ------
    InputError
        for a probability outside 0 to 1, or dof not above 0.

    >>> round(float(coverage_factor(0.95)), 3), round(float(coverage_factor(0.99, 16)), 2)
    (1.96, 2.92)
    """
    from scipy.special import betaincinv, erfinv

    probability, dof = numbers(probability=probability, dof=dof)
    if np.any((probability < 0) | (probability > 1)):
        raise InputError(f"probability = {probability}: must be 0 to 1; is it in per cent?", quantity="probability")
    if np.any(dof <= 0):
        raise InputError(f"dof = {float(dof[dof <= 0][0]):g}: degrees of freedom must be above 0", quantity="dof")
    rest = 1.0 - probability  # a probability near 1 has its digits there, a small one in itself
    nu = np.where(np.isinf(dof), 1.0, dof)
    # k² = ν·y/(1 − y) = ν·(1 − x)/x, y the part of k² in ν + k², x the rest: the smaller of them has the digits (scipy's own inverse of t has them
    # from 1.17 on, eleven before)
    y = betaincinv(0.5, nu / 2.0, probability)
    x = betaincinv(nu / 2.0, 0.5, rest)
    with np.errstate(divide="ignore"):
        k = np.sqrt(nu * np.where(y < 0.5, y / (1.0 - y), (1.0 - x) / x))
    return np.where(np.isinf(dof), 2.0**0.5 * erfinv(probability), k)[()]
