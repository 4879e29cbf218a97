"""Consumer's and producer's risk: of one measured item, and of all that a process sends through the measurement (JCGM 106:2012, clause 9)."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import numbers
from lenscalc.uncertainty.conformity import conformance_probability, nonconformance_probability, refuse_swapped
from lenscalc.uncertainty.gamma_process import gamma_below, gamma_bends, gamma_density, gamma_ends
from lenscalc.uncertainty.panels import about, over_panels, vanished

Process = Literal["normal", "gamma"]


class SpecificRisk(NamedTuple):
    """Of one item: whether it is accepted; the risk that it is accepted wrongly (nan if rejected), or rejected wrongly (nan if accepted)."""

    accepted: Any
    consumers_risk: Any
    producers_risk: Any


def specific_risk(
    value: Any, u: Any, lower: Any, upper: Any, *, acceptance_lower: Any, acceptance_upper: Any, dof: Any = np.inf
) -> SpecificRisk:
    """Risk of one measured item: 1 − p_c of an accepted one, p_c of a rejected one (JCGM 106:2012, 9.3.2, from memory).

    Limits of acceptance that are nan (no acceptance zone) accept nothing.

    Accuracy: 4e-13 relative, as of the conformance probability (2e-15 where a limit is less than three u away), over tails to 1e-250.

    Raises
    ------
    InputError
        as for `conformance_probability`.

    >>> r = specific_risk(20.75, 0.1, 20.1, 20.9, acceptance_lower=20.1, acceptance_upper=20.9)      # simple acceptance
    >>> bool(r.accepted), round(float(r.consumers_risk), 4)
    (True, 0.0668)
    """
    p = conformance_probability(value, u, lower, upper, dof)
    value, lowest, highest = numbers(value=value, acceptance_lower=acceptance_lower, acceptance_upper=acceptance_upper)
    with np.errstate(invalid="ignore"):
        accepted = (lowest <= value) & (value <= highest)
    off = nonconformance_probability(value, u, lower, upper, dof)
    return SpecificRisk(accepted, np.where(accepted, off, np.nan)[()], np.where(accepted, np.nan, p)[()])


class GlobalRisks(NamedTuple):
    """Of an item drawn from the process: R_C, accepted though it does not conform; R_P, rejected though it conforms.

    Beside them how many conform before any inspection, how many are accepted, and how many of the accepted do not conform.
    """

    consumers_risk: Any
    producers_risk: Any
    conforming: Any
    accepted: Any
    nonconforming_of_accepted: Any


def global_risks(
    process_mean: Any,
    process_sd: Any,
    u_measurement: Any,
    lower: Any,
    upper: Any,
    *,
    acceptance_lower: Any,
    acceptance_upper: Any,
    process: Process = "normal",
) -> GlobalRisks:
    """Global consumer's and producer's risk of inspecting what a process makes by a measurement with normal error (JCGM 106:2012, 9.5, from memory).

    R_C = ∫ outside the tolerance of g(y)·P(measured value accepted | y) dy, R_P = ∫ inside it of g(y)·P(rejected | y) dy, with g the density of the
    process: normal, or gamma of this mean and standard deviation for what cannot be below 0. Gauss–Legendre quadrature between breakpoints at every
    limit, so that small risks keep their digits. Plain numbers or arrays that broadcast; limits may be infinite. Plain numpy.

    Accuracy: 3e-15 relative, over normal processes, u from 0.1 of the spread; of gamma processes 3e-14 up to an sd of 1e6 means, and of risks down to
    1e-200 1e-13.

    Raises
    ------
    UnknownNameError, InputError
        for an unknown process; a standard deviation not above 0; u below 0; limits that are nan or swapped; a gamma process with a mean not above 0.

    >>> r = global_risks(1500.0, 0.12, 0.04, 1499.8, 1500.2, acceptance_lower=1499.82, acceptance_upper=1500.18)     # JCGM 106, resistors
    >>> round(float(r.consumers_risk), 4), round(float(r.producers_risk), 4)
    (0.0099, 0.069)
    """
    arrays = numbers(
        process_mean=process_mean, process_sd=process_sd, u_measurement=u_measurement, lower=lower, upper=upper, acceptance_lower=acceptance_lower,
        acceptance_upper=acceptance_upper,
    )  # fmt: skip
    shape = arrays[0].shape
    mean, sd, u, low, high, a_low, a_high = (a.ravel() for a in arrays)
    _refuse_process(process, mean, sd, u)
    if np.any(np.isnan(a_low)) or np.any(np.isnan(a_high)):
        raise InputError("no acceptance zone (its limits are nan): nothing is accepted, there is no risk to speak of", quantity="acceptance_lower")
    if np.any(np.isnan(low)) or np.any(np.isnan(high)):
        raise InputError("lower or upper is missing (nan): write inf where there is no limit", quantity="lower")
    refuse_swapped(low, high, "lower", "upper")
    refuse_swapped(a_low, a_high, "acceptance_lower", "acceptance_upper")
    if not mean.size:
        return GlobalRisks(*(np.zeros(shape) for _ in GlobalRisks._fields))

    def parts(y: Any, mass: Any) -> Any:
        inside = (y >= low) & (y <= high)
        p_accepted = conformance_probability(y, u, a_low, a_high)
        p_rejected = nonconformance_probability(y, u, a_low, a_high)
        outside = np.where(inside, 0.0, mass)
        return np.stack([outside * p_accepted, (mass - outside) * p_rejected, mass - outside, mass * p_accepted])

    points = _breakpoints(mean, sd, u, low, high, a_low, a_high, process)
    if process == "gamma":
        first, last = gamma_ends(mean, sd)
        points += gamma_bends(mean)
        nearest_0 = parts(first, gamma_below(first, mean, sd))
        risks = nearest_0 + over_panels(lambda y: parts(y, gamma_density(y, mean, sd)), np.clip(points, first, last))
    else:
        risks = over_panels(lambda y: parts(y, _normal_density(y, mean, sd)), np.clip(points, *vanished(mean, sd)))
    consumer, producer, conforming, accepted = risks
    with np.errstate(divide="ignore", invalid="ignore"):
        of_accepted = consumer / accepted
    return GlobalRisks(*(x.reshape(shape)[()] for x in (consumer, producer, conforming, accepted, of_accepted)))


def guard_band_at_global_risk(
    process_mean: float,
    process_sd: float,
    u_measurement: float,
    lower: float,
    upper: float,
    *,
    consumers_risk: float,
    process: Process = "normal",
) -> float:
    """The guard band w at which acceptance between T_L + w and T_U − w has this global consumer's risk (JCGM 106:2012, 9.5, from memory); one case.

    0 where simple acceptance meets it already; nan where the guard bands would meet before the risk is down to it.

    >>> round(guard_band_at_global_risk(1.0, 0.5, 0.25, 0.0, 2.0, consumers_risk=0.001, process="gamma"), 4)
    0.3282
    """
    from scipy.optimize import brentq

    one_case = {"lower": lower, "upper": upper, "process_sd": process_sd, "u_measurement": u_measurement, "consumers_risk": consumers_risk}
    lower, upper, process_sd, u_measurement, consumers_risk = (float(x) for x in numbers(**one_case))
    if not 0.0 < consumers_risk < 1.0:
        raise InputError(f"consumers_risk = {consumers_risk:g}: must be above 0 and below 1, as a fraction", quantity="consumers_risk")

    def too_much(w: float) -> float:
        found = global_risks(
            process_mean, process_sd, u_measurement, lower, upper, acceptance_lower=lower + w, acceptance_upper=upper - w, process=process
        )
        return float(found.consumers_risk) - consumers_risk

    if too_much(0.0) <= 0:
        return 0.0
    widest = (upper - lower) / 2.0 if np.isfinite(upper - lower) else 40.0 * (process_sd + u_measurement)
    widest *= 1.0 - 1e-9
    return float(brentq(too_much, 0.0, widest, xtol=1e-12 * widest)) if too_much(widest) < 0 else float("nan")


def _refuse_process(process: str, mean: Any, sd: Any, u: Any) -> None:
    if process not in ("normal", "gamma"):
        raise UnknownNameError(process, ("normal", "gamma"), what="process")
    if np.any(~(sd > 0)):
        raise InputError("process_sd must be above 0: a process without spread needs no inspection", quantity="process_sd")
    if not np.all(np.isfinite(sd)):
        raise InputError("process_sd must be finite: of what is spread over everything nothing conforms", quantity="process_sd")
    if np.any(~(u >= 0)):
        raise InputError("u_measurement must be 0 or more", quantity="u_measurement")
    if process == "gamma" and np.any(~(mean > 0)):
        raise InputError("a gamma process has a mean above 0", quantity="process_mean")


def _normal_density(y: Any, mean: Any, sd: Any) -> Any:
    z = (y - mean) / sd
    return np.exp(-z * z / 2.0) / (sd * np.sqrt(2.0 * np.pi))


def _breakpoints(mean: Any, sd: Any, u: Any, low: Any, high: Any, a_low: Any, a_high: Any, process: str) -> list[Any]:
    """Where process and acceptance bend, the tolerance limits, and how far from them the process and acceptance have fallen off."""
    points = [*about(mean, sd), *about(a_low, u), *about(a_high, u), low, high]
    for limit, acceptance in ((low, a_low), (high, a_high)):
        with np.errstate(divide="ignore", invalid="ignore"):
            of_process = (mean * mean / (sd * sd) - 1.0) / limit - mean / (sd * sd) if process == "gamma" else (limit - mean) / (sd * sd)
            falls = (1.0 / np.abs(of_process), u * u / np.abs(limit - acceptance))
        for length in falls:
            points += [np.where(np.isfinite(length), limit + k * length, limit) for k in (-36.0, -12.0, -4.0, 4.0, 12.0, 36.0)]
    return points
