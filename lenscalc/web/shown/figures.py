"""Numbers as the pages print them: with their uncertainty, a true minus, and no digits that nobody knows."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.uncertainty import decimals_for
from lenscalc.uncertainty.rounding import figure, signed, with_sign

__all__ = ["figure", "first", "kept_together", "signed", "u_in_words", "with_sign"]


def u_in_words(u: float, unit: str = "") -> str:
    """A standard uncertainty alone, to two digits.

    >>> u_in_words(0.0596, "D"), u_in_words(0.1, "D")
    ('0.060 D', '0.10 D')
    """
    return f"{u:.{decimals_for(u)}f}{' ' if unit else ''}{unit}"


def first(values: Any) -> float:
    """The first entry of a column, as a number."""
    return float(np.atleast_1d(values)[0])


def kept_together(text: str) -> str:
    """A number with its u for a narrow cell: it breaks after the comma alone.

    >>> kept_together("20.42 D, u 0.06 D")
    '20.42\xa0D, u\xa00.06\xa0D'
    """
    return text.replace(" ", "\u00a0").replace(",\u00a0", ", ")
