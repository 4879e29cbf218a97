"""Numbers as the pages print them: with their uncertainty, a true minus, and no digits that nobody knows."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.uncertainty import decimals_for
from lenscalc.uncertainty.rounding import figure, signed

__all__ = ["figure", "first", "signed", "u_in_words"]


def u_in_words(u: float, unit: str = "") -> str:
    """A standard uncertainty alone, to two digits.

    >>> u_in_words(0.0596, "D"), u_in_words(0.1, "D")
    ('0.060 D', '0.10 D')
    """
    return f"{u:.{decimals_for(u)}f}{' ' if unit else ''}{unit}"


def first(values: Any) -> float:
    """The first entry of a column, as a number."""
    return float(np.atleast_1d(values)[0])
