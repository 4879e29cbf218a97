"""A table of text that somebody saved: its line of names, the sign that parts its columns, and the one of its decimals."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable

from lenscalc.errors import InputError

SEPARATORS = (",", ";", "\t")

_OF_DIGITS = re.compile(r"[+-]?[.,]?[0-9][0-9.,]*([eE][+-]?[0-9]+)?")  # a text in a cell says nothing of the decimal sign
_MAYBE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(,[0-9]{3})+")


def column_names(cells: Iterable[str]) -> list[str]:
    """The cells of a table's line of names, up to its last name: a spreadsheet also saves columns in which nothing stands.

    >>> column_names(["date ", "", "value", "", ""]), column_names(["", ""])
    (['date', '', 'value'], [])
    """
    names = [cell.strip() for cell in cells]
    return names[: max((i for i, name in enumerate(names, 1) if name), default=0)]


def separators_of(first: str, is_name: Callable[[str], bool]) -> list[str]:
    """The sign that parts the line of names into most names that are known, a comma where there is none; several where they tie.

    >>> [separators_of(first, {"specimen", "n"}.__contains__) for first in ("specimen;n", "n", "a,b;c")]
    [[';'], [','], [',', ';']]
    """
    here = [sign for sign in SEPARATORS if sign in first]
    if len(here) < 2:
        return here or [","]
    known = {sign: sum(is_name(name.strip()) for name in next(csv.reader([first], delimiter=sign))) for sign in here}
    return [sign for sign in here if known[sign] == max(known.values())]


def decimal_sign(cells: Iterable[str]) -> str:
    """The decimal sign of numbers in columns that no comma parts.

    Raises
    ------
    InputError
        where both signs stand for numbers, or the commas may part thousands.

    >>> decimal_sign(["1.4906", "n/a", "15"]), decimal_sign(["1,4906", "-15"]), decimal_sign(["1.004,8"])
    ('.', ',', ',')
    """
    numbers = [text for cell in cells if _OF_DIGITS.fullmatch(text := cell.strip())]
    commas = [n for n in numbers if n.rfind(",") > n.rfind(".")]  # of 1.004,8 the comma is the decimal one
    points = [n for n in numbers if n.rfind(".") > n.rfind(",")]
    if not commas:
        return "."
    if points:
        raise InputError(f"both {commas[0]!r} and {points[0]!r} stand for numbers")
    if all(map(_MAYBE_THOUSANDS.fullmatch, commas)):
        raise InputError(f"{commas[0]!r} may have a decimal comma or a comma between thousands")
    return ","


def rows_of(
    text: str, is_name: Callable[[str], bool], is_number: Callable[[str], bool], *, error: type[InputError] = InputError
) -> list[tuple[int, list[str]]]:
    r"""The rows of a table that a person keeps, with their line numbers, the line of names first; empty ones are left out.

    Semicolons and tabs part columns as commas do; where they do, a comma in a column of numbers may be the decimal sign, and a point is put for it.

    Raises
    ------
    InputError
        as `error`, for what is no table, and for numbers whose decimal sign is not clear.

    >>> rows_of("specimen;n\nA1;1,4901\n", {"specimen", "n"}.__contains__, {"n"}.__contains__)
    [(1, ['specimen', 'n']), (2, ['A1', '1.4901'])]
    """
    first = next((line for line in text.splitlines() if line.strip()), "")
    sign = separators_of(first, is_name)[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign)
    rows = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
    except csv.Error as wrong:
        raise error(f"line {reader.line_num}: not CSV: {wrong}") from None
    if sign == "," or not rows:
        return rows
    numbers = [i for i, name in enumerate(rows[0][1]) if is_number(name.strip())]
    try:
        comma = decimal_sign(row[i] for _, row in rows[1:] for i in numbers if i < len(row)) == ","
    except InputError as unclear:
        raise error(f"{unclear}: write the decimals of all numbers with a point") from None
    if comma:
        for _, row in rows[1:]:
            for i in numbers:
                if i < len(row) and "." not in row[i]:
                    row[i] = row[i].replace(",", ".")
    return rows
