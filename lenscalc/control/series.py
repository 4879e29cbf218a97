"""A series of dated values: single readings, or replicate groups that make one point each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date as calendar_date
from datetime import datetime
from typing import Any, Final

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import is_missing, text_of

LARGEST: Final = 1e100  # squares must not overflow
_NO_NUMBERS: Final = (str, bytes, bool, np.bool_, np.datetime64, np.timedelta64)  # though numpy makes some of each


@dataclass(frozen=True, eq=False)
class Series:
    """Readings in the order of their points, and of every point its date, label and id ('' where there is none).

    `point` says to which point a reading belongs, counted from 0. `baseline` marks the points that limits may be taken from, or is None. `remarks`
    says what was odd and has been dealt with.
    """

    reading: np.ndarray
    point: np.ndarray
    date: tuple[str, ...]
    label: tuple[str, ...]
    id: tuple[str, ...]
    baseline: np.ndarray | None
    remarks: tuple[str, ...]

    @property
    def points(self) -> int:
        """How many points."""
        return len(self.date)

    @property
    def size(self) -> np.ndarray:
        """Readings of each point."""
        return np.bincount(self.point, minlength=self.points)

    @property
    def mean(self) -> np.ndarray:
        """Mean of each point; where all points hold one reading, the readings."""
        first = self.reading[np.searchsorted(self.point, np.arange(self.points))]
        off = np.bincount(self.point, weights=self.reading - first[self.point], minlength=self.points)
        return np.asarray(first + off / self.size)  # equal readings have their own value as mean, to the last bit

    def name(self, at: int) -> str:
        """A point in words: its number, with date or label."""
        said = ", ".join(text for text in (self.date[at], self.label[at]) if text)
        return f"point {at + 1} ({said})" if said else f"point {at + 1}"


def series(
    value: Any, *, date: Sequence[Any] | None = None, label: Sequence[Any] | None = None, id: Sequence[Any] | None = None,
    group: Sequence[Any] | None = None, baseline: Sequence[bool] | None = None, line: Sequence[int] | None = None,
) -> Series:  # fmt: skip
    """A series from lists of one length, sorted by date; readings of one group make one point.

    Parameters
    ----------
    value : sequence of numbers
        the readings, finite.
    date : sequence of dates or ISO texts, optional
        all of them or none; equal dates keep the order given. A group has the date of its first reading.
    label, id : sequences of texts, optional
        what to call a point, and by what to find it again; a repeated id is refused.
    group : sequence of texts or numbers, optional
        the replicate group of each reading; not empty.
    baseline : sequence of bool, optional
        whether limits may be taken from it; a group belongs to the baseline if all its readings do.
    line : sequence of int, optional
        where in a file each stands, for the messages.

    Raises
    ------
    InputError
        naming the row: for no values, lengths that differ, what is no number or no date, an id that comes twice.

    Examples
    --------
    >>> s = series([1.33301, 1.33299, 1.33298], date=["2026-01-12", "2026-01-05", "2026-01-19"])
    >>> s.mean.tolist(), s.name(0), s.remarks
    ([1.33299, 1.33301, 1.33298], 'point 1 (2026-01-05)', ('the dates were not in order; the points are charted in the order of their dates',))
    """
    values = list(value) if np.iterable(value) else [value]
    if not values:
        raise InputError("no values: a chart needs a list of dated values", quantity="value")
    date, label, id, group, baseline = (None if column is None else list(column) for column in (date, label, id, group, baseline))
    for name, column in {"date": date, "label": label, "id": id, "group": group, "baseline": baseline}.items():
        if column is not None and len(column) != len(values):
            raise InputError(f"{name} and value must be lists of one length, not {len(column)} and {len(values)}", quantity=name)
    where = [f"line {n}" for n in line] if line is not None else None
    reading = _numbers(values, where)
    remarks: list[str] = []
    dates, order = [""] * len(values), np.arange(len(values))
    if date is not None:
        moments = [_moment(entry, _row(where, i)) for i, entry in enumerate(date)]
        dates = [text for _, text in moments]
        order = np.array(sorted(range(len(values)), key=lambda i: moments[i][0]))
    of_group = _groups(group, where) if group is not None else list(range(len(values)))
    numbers: dict[Any, int] = {}
    point = np.array([numbers.setdefault(of_group[i], len(numbers)) for i in order])
    stable = np.argsort(point, kind="stable")
    order, point = order[stable], point[stable]
    firsts = order[np.searchsorted(point, np.arange(len(numbers)))]
    if list(firsts) != sorted(firsts):
        remarks.append("the dates were not in order; the points are charted in the order of their dates")
    ids = ["" if id is None else text_of(id[i]) for i in firsts]
    labels = ["" if label is None else text_of(label[i]) for i in firsts]
    if group is not None and label is None:
        labels = [str(of_group[i]) for i in firsts]
    _once(ids)
    remarks += _repeated(reading[order], [dates[i] for i in order], group is not None)
    flags = None
    marks = [_mark(entry, _row(where, i)) for i, entry in enumerate(baseline or ())]
    if any(marks):
        flagged = np.array([marks[int(i)] for i in order])
        flags = np.bincount(point, weights=~flagged, minlength=len(numbers)) == 0
        if not flags.any():
            raise InputError("baseline: no group has all its readings marked; mark every reading of a group", quantity="baseline")
    return Series(reading[order], point, tuple(dates[i] for i in firsts), tuple(labels), tuple(ids), flags, tuple(remarks))


def _numbers(values: list[Any], where: list[str] | None) -> np.ndarray:
    try:
        reading = np.array(values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        reading = np.array([])
    plain = reading.shape == (len(values),) and not any(isinstance(v, _NO_NUMBERS) for v in values)
    if plain and np.all(np.abs(reading) <= LARGEST):  # nan is not
        return reading
    for i, entry in enumerate(values):
        at = _row(where, i)
        if isinstance(entry, _NO_NUMBERS) or not isinstance(entry, int | float | np.number):
            raise InputError(f"{at}: value = {entry!r} is not a number", quantity="value", value=entry, row=i + 1)
        size: Any = abs(entry)
        if not size < np.inf:
            raise InputError(f"{at}: value = {entry}: must be a finite number; leave the row out if nothing was read", quantity="value", row=i + 1)
        if size > LARGEST:
            whole = "value is a whole number too large for any measurement"
            said = whole if isinstance(entry, int) else f"value = {entry}: must be within ±{LARGEST:g}; is it a number of this series?"
            raise InputError(f"{at}: {said}", quantity="value", row=i + 1)
    raise InputError("value must be one list of numbers", quantity="value")


def moment_of(entry: Any) -> datetime:
    """The moment that a date or an ISO text names; without a time the day's beginning. Raises ValueError."""
    if isinstance(entry, datetime):
        found = entry
    elif isinstance(entry, calendar_date):
        found = datetime(entry.year, entry.month, entry.day)
    else:
        found = datetime.fromisoformat(str(entry).strip())
    return found.replace(tzinfo=None) - found.utcoffset() if found.tzinfo else found  # type: ignore[operator]


