"""What a control chart plots, point by point, with its centre and limits."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lenscalc.control.constants import chart_constants
from lenscalc.control.limits import GROUPED, FrozenLimits, check_groups, group_spread
from lenscalc.control.series import Series


class Part(NamedTuple):
    """One statistic point by point, with its centre and limits; nan where a point has none.

    `value_below` is the lower sum of a CUSUM, drawn downwards, else None.
    """

    name: str
    value: np.ndarray
    centre: np.ndarray
    lower: np.ndarray
    upper: np.ndarray
    value_below: np.ndarray | None = None


def parts_of(series: Series, limits: FrozenLimits) -> tuple[Part, Part | None]:
    """Level and spread of a series under these limits; an EWMA or a CUSUM has no spread."""
    if limits.kind == "ewma":
        return _ewma(series.mean, limits), None
    if limits.kind == "cusum":
        return _cusum(series.mean, limits), None
    return _means(series, limits) if limits.kind in GROUPED else _individuals(series.mean, limits)


def _individuals(x: np.ndarray, limits: FrozenLimits) -> tuple[Part, Part]:
    c = chart_constants(2)
    mean_range = c.d2 * limits.sigma
    moving = np.concatenate([[np.nan], np.abs(np.diff(x))])
    centre, low, high = (np.full(len(x), limits.centre + k * limits.sigma) for k in (0.0, -3.0, 3.0))
    level = Part("value", x, centre, low, high)
    spread = Part("moving range", moving, np.full(len(x), mean_range), np.zeros(len(x)), np.full(len(x), c.D4 * mean_range))
    return level, spread


def _means(series: Series, limits: FrozenLimits) -> tuple[Part, Part]:
    check_groups(series)
    size = series.size
    by_size = {int(n): chart_constants(int(n)) for n in np.unique(size)}
    half = 3.0 * limits.sigma / size**0.5
    level = Part("mean of the group", series.mean, np.full(len(size), limits.centre), limits.centre - half, limits.centre + half)
    ranges = limits.kind == "xbar-r"
    centre = np.array([limits.sigma * (by_size[int(n)].d2 if ranges else by_size[int(n)].c4) for n in size])
    low = np.array([by_size[int(n)].D3 if ranges else by_size[int(n)].B3 for n in size])
    high = np.array([by_size[int(n)].D4 if ranges else by_size[int(n)].B4 for n in size])
    name = "range of the group" if ranges else "standard deviation of the group"
    return level, Part(name, group_spread(series, limits.kind), centre, low * centre, high * centre)


def _ewma(x: np.ndarray, limits: FrozenLimits) -> Part:
    weight, width = limits.weight, limits.width_sigma
    assert weight is not None
    assert width is not None
    average, held = np.empty(len(x)), limits.centre
    for i, value in enumerate(x.tolist()):
        held = weight * value + (1.0 - weight) * held
        average[i] = held
    count = np.arange(1.0, len(x) + 1.0)
    half = width * limits.sigma * (weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2.0 * count))) ** 0.5
    return Part("weighted average", average, np.full(len(x), limits.centre), limits.centre - half, limits.centre + half)


def _cusum(x: np.ndarray, limits: FrozenLimits) -> Part:
    assert limits.k_sigma is not None
    assert limits.h_sigma is not None
    assert limits.head_start_sigma is not None
    allowance = limits.k_sigma * limits.sigma
    up = down = limits.head_start_sigma * limits.sigma
    above, below = np.empty(len(x)), np.empty(len(x))
    for i, off in enumerate((x - limits.centre).tolist()):
        up = max(0.0, up + off - allowance)
        down = max(0.0, down - off - allowance)
        above[i], below[i] = up, -down
    end = np.full(len(x), limits.h_sigma * limits.sigma)
    return Part("cumulative sum", above, np.zeros(len(x)), -end, end, below)
