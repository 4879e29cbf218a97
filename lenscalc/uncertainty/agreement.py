"""Whether two results of the same quantity agree: their difference over its uncertainty."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty.estimate import Estimate, combine


class Agreement(NamedTuple):
    """Difference of two results, its standard uncertainty, difference over u (zeta) and over k·u (the normalised error E_n), and |E_n| ≤ 1."""

    difference: Any
    u_difference: Any
    zeta: Any
    normalised_error: Any
    agrees: Any


def agreement(first: Estimate, second: Estimate, *, k: float = 2.0) -> Agreement:
    """First less second, and whether the uncertainties explain it. What both share (one calibration, one gauge) has cancelled from u.

    zeta = d/u(d) and E_n = d/(k·u(d)) as used in proficiency testing (ISO 13528: from memory, to be confirmed against the text; there the two results
    are independent). Agreement says that nothing was found, no more; with a large u nothing can be.

    Accuracy: 3e-16 relative, over u from 1e-6.

    Raises
    ------
    InputError
        for k not above 0, and where the difference has no uncertainty to be judged by.

    >>> from lenscalc.uncertainty import Source, estimate
    >>> a = agreement(estimate(1.4912, 0.0003, Source("lens bench")), estimate(1.4900, 0.0004, Source("refractometer")))
    >>> round(float(a.zeta), 2), round(float(a.normalised_error), 2), bool(a.agrees)
    (2.4, 1.2, False)
    """
    (k,) = single_numbers(k=k)
    if not k > 0:
        raise InputError(f"k = {k}: a coverage factor must be above 0")
    d = combine(np.asarray(first.value) - np.asarray(second.value), [(1.0, first), (-1.0, second)])
    u = d.u
    if not np.all(u > 0):
        raise InputError("the difference has no uncertainty: give each result its own, or nothing can be said of their agreement")
    zeta = d.value / u
    return Agreement(d.value[()], u[()], zeta[()], (zeta / k)[()], (np.abs(zeta) <= k)[()])
