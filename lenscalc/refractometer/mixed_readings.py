"""Whether the rows of one list look like two sets: readings of two specimens, as when new ones were pasted over half of the old ones.

Replicates are compared with their like: readings inside a mounting, mountings inside a session, sessions. Sorted by their values they are cut in two
where the sum of squares W within the two groups is smallest, beside B between their means (the statistic B/W of Engelman and Hartigan, Percentage
points of a test for clusters, J. Am. Stat. Assoc. 64 (1969) 1647: seen in its abstract only; authors, volume and page from memory, to be confirmed
against the text). Two yardsticks are laid on:

- their own scatter. For groups of k normal values named beforehand W/(W + B) is a beta variable of (k − 2)/2 and 1/2, as in Student's t. The groups
  are not named beforehand: the chances of all 2^(k−1) − 1 ways to cut k values in two are added, as Grubbs' test adds those of its k values. That is
  an upper bound (Boole), and near to the chance where it is small, since two ways are hardly ever both so good.
- what is known of the scatter: the pooled u of one reading, else what laboratories differ by. The distance of the means is Student's t of the
  history's degrees of freedom.

By either the groups must be clear of each other too, else it is only a wide scatter. Sound replicates fail one of the two in less than one list of
a thousand, where their scatter is normal (by their own 0.5, 0.58 and 0.52 of a thousand lists of 5, 8 and 12 readings, 60,000 lists each; an even
scatter, as of a slow drift, of 8 to 20 readings 3 to 5 of a thousand). A distance within five steps of the display never does. Mountings and sessions
may differ, and what they differ by is their yardstick: no F test between mountings is made, because it finds that they do.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from math import erfc, inf, lgamma, log, log1p
from typing import NamedTuple

import numpy as np

from lenscalc.quantities import readings_of, single_numbers
from lenscalc.refractometer.replicates import nested_groups

FALSE_ALARMS = 0.001  # of sound lists, at most
S_LABORATORIES = 0.0004  # reproducibility standard deviation of annealed PMMA sheet in a round robin (JIS K 7142:2014, clause 8)
_CLEAR = 0.1  # the largest W/(W + B) that still looks like two groups: three of one and two of another are then 4.7 standard deviations apart
_STEPS = 5.0  # of the display


class Scatter(NamedTuple):
    """What is known of the scatter of replicates beforehand: a standard deviation and its degrees of freedom; `is_stated` by the sheet."""

    s: float
    dof: float
    is_stated: bool


LABORATORIES = Scatter(S_LABORATORIES, inf, is_stated=False)


class TwoSets(NamedTuple):
    """Positions, from 1, and means of the two sets; whether their own scatter tells them apart, or only what is known of it (`known`)."""

    lower: tuple[int, ...]
    upper: tuple[int, ...]
    lower_mean: float
    upper_mean: float
    by_own_scatter: bool
    known: Scatter


def two_sets(
    readings: Sequence[float], mounting: Sequence[Hashable] | None = None, session: Sequence[Hashable] | None = None, *,
    resolution: float = 0.0, of_reading: Scatter = LABORATORIES, of_session: Scatter = LABORATORIES,
) -> TwoSets | None:  # fmt: skip
    """The two sets that the replicates of one list look like; None where they look like one.

    Parameters
    ----------
    readings, mounting, session
        as in `nested_mean`.
    resolution : float
        step of the display; its d²/12 joins every variance.
    of_reading, of_session : Scatter
        what is known of a reading or a mounting, and of the mean of a session.

    >>> two_sets([1.4620, 1.4622, 1.4621, 1.4901, 1.4904], resolution=0.0001)[:2]
    ((1, 2, 3), (4, 5))
    >>> two_sets([1.4902, 1.4904, 1.4903, 1.4901, 1.4904], resolution=0.0001) is None
    True
    """
    (resolution,) = single_numbers(resolution=resolution)
    families = list(_families(readings_of(readings).tolist(), mounting, session, of_reading, of_session))
    for values, rows, known in families:
        found = _cut(np.asarray(values), rows, known, resolution, FALSE_ALARMS / 2.0 / len(families))
        if found is not None:
            return found
    return None


Family = tuple[list[float], list[list[int]], Scatter]


def _families(
    readings: Sequence[float], mounting: Sequence[Hashable] | None, session: Sequence[Hashable] | None, of_reading: Scatter, of_session: Scatter
) -> Iterator[Family]:
    """Values that are to be alike, with the rows that each stands for: sessions, the mountings of each, the readings of each mounting."""
    sessions = [list(mounts.values()) for mounts in nested_groups(len(readings), mounting, session).values()]
    means = [[float(np.mean([readings[i] for i in rows])) for rows in mounts] for mounts in sessions]
    if len(sessions) > 1:
        yield [float(np.mean(m)) for m in means], [[i for rows in mounts for i in rows] for mounts in sessions], of_session
    for m, mounts in zip(means, sessions, strict=True):
        if len(mounts) > 1:
            yield m, mounts, of_reading
    for rows in (rows for mounts in sessions for rows in mounts):
        if len(rows) > 1:
            yield [readings[i] for i in rows], [[i] for i in rows], of_reading


def _cut(values: np.ndarray, rows: list[list[int]], known: Scatter, resolution: float, level: float) -> TwoSets | None:
    """The best cut of one family, where a yardstick tells it from one set."""
    k = values.size
    order = np.argsort(values, kind="stable")
    ordered = values[order]
    a = np.arange(1, k)
    sums = np.cumsum(ordered)
    away = (sums[-1] - sums[:-1]) / (k - a) - sums[:-1] / a  # of the means, for every place to cut
    at = int(np.argmax(a * (k - a) * away * away))
    D, a1, a2 = float(away[at]), at + 1, k - at - 1
    if _STEPS * resolution * (1.0 + 1e-9) >= D:
        return None
    rounding, B = resolution * resolution / 12.0, D * D * a1 * a2 / k
    W = float(sum(part.size * np.var(part) for part in (ordered[:a1], ordered[a1:]))) + (k - 2) * rounding
    x, ways = W / (W + B), (k - 1) * log(2.0) + log1p(-(2.0 ** (1 - k)))
    if x >= _CLEAR:
        return None
    own = k > 3 and ways + _log_tail((k - 2) / 2.0, x) < log(level)
    variance = (known.s * known.s + rounding) * (1.0 / a1 + 1.0 / a2)
    if not own and not (variance > 0 and ways + _log_two_sided(D * D / variance, known.dof) < log(level)):
        return None
    lower, upper = (sorted(i + 1 for unit in part for i in rows[unit]) for part in (order[:a1], order[a1:]))
    return TwoSets(tuple(lower), tuple(upper), float(ordered[:a1].mean()), float(ordered[a1:].mean()), own, known)


def _log_two_sided(t2: float, dof: float) -> float:
    """An upper bound of the logarithm of the chance that Student's t, of these degrees of freedom, lies beyond ±√t2."""
    if dof == inf:
        chance = erfc((t2 / 2.0) ** 0.5)
        return log(chance) if chance > 0 else -t2 / 2.0
    return _log_tail(dof / 2.0, dof / (dof + t2))


def _log_tail(a: float, x: float) -> float:
    """An upper bound of ln I_x(a, 1/2): under the integral of u^(a−1)/√(1 − u) the root is at least that at its end x; for x ≤ 0.1 within 6 %."""
    with np.errstate(divide="ignore"):  # no chance at 0, no bound at 1
        return float(a * np.log(x) - log(a) - (lgamma(a) + lgamma(0.5) - lgamma(a + 0.5)) - 0.5 * np.log1p(-x))
