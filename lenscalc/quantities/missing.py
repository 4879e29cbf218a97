"""Entries that a table leaves out."""

from __future__ import annotations

from typing import Any

import numpy as np


def is_missing(entry: Any) -> bool:
    """None, an empty text, nan, or pandas' own marks of a missing value (which refuse to be compared).

    >>> [is_missing(entry) for entry in (None, " ", float("nan"), 0, "nan")]
    [True, True, True, False, False]
    """
    if isinstance(entry, str):
        return not entry.strip()
    if entry is None or type(entry).__name__ in ("NAType", "NaTType"):
        return True
    differs = entry != entry
    return isinstance(differs, bool | np.bool_) and bool(differs)


def text_of(entry: Any) -> str:
    """What stands there as a text; an empty one where the entry is missing.

    >>> text_of(" lot 7 "), text_of(float("nan"))
    ('lot 7', '')
    """
    return "" if is_missing(entry) else str(entry).strip()
