"""Numbers as the pages print them: with their uncertainty, a true minus, and no digits that nobody knows."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.uncertainty import decimals_for, with_u


def figure(value: float, u: float, unit: str = "", *, decimals_if_exact: int = 3) -> str:
    """A value with its standard uncertainty.

    >>> figure(-0.0563, 0.0402, "D"), figure(20.469666, 0.0, "D")
    ('−0.056 D, u 0.040 D', '20.470 D, with everything taken as exact')
    """
    if u == 0:
        return f"{signed(value, decimals_if_exact)}{' ' if unit else ''}{unit}, with everything taken as exact"
    return with_u(value, u, unit).replace("-", "−")


def signed(value: float, decimals: int) -> str:
    """A number with this many decimals, a true minus, and no minus before a zero.

    >>> signed(-0.0001, 2), signed(-15.0, 1)
    ('0.00', '−15.0')
    """
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0 else text.replace("-", "−")


def u_in_words(u: float, unit: str = "") -> str:
    """A standard uncertainty alone, to two digits.

    >>> u_in_words(0.0596, "D"), u_in_words(0.1, "D")
    ('0.060 D', '0.10 D')
    """
    return f"{u:.{decimals_for(u)}f}{' ' if unit else ''}{unit}"


def first(values: Any) -> float:
    """The first entry of a column, as a number."""
    return float(np.atleast_1d(values)[0])
