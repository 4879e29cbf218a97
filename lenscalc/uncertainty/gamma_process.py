"""A process that cannot be below 0: the gamma law by its mean and standard deviation. Plain numpy.

With a standard deviation above the mean most of it lies close to 0, where its density has no bound: what lies nearest there is counted as a whole.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

_NEAREST: Final = 4.0**-34  # of the mean, 3e-21: what is below is as good as 0 to any limit


def gamma_density(y: Any, mean: Any, sd: Any) -> Any:
    """The density at y above 0, written about the mean, where a power of y and Γ of a large shape would lose each other's digits."""
    shape = (mean / sd) * (mean / sd)
    off = (y - mean) / mean
    away = np.where(np.abs(off) < 0.5, off - np.log1p(np.maximum(off, -0.5)), off - np.log(y / mean))
    return np.exp(-shape * away) / y * _at_mean(shape)


def gamma_below(y: Any, mean: Any, sd: Any) -> Any:
    """The part of the process below y."""
    from scipy.special import gammainc

    return gammainc((mean / sd) * (mean / sd), (mean / sd) * (y / sd))


def gamma_ends(mean: Any, sd: Any) -> tuple[Any, Any]:
    """Where the quadrature begins, and where the density has vanished; `gamma_below` the first is counted as a whole."""
    return mean * _NEAREST, mean + 80.0 * sd + 750.0 * sd * (sd / mean)


def gamma_bends(mean: Any) -> list[Any]:
    """Where the density bends, besides about its mean: towards 0, and in a tail as long as that of a standard deviation of 1e6 means."""
    return [mean * 4.0**-k for k in range(-26, 34)]


def _at_mean(shape: Any) -> Any:
    """shape^shape·e^−shape/Γ(shape), for a large shape by Stirling's series."""
    from scipy.special import gammaln

    few = np.minimum(shape, 30.0)
    part = 1.0 / np.maximum(shape, 30.0)
    square = part * part
    stirling = part / 12.0 * (1.0 - square / 30.0 * (1.0 - square * 2.0 / 7.0 * (1.0 - square * 3.0 / 4.0)))
    return np.where(shape > 30.0, np.exp(-stirling) / np.sqrt(2.0 * np.pi * part), np.exp(few * np.log(few) - few - gammaln(few)))
