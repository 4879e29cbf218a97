"""The constants of control charts, computed: what the range and the standard deviation of a few normal readings are on average."""

from __future__ import annotations

from functools import cache
from math import exp, lgamma
from typing import Final, NamedTuple

import numpy as np

from lenscalc.quantities import whole_number

LARGEST: Final = 100
_REACH: Final = 9.0  # in sigma: beyond it the largest of 100 lies with less than 1e-16
_PIECES: Final = 18


class ChartConstants(NamedTuple):
    """Of a group of n normal readings with sigma 1: mean d2 and standard deviation d3 of the range, mean c4 of the standard deviation.

    The rest are limits at three sigma: mean chart A2·(mean range) and A3·(mean s) to either side; range D3 and D4, standard deviation B3 and
    B4, times their mean.
    """

    d2: float
    d3: float
    c4: float
    A2: float
    A3: float
    B3: float
    B4: float
    D3: float
    D4: float


@cache
def chart_constants(n: int) -> ChartConstants:
    """The constants for groups of n readings, 2 to 100, to more digits than any table.

    c4 = √(2/(n − 1))·Γ(n/2)/Γ((n − 1)/2); d2 and d3 from the distribution of the range (Tippett 1925: E R = ∫ 1 − Φⁿ − (1 − Φ)ⁿ dx), by
    Gauss–Legendre panels. NIST/SEMATECH e-Handbook, 6.3.2.1, gives the formulas of the limits.

    Raises
    ------
    InputError
        if n is not a whole number of 2 to 100.

    >>> of_five = chart_constants(5)
    >>> [round(x, 4) for x in (of_five.d2, of_five.d3, of_five.c4, of_five.A2, of_five.D4)]
    [2.3259, 0.8641, 0.94, 0.5768, 2.1145]
    """
    n = whole_number("n", n, 2, LARGEST, why="the readings of a group for its spread; chart single readings as individuals")
    d2, mean_square = _range_moments(n)
    d3 = (mean_square - d2 * d2) ** 0.5
    c4 = (2.0 / (n - 1)) ** 0.5 * exp(lgamma(n / 2.0) - lgamma((n - 1) / 2.0))
    s_spread = 3.0 * (1.0 - c4 * c4) ** 0.5 / c4
    r_spread = 3.0 * d3 / d2
    root = n**0.5
    return ChartConstants(
        d2, d3, c4, 3.0 / (d2 * root), 3.0 / (c4 * root), max(0.0, 1.0 - s_spread), 1.0 + s_spread, max(0.0, 1.0 - r_spread), 1.0 + r_spread
    )


def _range_moments(n: int) -> tuple[float, float]:
    """Mean of the range and of its square: E R² = 2∬_{x<y} 1 − Φ(y)ⁿ − (1 − Φ(x))ⁿ + (Φ(y) − Φ(x))ⁿ dx dy."""
    from scipy.special import ndtr

    x, w = _panels(-_REACH, _REACH, _PIECES)
    below, above = ndtr(x), ndtr(-x)
    mean = float(w @ (1.0 - below**n - above**n))
    # the inner integral over y > x: as far as the end, on panels of its own for every x
    t, v = _panels(0.0, 1.0, _PIECES)
    y = x[:, None] + (_REACH - x)[:, None] * t
    inner = 1.0 - ndtr(y) ** n - above[:, None] ** n + (ndtr(y) - below[:, None]) ** n
    return mean, 2.0 * float(w @ ((_REACH - x) * (inner @ v)))


def _panels(lower: float, upper: float, pieces: int) -> tuple[np.ndarray, np.ndarray]:
    at, weight = np.polynomial.legendre.leggauss(12)
    half = (upper - lower) / (2.0 * pieces)
    middles = lower + half * (2.0 * np.arange(pieces) + 1.0)
    return (middles[:, None] + half * at).ravel(), np.tile(half * weight, pieces)
