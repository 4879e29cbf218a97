"""Acceptance limits: guard bands by named rules, and limits at a wanted conformance probability (JCGM 106:2012, clause 8)."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import numbers
from lenscalc.uncertainty.conformity import nonconformance_probability, refuse_swapped

_BISECTIONS: Final = 80


class GuardBandRule(NamedTuple):
    """A rule: the guard band is r·U inside the tolerance (outside it for r below 0), and where the rule comes from."""

    name: str
    r: float
    source: str


GUARD_BAND_RULES: Final = MappingProxyType({
    rule.name: rule
    for rule in (
        GuardBandRule("simple acceptance", 0.0, "JCGM 106:2012, 8.2.1 (shared risk): the acceptance limits are the tolerance limits"),
        GuardBandRule("guarded acceptance", 1.0, "JCGM 106:2012, 8.3.2 (clause from memory): w = U"),
        GuardBandRule("guarded acceptance, 0.83 U", 0.83, "ISO 14253-1:2017 as quoted in texts, not read: below 5 % false acceptance for k = 2"),
        GuardBandRule("guarded acceptance, 1.5 U", 1.5, "quoted in texts as the rule of three sigma: below 0.16 % false acceptance for k = 2"),
        GuardBandRule("guarded rejection", -1.0, "JCGM 106:2012, 8.3.3 (clause from memory): rejected only beyond the tolerance by U"),
    )
})  # fmt: skip


class AcceptanceLimits(NamedTuple):
    """Acceptance limits and the guard band; nan, and `exists` False, where the guard bands leave no acceptance zone between them."""

    acceptance_lower: Any
    acceptance_upper: Any
    guard_band: Any
    exists: Any


def acceptance_limits(lower: Any, upper: Any, U: Any, *, rule: str = "guarded acceptance") -> AcceptanceLimits:
    """Acceptance limits T_L + w and T_U − w with the guard band w = r·U of a named rule (JCGM 106:2012, 8.3).

    U = k·u; which k belongs to it is for the caller to say. With 2w ≥ T_U − T_L there is no acceptance zone: the limits are nan, never swapped.
    A guard band below 0 (guarded rejection) lies outside the tolerance. Limits may be infinite. Plain numbers or arrays that broadcast.

    Accuracy: 2e-16 relative to the limits, over guard bands from 0.

    Raises
    ------
    UnknownNameError
        for a rule that nobody knows.
    InputError
        for U below 0, or a lower limit above the upper one.

    >>> a = acceptance_limits(20.1, 20.9, 0.1)
    >>> round(float(a.acceptance_lower), 6), round(float(a.acceptance_upper), 6)
    (20.2, 20.8)
    >>> bool(acceptance_limits(20.1, 20.9, 0.45).exists)
    False
    """
    if rule not in GUARD_BAND_RULES:
        raise UnknownNameError(rule, GUARD_BAND_RULES, what="guard band rule")
    lower, upper, U = numbers(lower=lower, upper=upper, U=U)
    refuse_swapped(lower, upper, "lower", "upper")
    if np.any(U < 0):
        raise InputError(f"U = {float(U[U < 0][0]):g}: an expanded uncertainty must be 0 or more", quantity="U")
    r = GUARD_BAND_RULES[rule].r
    w = r * U if r else np.zeros(U.shape)  # simple acceptance asks for no U
    exists = np.where(w <= 0.0, lower <= upper, 2.0 * w < upper - lower)
    return AcceptanceLimits(
        np.where(exists, lower + w, np.nan)[()], np.where(exists, upper - w, np.nan)[()], w[()], exists[()]
    )


def acceptance_limits_at(lower: Any, upper: Any, u: Any, *, probability: Any, dof: Any = np.inf) -> AcceptanceLimits:
    """Acceptance limits within which a measured value conforms with at least this probability (JCGM 106:2012, 8.3.2, from memory).

    With one limit the guard band is the one-sided quantile times u. With two both tails count, so that the band is wider where u is not small against
    the tolerance; found by bisection of what lies in them. Where not even the middle of the tolerance reaches the probability there is no
    acceptance zone: the limits are nan. Plain numpy.

    Accuracy: 2e-16 relative to the tolerance, over probabilities 0.9 to 1 − 1e-15.

    Raises
    ------
    InputError
        for a probability not above 0.5 or not below 1, u below 0, or a lower limit above the upper one.

    >>> a = acceptance_limits_at(-float("inf"), -5.40, 0.05, probability=0.95)      # one-sided: 1.645·u
    >>> round(float(a.acceptance_upper), 4)
    -5.4822
    >>> b = acceptance_limits_at(20.1, 20.9, 0.2, probability=0.95)
    >>> round(float(nonconformance_probability(b.acceptance_lower, 0.2, 20.1, 20.9)), 6)
    0.05
    """
    from scipy.special import ndtri, stdtrit

    lower, upper, u, p, dof = numbers(lower=lower, upper=upper, u=u, probability=probability, dof=dof)
    refuse_swapped(lower, upper, "lower", "upper")
    if np.any(~((p > 0.5) & (p < 1.0))):
        raise InputError("probability must be above 0.5 and below 1, as a fraction", quantity="probability", limits=(0.5, 1.0))
    off = 1.0 - p  # exact, and where p is near 1 the digits are here
    many = np.isinf(dof)
    one_sided = np.where(many, -ndtri(off), -stdtrit(dof, off)) * u
    two = np.isfinite(lower) & np.isfinite(upper)
    with np.errstate(invalid="ignore"):
        middle = (lower + upper) / 2.0
        near, far = lower, np.where(u > 0, middle, lower)  # the answer lies between; what is exact conforms on its limit too
        one = np.isfinite(one_sided) & ~np.isnan(lower) & ~np.isnan(upper)
        exists = np.where(two, nonconformance_probability(middle, u, lower, upper, dof) <= off, one)
        for _ in range(_BISECTIONS):
            half = (near + far) / 2.0
            enough = nonconformance_probability(half, u, lower, upper, dof) <= off
            near, far = np.where(enough, near, half), np.where(enough, half, far)
        w = np.where(two, far - lower, one_sided)
        low, high = np.where(two, far, lower + one_sided), upper - w
    return AcceptanceLimits(np.where(exists, low, np.nan)[()], np.where(exists, high, np.nan)[()], np.where(exists, w, np.nan)[()], exists[()])
