"""The tolerance about a labelled power."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from lenscalc.quantities import checked, given_back

TOLERANCE_EDITION: Final = (
    "ISO 11979-2:1999/2014 as quoted in texts, not read; both editions are withdrawn: check the edition in force"
)
_UP_TO_D: Final = ((15.0, 0.3), (25.0, 0.4), (30.0, 0.5), (np.inf, 1.0))


def power_tolerance_D(labelled_power_D: Any) -> Any:
    """Half-width of the tolerance about a labelled power, spherical lenses: up to 15 D ±0.3; to 25 ±0.4; to 30 ±0.5; beyond ±1.0 D.

    By the magnitude of the label, the boundary belonging to the smaller tolerance. Quoted after ISO 11979-2:1999/2014, both withdrawn: the edition
    in force must be checked. Not for toric lenses.

    >>> [power_tolerance_D(p) for p in (15, 15.5, 25, 30, 30.5, -5)]
    [0.3, 0.4, 0.4, 0.5, 1.0, 0.3]
    """
    a, shape = checked(labelled_power_D=labelled_power_D)
    return given_back(tolerance_of(a["labelled_power_D"]), shape)


def tolerance_of(label: Any) -> Any:
    """The body; an array of labels, nan stays nan."""
    size = np.abs(label)
    result = np.full(np.shape(label), np.nan)
    for limit, tolerance in reversed(_UP_TO_D):
        result = np.where(size <= limit, tolerance, result)
    return result