def _moment(entry: Any, at: str) -> tuple[datetime, str]:
    try:
        if is_missing(entry):
            raise ValueError
        found = moment_of(entry)
    except (ValueError, OverflowError):
        hint = "is missing: give every value its date, or none" if is_missing(entry) else f"= {entry!r} is not a date"
        raise InputError(f"{at}: date {hint}; write it as 2026-03-31, or with a time as 2026-03-31T09:30", quantity="date", value=entry) from None
    text = str(entry).strip() if isinstance(entry, str) else (entry if isinstance(entry, calendar_date) else found).isoformat()
    return found, text.removesuffix("T00:00:00").removesuffix(" 00:00:00")


def _mark(entry: Any, at: str) -> bool:
    if isinstance(entry, str):
        raise InputError(f"{at}: baseline = {entry!r}: must be True, False or nothing", quantity="baseline", value=entry)
    return not is_missing(entry) and bool(entry)


def _groups(group: Sequence[Any], where: list[str] | None) -> list[str]:
    named = [text_of(entry) for entry in group]
    if "" in named:
        raise InputError(f"{_row(where, named.index(''))}: group is empty: to which group does the reading belong?", quantity="group")
    return named


def _once(ids: list[str]) -> None:
    seen: set[str] = set()
    for text in ids:
        if text and text in seen:
            raise InputError(f"id {text!r} comes twice: is a row a copy? every point has an id of its own", quantity="id", value=text)
        seen.add(text)


def _repeated(reading: np.ndarray, dates: list[str], grouped: bool) -> list[str]:
    if grouped or not dates[0]:
        return []
    rows, same = set(), 0
    for pair in zip(dates, reading.tolist(), strict=True):
        same += pair in rows
        rows.add(pair)
    several = len(dates) - len(set(dates))
    if not several:
        return []
    found = [f"values that share a date with another: {several}; they are charted one after another; replicates that make one point want a group"]
    return [*found, f"rows that repeat both date and value of another: {same}; is one a copy?"] if same else found


def _row(where: list[str] | None, i: int) -> str:
    return where[i] if where else f"row {i + 1}"
