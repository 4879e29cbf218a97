"""A reading sheet as it was written: its numbers with the digits that somebody put down, "1.50220" and not 1.5022."""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

from lenscalc.errors import SheetError
from lenscalc.report.tree import printable


class Written(str):
    """A number as it stands in the sheet."""


def tables_as_written(text: str) -> dict[str, Any]:
    """The tables of a sheet, their decimal numbers as written.

    Raises
    ------
    SheetError
        for a text that is no TOML.

    >>> tables_as_written("n = [1.50220, -2.0e-4]")
    {'n': ['1.50220', '-2.0e-4']}
    """
    try:
        return tomllib.loads(text, parse_float=Written)
    except tomllib.TOMLDecodeError as wrong:
        raise SheetError(f"not a TOML file: {wrong}") from None


def shown(value: Any, unit: str = "") -> str:
    """A value of a sheet in print: numbers with a true minus, a list with commas, yes or no in words.

    >>> shown(Written("-2.0e-4"), "1/K"), shown([Written("1.4902"), 2]), shown(True), shown("inf")
    ('−2.0e−4 1/K', '1.4902, 2', 'yes', 'inf')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return f"{', '.join(shown(v) for v in value)} {unit}".rstrip()
    if isinstance(value, Written | int | float):
        number = str(value)
        return "plano" if "inf" in number else f"{number.replace('-', '−')} {unit}".rstrip()
    return value.isoformat() if isinstance(value, date) else printable(str(value))
