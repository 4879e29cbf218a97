"""What signals on a chart, in words: where, by which rule, and what to look at."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lenscalc.control.advice import LOOK_AT, Watched
from lenscalc.control.rules import Rule, signalling
from lenscalc.control.series import Series

SIDE_OF_LIMITS = {1: "above its upper", -1: "below its lower"}


class Signal(NamedTuple):
    """One rule at one point, or at several that follow each other; points are counted from 0.

    `rule` is its name, `part` says whether the level or the spread signals, `side` is +1 above (or rising), −1 below. `sentence` says where and
    which rule, `look_at` what to look at.
    """

    rule: str
    part: str
    first: int
    last: int
    side: int
    sentence: str
    look_at: str


def of_rules(series: Series, z: np.ndarray, rules: tuple[Rule, ...], of: Watched) -> list[Signal]:
    """The signals of run rules on points that stand z sigma from the centre."""
    found = []
    for rule in rules:
        side_in_words = {1: "rising", -1: "falling"} if rule.pattern == "trend" else {1: "above the centre", -1: "below the centre"}
        if rule.pattern == "alternating":
            side_in_words = {1: "last upwards", -1: "last downwards"}
        for first, last, side in stretches(signalling(z, rule)):
            sentence = f"{where(series, first, last)}: {rule.sentence}, {side_in_words[side]}"
            found.append(Signal(rule.name, "level", first, last, side, sentence, LOOK_AT[of][rule.pattern]))
    return found


def of_limits(series: Series, flags: np.ndarray, what: str, of: Watched, *, part: str, rule: str) -> list[Signal]:
    """The signals of one statistic beyond its limits: flags are +1 above, −1 below, 0 within."""
    found = []
    for first, last, side in stretches(flags):
        pattern = "shift" if part == "level" else {1: "spread", -1: "less spread"}[side]
        sentence = f"{where(series, first, last)}: {what} {SIDE_OF_LIMITS[side]} limit"
        found.append(Signal(rule, part, first, last, side, sentence, LOOK_AT[of][pattern]))
    return found


def stretches(flags: np.ndarray) -> list[tuple[int, int, int]]:
    """First and last place of every stretch of one side.

    >>> stretches(np.array([0, 1, 1, 0, -1, 1]))
    [(1, 2, 1), (4, 4, -1), (5, 5, 1)]
    """
    if not len(flags):
        return []
    starts = np.flatnonzero(np.concatenate([[True], flags[1:] != flags[:-1]]))
    ends = np.concatenate([starts[1:] - 1, [len(flags) - 1]])
    return [(int(a), int(b), int(flags[a])) for a, b in zip(starts, ends, strict=True) if flags[a]]


def where(series: Series, first: int, last: int) -> str:
    """A point, or a stretch of them, with its dates, and with what its ends are called."""
    if first == last:
        name = series.name(first)
        return name[0].upper() + name[1:]
    ends = [", ".join(text for text in (series.date[at], series.label[at]) if text) for at in (first, last)]
    return f"Points {first + 1} to {last + 1}" + (f" ({' to '.join(ends)})" if all(ends) else "")
