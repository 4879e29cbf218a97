"""Which points the limits are taken from."""

from __future__ import annotations

from datetime import datetime, time
from typing import Any

import numpy as np

from lenscalc.control.series import Series, moment_of
from lenscalc.errors import InputError
from lenscalc.quantities import counted

HOW = "give a number of points (25), a stretch of them (1:25) or of dates (2026-01-05:2026-06-22)"
LONGEST = 100  # signs: two dates with their times have 65


def baseline_points(series: Series, baseline: Any = None) -> np.ndarray:
    """The points of the baseline, True where one belongs to it.

    `baseline` is a number of points from the start, a text "25", "1:25" or "2026-01-05:2026-06-22" with both ends in it (either may be left out), or
    a truth value for each point. None takes the points that the series marks, or else all points.

    Raises
    ------
    InputError
        if it names no stretch, none of the points, or more than there are.

    >>> from lenscalc.control.series import series
    >>> s = series([1.0, 2.0, 3.0], date=["2026-01-05", "2026-01-12", "2026-01-19"])
    >>> baseline_points(s, 2).tolist(), baseline_points(s, "2026-01-06:").tolist()
    ([True, True, False], [False, True, True])
    """
    n = series.points
    if baseline is None:
        return series.baseline if series.baseline is not None else np.ones(n, dtype=bool)
    if isinstance(baseline, str):
        return _stretch(series, baseline.strip())
    if isinstance(baseline, int | np.integer) and not isinstance(baseline, bool):
        return _from_to(n, 1, int(baseline), str(baseline))
    marked = np.asarray(baseline)
    if marked.dtype != np.bool_ or marked.shape != (n,):
        raise InputError(f"baseline: {HOW}, or a truth value for each of the {counted(n, 'point')}", quantity="baseline", value=baseline)
    if not marked.any():
        raise InputError("baseline: no point is marked", quantity="baseline")
    return marked


def _stretch(series: Series, text: str) -> np.ndarray:
    if len(text) > LONGEST:
        raise InputError(f"baseline = {text[:20]!r} … names no stretch: {HOW}", quantity="baseline", value=text)
    if text.isdecimal():
        return _from_to(series.points, 1, int(text), text)
    first, colon, last = text.partition(":")
    if colon and all(end == "" or end.isdecimal() for end in (first, last)):
        return _from_to(series.points, int(first or 1), int(last or series.points), text)
    for at in (i for i, letter in enumerate(text) if letter == ":"):  # a time has colons of its own
        ends = (text[:at].strip(), text[at + 1 :].strip())
        if all(end == "" or _is_moment(end) for end in ends):
            return _dated(series, *ends)
    raise InputError(f"baseline = {text!r} names no stretch: {HOW}", quantity="baseline", value=text)


def _is_moment(text: str) -> bool:
    try:
        moment_of(text)
    except ValueError:
        return False
    return True


def _from_to(points: int, first: int, last: int, text: str) -> np.ndarray:
    if not 1 <= first <= last:
        raise InputError(f"baseline = {text}: must run from a point to a later one, counted from 1, such as 1:25", quantity="baseline", value=text)
    if last > points:
        do = "name a shorter stretch" if points > 1 else "limits need two points at least"
        raise InputError(f"baseline = {text}: the series has {counted(points, 'point')} so far, not {last}; {do}", quantity="baseline", value=text)
    at = np.arange(1, points + 1)
    return (at >= first) & (at <= last)


def _dated(series: Series, first: str, last: str) -> np.ndarray:
    lower = moment_of(first) if first else None
    upper = moment_of(last) if last else None
    if upper is not None and len(last) <= len("2026-03-31"):  # a day is meant whole
        upper = datetime.combine(upper, time.max)
    if not series.date[0]:
        raise InputError("baseline: the series has no dates; name the points by their numbers, such as 1:25", quantity="baseline")
    moments = [moment_of(text) for text in series.date]
    found = np.array([(lower is None or m >= lower) and (upper is None or m <= upper) for m in moments])
    if not found.any():
        ends = f"{series.date[0]} to {series.date[-1]}"
        raise InputError(f"baseline = {first}:{last}: no point lies there; the series runs from {ends}", quantity="baseline")
    return found
