"""Replicate readings: their mean and its type A uncertainty, by mountings and sessions; a suspect reading is pointed at, never dropped."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Final, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, counted, readings_of, single_numbers

_ONE: Final = "one reading has no spread of its own: read again, or give a pooled u of one reading (u_repeatability)"
_NONE: Final = "there are no readings, and so no mean and no spread: give two or more"


class Mean(NamedTuple):
    """Mean of n readings, u = s/√n, ν = n − 1."""

    value: float
    u: float
    dof: float


def mean_of(readings: Sequence[float]) -> Mean:
    """Type A evaluation of replicate readings (JCGM 100:2008, 4.2.3).

    Accuracy: 2e-16 relative (u: to 1e-4), over readings that agree within 1e-4.

    Raises
    ------
    InputError
        for no reading, and for one: it has no spread of its own; take a pooled one.

    >>> m = mean_of([1.4901, 1.4903, 1.4902, 1.4902])
    >>> round(m.value, 5), round(m.u, 6), m.dof
    (1.4902, 4.1e-05, 3.0)
    """
    y = readings_of(readings)
    n = y.size
    if n < 2:
        raise InputError(_ONE if n else _NONE)
    first, *_ = y.tolist()
    middle = first + float(np.mean(y - first))  # identical readings have exactly no spread
    return Mean(float(middle), float(np.sqrt(np.sum((y - middle) ** 2) / (n - 1) / n)), float(n - 1))


class NestedMean(NamedTuple):
    """Mean of readings nested in mountings nested in sessions; `level` names the groups whose spread gave u and ν.

    `s_reading`, `s_mounting` and `s_session` are the standard deviations of one reading, of a mounting and of a session as nested analysis of
    variance separates them; nan where the readings do not tell. `f_ratio` compares the level's spread with the one below it, on `f_dof` degrees of
    freedom.
    """

    value: float
    u: float
    dof: float
    level: str
    sessions: int
    mountings: int
    readings: int
    s_reading: float
    s_mounting: float
    s_session: float
    f_ratio: float
    f_dof: tuple[float, float]


def nested_mean(readings: Sequence[float], mounting: Sequence[Hashable] | None = None, session: Sequence[Hashable] | None = None) -> NestedMean:
    """Mean and u by nested analysis of variance (JCGM 100:2008, H.5): u comes from the highest level that has more than one group.

    Re-reads of one mounting do not shrink what the mounting, the day or the operator added: the mean of the mountings' means is taken, session by
    session, and its uncertainty is the spread of the highest groups over √(their number). Without `mounting` each reading is a mounting of its own;
    a session is a day or an operator.

    Raises
    ------
    InputError
        where nothing was repeated at the level of mountings: re-reads of one mounting say nothing about the next; for a reading that is not finite.

    >>> m = nested_mean([1.4901, 1.4902, 1.4905, 1.4904], mounting=[1, 1, 2, 2])
    >>> round(m.value, 5), round(m.u, 5), m.dof, m.level          # two mountings, whatever the number of re-reads
    (1.4903, 0.00015, 1.0, 'mountings')
    """
    y = readings_of(readings)
    groups = nested_groups(y.size, mounting, session)
    S, M, N = len(groups), sum(len(mounts) for mounts in groups.values()), y.size
    if M < 2:
        raise InputError(
            f"all {N} readings are of one mounting: re-reading it says nothing about the next; mount again, or give a "
            "pooled u of one reading (u_repeatability)"
            if N > 1
            else (_ONE if N else _NONE)
        )
    first, *_ = y.tolist()
    y = y - first  # identical readings have exactly no spread, and the leading digits that all share cost none
    by_session = {s: [np.array([y[i] for i in members]) for members in mounts.values()] for s, mounts in groups.items()}
    mounts = [m for ms in by_session.values() for m in ms]
    means = [np.array([np.mean(m) for m in ms]) for ms in by_session.values()]
    mean = mean_of([np.mean(m) for m in (means if S > 1 else mounts)])
    ss_reading = sum(float(np.sum((m - np.mean(m)) ** 2)) for m in mounts)
    middles = [(ms, _weighted(ms)) for ms in by_session.values()]
    ss_mounting = sum(float(np.sum([len(m) * (np.mean(m) - middle) ** 2 for m in ms])) for ms, middle in middles)
    grand = _weighted(mounts)
    ss_session = sum(sum(len(m) for m in ms) * (_weighted(ms) - grand) ** 2 for ms in by_session.values())
    ms = [_over(ss_session, S - 1), _over(ss_mounting, M - S), _over(ss_reading, N - M)]
    per_mount, per_session = N / M, N / S  # exact where every group holds as many readings, as in the standard's example
    s_reading = ms[2] ** 0.5
    below = ms[2] if N > M else 0.0
    s_mounting = _component(ms[1], below, per_mount)
    below_session = ms[1] if M > S else below
    s_session = _component(ms[0], below_session, per_session)
    if S > 1:
        under, dof = (ms[1], M - S) if M > S else (ms[2], N - M)
        f, f_dof = _over(ms[0], under), (float(S - 1), float(dof))
    else:
        f, f_dof = _over(ms[1], ms[2]), (float(M - 1), float(N - M))
    level = "sessions" if S > 1 else "mountings"
    return NestedMean(first + mean.value, mean.u, mean.dof, level, S, M, N, s_reading, s_mounting, s_session, f, f_dof)


class NestedWeights(NamedTuple):
    """What each reading, each mounting and each session weighs in the nested mean; each list adds up to 1."""

    readings: tuple[float, ...]
    mountings: tuple[float, ...]
    sessions: tuple[float, ...]


def nested_weights(count: int, mounting: Sequence[Hashable] | None = None, session: Sequence[Hashable] | None = None) -> NestedWeights:
    """The weights of `nested_mean`: sessions weigh alike, in them their mountings, in these their readings. A history's u is multiplied by √Σw².

    >>> w = nested_weights(4, mounting=[1, 1, 1, 2])
    >>> [round(x, 4) for x in w.readings], w.mountings, w.sessions
    ([0.1667, 0.1667, 0.1667, 0.5], (0.5, 0.5), (1.0,))
    """
    groups = nested_groups(count, mounting, session)
    readings, mountings = [0.0] * count, []
    for mounts in groups.values():
        for members in mounts.values():
            mountings.append(1.0 / len(groups) / len(mounts))
            for i in members:
                readings[i] = mountings[-1] / len(members)
    return NestedWeights(tuple(readings), tuple(mountings), (1.0 / len(groups),) * len(groups))


def nested_groups(count: int, mounting: Sequence[Hashable] | None, session: Sequence[Hashable] | None) -> dict[Hashable, dict[Hashable, list[int]]]:
    """The positions of the readings of every mounting of every session, from 0; without `mounting` each reading is a mounting of its own.

    >>> nested_groups(3, mounting=[1, 1, 2], session=None)
    {0: {1: [0, 1], 2: [2]}}
    """
    for name, labels in (("mounting", mounting), ("session", session)):
        if labels is not None and len(labels) != count:
            raise InputError(f"{name} names {counted(len(labels), 'reading')}, n holds {count}: one entry a reading", quantity=name)
    groups: dict[Hashable, dict[Hashable, list[int]]] = {}
    for i in range(count):
        mounts = groups.setdefault(session[i] if session is not None else 0, {})
        mounts.setdefault(mounting[i] if mounting is not None else i, []).append(i)
    return groups


def _weighted(mounts: Sequence[FloatArray]) -> float:
    return float(np.mean(np.concatenate(list(mounts))))


def _over(a: float, b: float) -> float:
    return a / b if b > 0 else float("nan")


def _component(upper: float, lower: float, per_group: float) -> float:
    """A standard deviation from two mean squares; 0 where the upper one is the smaller."""
    return max(upper - lower, 0.0) ** 0.5 / per_group**0.5 if upper == upper else float("nan")


class Suspect(NamedTuple):
    """Grubbs' test: the value farthest from the mean, its statistic, the critical value, and whether it is beyond it."""

    position: int
    value: float
    statistic: float
    critical: float
    is_suspect: bool


