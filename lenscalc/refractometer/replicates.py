"""Replicate readings: their mean and its type A uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lenscalc.errors import InputError


class Mean(NamedTuple):
    """Mean of n readings, u = s/√n, ν = n − 1."""

    value: float
    u: float
    dof: float


def mean_of(readings: Sequence[float]) -> Mean:
    """Type A evaluation of replicate readings (JCGM 100:2008, 4.2.3).

    Raises
    ------
    InputError
        for fewer than two: one reading has no spread of its own; take a pooled one.

    >>> m = mean_of([1.4901, 1.4903, 1.4902, 1.4902])
    >>> round(m.value, 5), round(m.u, 6), m.dof
    (1.4902, 4.1e-05, 3.0)
    """
    n = len(readings)
    if n < 2:
        raise InputError("one reading has no spread of its own: read again, or give a pooled u_repeatability")
    x = np.asarray(readings, dtype=np.float64)
    return Mean(float(np.mean(x)), float(np.std(x, ddof=1) / n**0.5), n - 1.0)
