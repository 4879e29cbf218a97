"""Checks one table of a sheet against the schema: an error names the table and the key."""

from __future__ import annotations

from datetime import date
from typing import Any

from lenscalc.errors import SheetError, UnknownNameError
from lenscalc.quantities import as_number, complaint, quantity
from lenscalc.refractometer.schema import SCHEMA, Day, Labels, Limits, Minutes, Number, Numbers, Text, Yes


def checked_table(where: str, table: Any, schema: str) -> dict[str, Any]:
    """One table of a sheet with every key checked and every number turned into a float.

    Raises
    ------
    SheetError
        naming the table and the key.
    """
    if not isinstance(table, dict):
        raise SheetError(f"[{where}] must be a table of keys")
    known = SCHEMA[schema]
    for key in table:
        if key not in known:
            raise SheetError(f"[{where}] {UnknownNameError(key, known, what='key')}" if where else str(UnknownNameError(key, known, what="key")))
    for key, kind in known.items():
        if getattr(kind, "required", False) and key not in table:
            choices = f": {' or '.join(kind.choices)}" if isinstance(kind, Text) and kind.choices else ""
            raise SheetError(f"[{where}] {key} is missing{choices}" if where else f"{key} is missing at the top of the sheet")
    if schema != "calibration.reference":  # its kind is asked first
        refuse_u_alone(where, table, schema)
    return {key: checked_value(f"[{where}] {key}" if where else key, value, known[key]) for key, value in table.items()}


def refuse_u_alone(where: str, table: dict[str, Any], schema: str) -> None:
    """Refuse an uncertainty whose value the table lacks, and degrees of freedom whose uncertainty it lacks."""
    for key in table:
        of = key.removeprefix("u_") if key.startswith("u_") else f"u_{key.removeprefix('dof_')}" if key.startswith("dof_") else key
        if isinstance(SCHEMA[schema].get(of), Number | Limits) and of not in table:
            raise SheetError(f"[{where}] {key} is given without {of}: it says nothing by itself")


def checked_value(where: str, value: Any, kind: Any) -> Any:
    """One value as its kind in the schema wants it."""
    if isinstance(kind, Text):
        if not isinstance(value, str) or not value.strip():
            raise SheetError(f"{where} = {value!r}: must be text")
        if kind.choices and value not in kind.choices:
            raise SheetError(f"{where} = {value!r}: must be {' or '.join(kind.choices)}")
        return value
    if isinstance(kind, Yes):
        if not isinstance(value, bool):
            raise SheetError(f"{where} = {value!r}: must be true or false")
        return value
    if isinstance(kind, Day):
        if type(value) is not date:  # a TOML date with a time of day is a datetime, which is a date too
            raise SheetError(f"{where} = {value!r}: must be a date without quotes, for example 2026-11-20")
        return value
    if isinstance(kind, Labels):
        if not isinstance(value, list) or not all(isinstance(v, str | int) and not isinstance(v, bool) for v in value):
            raise SheetError(f"{where} = {value!r}: must be a list of labels, one a reading, for example [1, 1, 2, 2]")
        return value
    if isinstance(kind, Minutes):
        if not isinstance(value, list):
            raise SheetError(f"{where} = {value!r}: must be a list of minutes, one a reading")
        return [_within(f"{where}[{i + 1}]", v, kind.of_one) for i, v in enumerate(value)]
    if isinstance(kind, Numbers):
        if not isinstance(value, list) or not value:
            raise SheetError(f"{where} = {value!r}: must be a list of readings, for example [1.4901, 1.4902]")
        try:
            return [_number(f"{where}[{i + 1}]", v, kind.quantity) for i, v in enumerate(value)]
        except SheetError as error:
            if not any(type(v) is int and v == 1 for v in value):
                raise
            raise SheetError(f"{error}; is it a decimal comma? write the decimals with a point", quantity=error.quantity, value=error.value) from None
    if isinstance(kind, Number):
        return _number(where, value, kind.quantity)
    return _within(where, value, kind)


def _within(where: str, value: Any, kind: Limits) -> float:
    number = _plain_number(where, value)
    if not kind.lower <= number <= kind.upper:
        unit = f" {kind.unit}" if kind.unit else ""
        hint = f"; {kind.above}" if kind.above and number > kind.upper else ""
        raise SheetError(f"{where} = {number:g}{unit}: must be {kind.lower:g} to {kind.upper:g}{unit}{hint}")
    return number


def _number(where: str, value: Any, name: str) -> float:
    q = quantity(name)
    if q.infinite and isinstance(value, str):
        if value != "plano":
            raise SheetError(f'{where} = {value!r}: must be a number, without quotes and with a decimal point, or "plano" for a flat surface')
        number = float(as_number(name, value))
    else:
        number = _plain_number(where, value)
    wrong = complaint(q, number)
    if wrong:
        raise SheetError(f"{where}: {wrong}", quantity=name, value=value, limits=(q.lower, q.upper), unit=q.unit)
    return number


def _plain_number(where: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SheetError(f"{where} = {value!r}: must be a number, without quotes and with a decimal point")
    try:
        return float(value)
    except OverflowError:
        raise SheetError(f"{where}: a number of {len(str(value))} digits is no measurement") from None