def grubbs(values: Sequence[float], *, level: float = 0.05, resolution: float = 0.0) -> Suspect:
    """Grubbs' two-sided test for one outlier (NIST/SEMATECH e-Handbook 1.3.5.17.1): it points, nothing is dropped.

    G = max|x − x̄|/s; critical (N − 1)/√N · √(t²/(N − 2 + t²)) with t at level/(2N) on N − 2 degrees of freedom. Positions count from 1.

    The test is for values that no rounding has made alike: of three shown in steps, two alike make the third an outlier whatever it is. With the
    `resolution` d its d²/12 joins s², which keeps false alarms below the level.

    Raises
    ------
    InputError
        for fewer than three values, one that is not finite, or a level outside 0 to 1.

    >>> g = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    >>> g.position, round(g.statistic, 4), round(g.critical, 3), g.is_suspect
    (8, 2.4688, 2.127, True)
    """
    from scipy.special import stdtrit  # 0.3 s: only where a sheet is read

    x = readings_of(values)
    N = x.size
    if N < 3:
        raise InputError(f"{counted(N, 'value')}: Grubbs' test needs at least 3")
    level, resolution = single_numbers(level=level, resolution=resolution)
    if not 0.0 < level < 1.0:
        raise InputError(f"level = {level:g}: must lie between 0 and 1 (0.05 for 5 %)", quantity="level", value=level)
    t2 = float(stdtrit(N - 2, level / (2.0 * N))) ** 2
    critical = (N - 1) / N**0.5 * (t2 / (N - 2 + t2)) ** 0.5
    first, *_ = x.tolist()
    s = float(np.std(x - first, ddof=1))
    away = np.abs(x - np.mean(x))
    at = int(np.argmax(away))
    s = (s * s + resolution * resolution / 12.0) ** 0.5
    statistic = float(away[at]) / s if s > 0 else 0.0
    return Suspect(at + 1, float(x[at]), statistic, critical, statistic > critical)
