"""Drying or swelling on the prism: readings that move with the time after mounting, fitted back to the start."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, counted, numbers, readings_of, single_numbers

CURVED = 0.01  # level at which a bend of the drift is taken as real


class Drift(NamedTuple):
    """Common slope within the mountings, its u and ν, the readings at the start, and the chance that such a slope arises from scatter alone."""

    slope_per_min: float
    u_slope_per_min: float
    dof: float
    at_start: tuple[float, ...]
    mean_minutes: float
    chance: float


def drift_on_prism(
    readings: Sequence[float], minutes: Sequence[float], mounting: Sequence[Hashable] | None = None, *, resolution: float = 0.0
) -> Drift:
    """One slope for all mountings, each with a start of its own, by least squares; every reading carried back to its start.

    A slope is linear only for a while: where it bends (a common quadratic term beyond its own scatter) the start cannot be told and the readings are
    refused; a bend that stays within one step of the `resolution` is rounding. The slope's error acts on the mean by the mean time,
    `u_slope_per_min · mean_minutes`.

    Raises
    ------
    InputError
        for times that are negative or do not differ within a mounting, for too few readings, and for a drift that bends.

    >>> d = drift_on_prism([1.4302, 1.4298, 1.4294, 1.4291, 1.4303, 1.4299, 1.4295, 1.4291], [1, 2, 3, 4] * 2, [1] * 4 + [2] * 4)
    >>> f"{d.slope_per_min:.2e}", round(float(np.mean(d.at_start)), 4), d.dof
    ('-3.85e-04', 1.4306, 5.0)
    """
    from scipy.special import stdtr

    y, (t,), (resolution,) = readings_of(readings), numbers(minutes=minutes), single_numbers(resolution=resolution)
    labels = list(mounting) if mounting is not None else [0] * y.size
    for name, count in (("minutes_after_mounting", t.size), ("mounting", len(labels))):
        if count != y.size:
            raise InputError(f"{name} names {counted(count, 'reading')}, n holds {y.size}: one entry a reading")
    if not (np.all(t >= 0) and np.all(np.isfinite(t))):
        raise InputError("minutes_after_mounting must be 0 or more")
    inside = np.zeros_like(t), np.zeros_like(y), np.zeros_like(t)
    for label in dict.fromkeys(labels):
        here = np.array([one == label for one in labels])
        for centred, values in zip(inside, (t, y, t * t), strict=True):
            centred[here] = values[here] - np.mean(values[here])
    dt, dy, dt2 = inside
    spread, dof = float(dt @ dt), float(y.size - len(set(labels)) - 1)
    if not spread > 0:
        raise InputError("minutes_after_mounting do not differ within a mounting: read one mounting at several times, or leave them out")
    if dof < 1:
        raise InputError(
            f"{y.size} readings of {counted(len(set(labels)), 'mounting')} are too few to tell a drift from scatter: read on, or leave the times out"
        )
    slope = float(dt @ dy) / spread
    residual = dy - slope * dt
    u = (float(residual @ residual) / dof / spread) ** 0.5
    _refuse_a_bend(dt, dt2, dy, dof, step=resolution + 1e-12)  # what doubles keep of an index's digits is a resolution too
    chance = 2.0 * float(stdtr(dof, -abs(slope) / u)) if u > 0 else float(slope == 0)
    return Drift(slope, u, dof, tuple((y - slope * t).tolist()), float(np.mean(t)), chance)


def _refuse_a_bend(dt: FloatArray, dt2: FloatArray, dy: FloatArray, dof: float, step: float) -> None:
    from scipy.special import stdtrit

    A = np.column_stack([dt, dt2])
    if dof < 2 or np.linalg.matrix_rank(A) < 2:
        return
    solution, *_ = np.linalg.lstsq(A, dy, rcond=None)
    span = float(np.ptp(dt))
    if abs(float(solution[1])) * span * span / 4.0 <= step:  # how far the curve leaves its chord
        return
    residual = dy - A @ solution
    s2 = float(residual @ residual) / (dof - 1)
    u_bend = (s2 * float(np.linalg.inv(A.T @ A)[1, 1])) ** 0.5
    if abs(float(solution[1])) > u_bend * float(stdtrit(dof - 1, 1.0 - CURVED / 2.0)):
        raise InputError(
            "the reading drifts on the prism, and the drift bends: the start cannot be told from it; read sooner after mounting, "
            "or cover the specimen"
        )
