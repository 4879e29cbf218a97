"""Names beside what they name, moved apart where they would cover each other."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.quantities import FloatArray


def apart(places: Any, least: float) -> FloatArray:
    """Places in their old order, none nearer to its neighbour than `least`, as near as that allows to where they were.

    Neighbours that touch are moved as one body about the mean of where its members wanted to be.

    >>> apart([0.0, 0.1, 5.0], 1.0).round(2).tolist()
    [-0.45, 0.55, 5.0]
    """
    wanted = np.asarray(places, dtype=np.float64)
    order = np.argsort(wanted, kind="stable")
    bodies: list[list[float]] = []  # of each: its lowest place, how many it holds
    for i in order:
        bodies.append([float(wanted[i]), 1.0])
        while len(bodies) > 1 and bodies[-2][0] + bodies[-2][1] * least > bodies[-1][0]:
            start, many = bodies.pop()
            before, held = bodies[-1]
            middle = (held * (before + (held - 1.0) * least / 2.0) + many * (start + (many - 1.0) * least / 2.0)) / (held + many)
            bodies[-1] = [middle - (held + many - 1.0) * least / 2.0, held + many]
    moved = np.empty_like(wanted)
    moved[order] = np.concatenate([start + least * np.arange(int(many)) for start, many in bodies]) if bodies else wanted
    return moved
