"""The power of each row by trials, on request: every source drawn from its own distribution, the thick lens as it is, not its slope.

The seed follows from the row's own numbers, so that a row has the same digits alone, in a block and in a file.
"""

from __future__ import annotations

import zlib
from itertools import chain
from typing import Any

import numpy as np

from lenscalc.chain.inputs import Inputs
from lenscalc.lens import powers_of
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.trials import draws

TRIALS = 100_000  # the ends of a 95 % interval are then good to about a hundredth of u
BY_TRIALS = ("u_power_by_trials_D", "trials_lower_D", "trials_upper_D", "conformance_probability_by_trials")
_ACTS = ("n_lens", "n_medium", "n_medium_behind", "front_curvature_per_mm", "back_curvature_per_mm", "center_thickness_mm")


def power_by_trials(given: Inputs, lower_D: FloatArray, upper_D: FloatArray, rows: Any, decided: Any) -> dict[str, FloatArray]:
    """u, the ends of the 95 % interval and the conformance probability of the wanted rows; nan elsewhere.

    The index is taken with its sources as the linear law has carried them to the conditions in use; the lens is not linearised.
    """
    size = len(lower_D)
    out = {name: np.full(size, np.nan) for name in BY_TRIALS}
    for row in np.flatnonzero(rows):
        power = _powers_of_row(given, int(row))
        out["u_power_by_trials_D"][row] = np.std(power)
        out["trials_lower_D"][row], out["trials_upper_D"][row] = np.quantile(power, (0.025, 0.975))
        if decided[row]:
            out["conformance_probability_by_trials"][row] = np.mean((power >= lower_D[row]) & (power <= upper_D[row]))
    return out


def _powers_of_row(given: Inputs, row: int) -> FloatArray:
    values = {name: float(np.broadcast_to(given.of[name].value, np.shape(given.of["n_lens"].value))[row]) for name in _ACTS}
    parts = {name: {s: float(np.broadcast_to(p, np.shape(given.of[name].value))[row]) for s, p in given.of[name].parts.items()} for name in _ACTS}
    sources = list(dict.fromkeys(source for of in parts.values() for source, part in of.items() if part != 0))
    acts = {source: [parts[name].get(source, 0.0) for name in _ACTS] for source in sources}
    seed = zlib.crc32(np.array([*values.values(), *chain.from_iterable(acts.values())]).tobytes())
    random = np.random.default_rng(seed)
    moved: dict[str, Any] = dict(values)
    for source, each in acts.items():  # one draw for everything that a source acts on
        drawn = draws(source, TRIALS, random)
        for name, part in zip(_ACTS, each, strict=True):
            moved[name] += part * drawn
    n, m, c1, c2, t = (moved[k] for k in ("n_lens", "n_medium", "front_curvature_per_mm", "back_curvature_per_mm", "center_thickness_mm"))
    behind = m if np.isnan(values["n_medium_behind"]) else moved["n_medium_behind"]
    with np.errstate(divide="ignore"):
        R1, R2 = 1.0 / np.asarray(c1), 1.0 / np.asarray(c2)
        return np.broadcast_to(powers_of(R1, R2, t, n, m, behind).power_D, (TRIALS,))
