"""Numbers as the pages print them: with their uncertainty, a true minus, and no digits that nobody knows."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.uncertainty.rounding import figure, signed

__all__ = ["figure", "first", "signed"]


def first(values: Any) -> float:
    """The first entry of a column, as a number."""
    return float(np.atleast_1d(values)[0])
