"""A record's fields and the columns that hold them: one value either way, by the column's type."""

from __future__ import annotations

from datetime import date, datetime
from math import isnan
from typing import Any

from sqlalchemy import Date, DateTime, Double, Integer
from sqlalchemy.types import TypeEngine

from lenscalc.errors import InputError

_INFINITE = {"inf": float("inf"), "-inf": float("-inf")}


def field_of(value: Any, kind: TypeEngine[Any]) -> Any:
    """What stands in a column, as the field of a record: numbers, and texts for days and times; None for what is missing.

    Raises
    ------
    TypeError, ValueError, AttributeError
        for what the column cannot hold, and does: a file's columns take anything.

    >>> field_of(date(2026, 11, 20), Date()), field_of(float("nan"), Double()), field_of(3, Double())
    ('2026-11-20', None, 3.0)
    """
    if value is None:
        return None
    if isinstance(kind, DateTime):
        return value.isoformat(timespec="microseconds") + "Z"
    if isinstance(kind, Date):
        return value.isoformat()
    if isinstance(kind, Double):
        return None if isnan(value) else float(value) + 0.0
    if not isinstance(value, int if isinstance(kind, Integer) else str):
        raise TypeError(f"{value!r} stands in a column of another type")
    return value


def column_value(name: str, field: Any, kind: TypeEngine[Any]) -> Any:
    """A field as its column takes it.

    Raises
    ------
    InputError
        for a value that is not of the column's type.

    >>> column_value("dof", "inf", Double()), column_value("read_on", "2026-11-20", Date())
    (inf, datetime.date(2026, 11, 20))
    """
    if field is None:
        return None
    try:
        if isinstance(kind, DateTime):
            return datetime.fromisoformat(_text(field).removesuffix("Z"))
        if isinstance(kind, Date):
            return date.fromisoformat(_text(field))
    except ValueError:
        raise InputError(f"{name} = {field!r}: must be a {'time' if isinstance(kind, DateTime) else 'day'}") from None
    if isinstance(kind, Double):
        number = _INFINITE.get(field, field) if isinstance(field, str) else field
        if isinstance(number, bool) or not isinstance(number, int | float):
            raise InputError(f"{name} = {field!r}: must be a number")
        return float(number) + 0.0
    if isinstance(kind, Integer):
        if isinstance(field, bool) or not isinstance(field, int) or abs(field) >= 2**31:
            raise InputError(f"{name} = {field!r}: must be a whole number")
        return field
    return _text(field, name)


def _text(field: Any, name: str = "") -> str:
    if not isinstance(field, str):
        raise InputError(f"{name} = {field!r}: must be text")
    if "\0" in field:
        raise InputError(f"{name} = {field!r}: holds a zero character, which no database keeps")
    return field
