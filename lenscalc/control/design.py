"""How wide must the limits stand for a false alarm to be as rare as wanted?"""

from __future__ import annotations

from collections.abc import Callable
from math import isclose
from typing import Final

from lenscalc.control.limits import RANGES
from lenscalc.control.run_length import average_run_length
from lenscalc.errors import InputError
from lenscalc.quantities import single_numbers

RAREST: Final = 1e6


def width_for_run_length(run_length: float, *, weight: float, exact_limits: bool = True) -> float:
    """The distance L of EWMA limits at which it signals by chance once in `run_length` points, 2 to 1e6, on average.

    >>> round(width_for_run_length(500.0, weight=0.5, exact_limits=False), 3)  # Lucas and Saccucci 1990, table 3: 3.071
    3.071
    """

    def wait(width: float) -> float:
        return average_run_length("ewma", weight=weight, width_sigma=width, exact_limits=exact_limits).mean

    return _solved(run_length, "width_sigma", wait)


def interval_for_run_length(run_length: float, *, k_sigma: float = 0.5) -> float:
    """The decision interval h of a CUSUM at which it signals by chance once in `run_length` points, 2 to 1e6, on average.

    >>> round(interval_for_run_length(465.44, k_sigma=0.5), 3)
    5.0
    """
    return _solved(run_length, "h_sigma", lambda h: average_run_length("cusum", k_sigma=k_sigma, h_sigma=h).mean)


def _solved(wanted: float, setting: str, wait: Callable[[float], float]) -> float:
    """By halving: the wait grows with the width, and far out it grows beyond what the equation can tell."""
    (wanted,) = single_numbers(run_length=wanted)
    if not 2.0 <= wanted <= RAREST:
        raise InputError(f"run_length = {wanted:g}: must be 2 to {RAREST:g} points", quantity="run_length", value=wanted, limits=(2.0, RAREST))
    low, high = RANGES[setting]
    if wait(low) > wanted:
        raise InputError(f"run_length = {wanted:g}: even limits as near as {low:g} sigma signal more rarely", quantity="run_length", value=wanted)
    top = low
    while top < high and wait(top) < wanted:
        low, top = top, min(2.0 * top, high)
    if wait(top) < wanted:
        raise InputError(f"run_length = {wanted:g}: even limits at {high:g} sigma signal more often", quantity="run_length", value=wanted)
    while not isclose(low, top, rel_tol=1e-7):
        middle = 0.5 * (low + top)
        low, top = (middle, top) if wait(middle) < wanted else (low, middle)
    return 0.5 * (low + top)
