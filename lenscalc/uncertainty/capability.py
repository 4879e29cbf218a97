"""Is the measurement, or the process, good enough for the tolerance? Ratios of widths."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers
from lenscalc.uncertainty.conformity import refuse_swapped


def measurement_capability(lower: Any, upper: Any, u: Any) -> Any:
    """Measurement capability index C_m = (T_U − T_L)/(4u) (JCGM 106:2012, 7.6.3); inf for u = 0.

    The clause number as quoted in texts. At C_m = 1 the guard bands of U = 2u fill the whole tolerance.

    Accuracy: 2e-16 relative, over tolerances from 1e-9.

    Raises
    ------
    InputError
        for u below 0, a limit that is not finite, or a lower limit not below the upper one.

    >>> round(float(measurement_capability(20.1, 20.9, 0.1)), 12), float(measurement_capability(-0.5, 0.5, 0.25))
    (2.0, 1.0)
    """
    lower, upper, u = _checked(lower, upper, u, "u")
    with np.errstate(divide="ignore"):
        return ((upper - lower) / (4.0 * u))[()]


def uncertainty_ratio(tolerance: Any, U: Any) -> Any:
    """The test uncertainty ratio: the tolerance's half-width over the expanded uncertainty U = k·u (ILAC-G8:09/2019, 1.13, as quoted in texts).

    For U = 2u and a tolerance of two sides it equals the capability index C_m. Inf for U = 0.

    Accuracy: 2e-16 relative, over 1e-300 to 2.

    Raises
    ------
    InputError
        for a value below 0.

    >>> float(uncertainty_ratio(0.4, 0.1))
    4.0
    """
    tolerance, U = numbers(tolerance=tolerance, U=U)
    if np.any(tolerance < 0) or np.any(U < 0):
        raise InputError("a tolerance and an expanded uncertainty must be 0 or more", quantity="U")
    with np.errstate(divide="ignore", invalid="ignore"):
        return (tolerance / U)[()]


class ProcessCapability(NamedTuple):
    """C_p, what the process could do if centred; C_pk, what it does where it stands."""

    c_p: Any
    c_pk: Any


def process_capability(lower: Any, upper: Any, mean: Any, sd: Any) -> ProcessCapability:
    """Capability of a normal process: C_p = (T_U − T_L)/(6σ), C_pk = the nearer limit's distance over 3σ (textbook of quality control).

    Accuracy: 4e-16 relative, over spreads from 1e-9.

    Raises
    ------
    InputError
        for a limit that is infinite or above the other, or a spread below 0.

    >>> c = process_capability(9.0, 11.0, 10.5, 0.4)
    >>> round(float(c.c_p), 6), round(float(c.c_pk), 6)
    (0.833333, 0.416667)
    """
    lower, upper, sd = _checked(lower, upper, sd, "sd")
    (mean,) = numbers(mean=mean)
    with np.errstate(divide="ignore", invalid="ignore"):
        return ProcessCapability(((upper - lower) / (6.0 * sd))[()], (np.minimum(upper - mean, mean - lower) / (3.0 * sd))[()])


def _checked(lower: Any, upper: Any, spread: Any, name: str) -> tuple[Any, Any, Any]:
    lower, upper, spread = numbers(**{"lower": lower, "upper": upper, name: spread})
    refuse_swapped(lower, upper, "lower", "upper")
    if np.any(np.isinf(lower)) or np.any(np.isinf(upper)) or np.any(lower == upper):
        raise InputError("a capability needs two finite limits, the lower one below the upper one", quantity="lower")
    if np.any(spread < 0):
        raise InputError(f"{name} = {float(spread[spread < 0][0]):g}: must be 0 or more", quantity=name)
    return lower, upper, spread
