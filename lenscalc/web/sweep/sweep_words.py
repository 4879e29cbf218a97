"""Which way a result goes over a sweep, in words: what the picture says to somebody who reads no number of it."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.web.table.column_words import column_words


def which_way(found: dict[str, Any], x: str, y: str, by: str | None) -> str:
    """A sentence on how a result answers to what runs across and to what parts the lines; empty where it does not go one way all along.

    Parameters
    ----------
    found : dict of arrays
        finite columns; each value of x once a line.
    x, y, by : str
        their names: across, upwards, a line for each.

    >>> found = {"front_radius_mm": [12.0, 15.0, 12.0, 15.0], "n_lens": [1.46, 1.46, 1.52, 1.52], "power_D": [18.5, 16.5, 27.5, 24.6]}
    >>> which_way(found, "front_radius_mm", "power_D", "n_lens")
    'The power falls as the front radius grows, and rises as the index of the lens grows.'
    >>> which_way({"front_radius_mm": [1.0, 2.0, 3.0], "power_D": [1.0, 2.0, 1.0]}, "front_radius_mm", "power_D", None)
    ''
    """
    told = [f"{way} as the {_growing(found, over)}" for over, line in ((x, by), (by, x)) if over is not None and (way := _way(found, over, y, line))]
    return f"The {column_words(y)} {', and '.join(told)}." if told else ""


def _way(found: dict[str, Any], over: str, y: str, line: str | None) -> str | None:
    across, up = np.asarray(found[over], float), np.asarray(found[y], float)
    lines = np.zeros(across.size) if line is None else np.asarray(found[line], float)
    order = np.lexsort((across, lines))
    along = (np.diff(lines[order]) == 0) & (np.diff(across[order]) > 0)
    steps = np.diff(up[order])[along]
    if not steps.size or not (np.all(steps > 0) or np.all(steps < 0)):
        return None
    return "rises" if steps[0] > 0 else "falls"


def _growing(found: dict[str, Any], over: str) -> str:
    """A number below zero grows towards zero, which is not what everybody takes it for."""
    return f"{column_words(over)} grows{' (towards +)' if np.min(found[over]) < 0 else ''}"
