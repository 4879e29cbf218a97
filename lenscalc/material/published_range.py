"""A value outside the range of the publication behind a formula is refused, in one sentence."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.errors import InputError
from lenscalc.quantities import numbers


def within(name: str, value: Any, lower: float, upper: float, unit: str, what: str, *, hint: str = "") -> npt.NDArray[np.float64]:
    """The value as float64; `what` says what holds only between `lower` and `upper` (both allowed), `hint` what to do.

    Raises
    ------
    InputError
        outside the limits, for nan and for text that is no number.

    >>> within("temperature_degC", 41.0, 0, 40, "°C", "the density of water is known here")
    Traceback (most recent call last):
    lenscalc.errors.InputError: temperature_degC = 41 °C: the density of water is known here from 0 to 40 °C
    """
    span = f"{what} from {lower:g} to {upper:g}{' ' + unit if unit else ''}{'; ' + hint if hint else ''}"
    try:
        (array,) = numbers(**{name: value})
    except InputError as error:
        raise InputError(f"{error}: {span}", quantity=name, value=error.value, limits=(lower, upper), unit=unit) from None
    outside = ~((array >= lower) & (array <= upper))  # true for nan as well
    if np.any(outside):
        worst = float(array[outside].flat[0])
        text = f"{name} = {worst:.12g}{' ' + unit if unit else ''}: {span}"
        raise InputError(text, quantity=name, value=worst, limits=(lower, upper), unit=unit)
    return array


def is_to_air(relative_to: str) -> bool:
    """Whether the index basis is "air"; the other one is "vacuum", anything else is an InputError."""
    if relative_to not in ("air", "vacuum"):
        raise InputError(f"relative_to = {relative_to!r}: must be 'air' or 'vacuum'", quantity="relative_to", value=relative_to)
    return relative_to == "air"
