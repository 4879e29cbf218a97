"""A series as a CSV file holds it: a line a reading."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

from lenscalc.control.series import Series, series
from lenscalc.errors import FEW, InputError, UnknownNameError
from lenscalc.own_file import read_text
from lenscalc.own_table import column_names, rows_of
from lenscalc.quantities import counted, how_to_write

COLUMNS: Final = ("date", "value", "group", "baseline", "label", "id")
_YES: Final = ("1", "yes", "y", "true", "x")
_NO: Final = ("", "0", "no", "n", "false")


def read_series(path: str | Path, *, value: str = "value") -> Series:
    """The series of a CSV file with a line of column names; see `series_from_text`.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    InputError
        naming file, line and column.
    """
    text = read_text(path, kind="CSV UTF-8")
    try:
        return series_from_text(text, value=value)
    except InputError as error:
        raise InputError(f"{path}: {error}", quantity=error.quantity, value=error.value, limits=error.limits, row=error.row) from None


def series_from_text(text: str, *, value: str = "value") -> Series:
    r"""The series in a CSV text: columns date and value; group, baseline (yes or empty), label and id where wanted. Others are passed over.

    `value` names the column of the values. A column whose name is nearly one of these is refused, because it was meant to count.

    >>> s = series_from_text("date,value,baseline\n2026-01-05,1.33299,yes\n2026-01-12,1.33301,yes\n2026-01-19,1.33298,\n")
    >>> s.points, s.baseline.tolist()
    (3, [True, True, False])
    """
    known = tuple(value if name == "value" else name for name in COLUMNS)
    rows = rows_of(text, known.__contains__, value.__eq__)
    if len(rows) < 2:
        raise InputError("no values: a line of column names (date,value) and a line a reading")
    header = column_names(rows[0][1])
    _check_header(header, known)
    cells: dict[str, list[str]] = {name: [] for name in known if name in header}
    for number, row in rows[1:]:
        if len(row) < len(header) or any(cell.strip() for cell in row[len(header) :]):
            hint = "; is it a decimal comma? write the decimals with a point" if len(row) > len(header) else ""
            raise InputError(f"line {number} has {counted(len(row), 'entry', 'entries')}, the line of names has {len(header)}{hint}")
        found = dict(zip(header, row, strict=False))
        for name, column in cells.items():
            column.append(found[name].strip())
    lines = [number for number, _ in rows[1:]]
    values = [_number(cell, number, value) for cell, number in zip(cells[value], lines, strict=True)]
    flags = [_flag(cell, number) for cell, number in zip(cells["baseline"], lines, strict=True)] if "baseline" in cells else None
    read = series(values, date=cells.get("date"), label=cells.get("label"), id=cells.get("id"), group=cells.get("group"), baseline=flags, line=lines)
    passed_over = [name for name in header if name not in known]
    if "date" in cells or not passed_over:
        return read
    return replace(
        read, remarks=(*read.remarks, f"no column is named date: the points stand in the order of the lines; passed over: {', '.join(passed_over)}")
    )


def _check_header(header: list[str], known: tuple[str, ...]) -> None:
    for name in header:
        if header.count(name) > 1 and name:
            raise InputError(f"column {name!r} comes twice")
    if known[1] not in header:
        more = f" and {len(header) - FEW} more" if len(header) > FEW else ""
        raise InputError(
            f"there is no column {known[1]!r}; the file has {', '.join(header[:FEW])}{more}: name the column of the values; "
            "the line of names must be the first",
            quantity=known[1],
        )
    for name in header:
        if name not in known and UnknownNameError(name, known, what="column").suggestion:
            raise UnknownNameError(name, known, what="column")


def _number(cell: str, line: int, name: str) -> float:
    try:
        if "_" in cell or not cell.isascii():  # float() would take 1_5
            raise ValueError
        return float(cell)
    except ValueError:
        if not cell:
            raise InputError(f"line {line}: {name} is empty; leave the line out if nothing was read", quantity=name) from None
        raise InputError(f"line {line}: {name} = {cell!r} is not a number{how_to_write(cell)}", quantity=name, value=cell) from None


def _flag(cell: str, line: int) -> bool:
    if cell.lower() not in (*_YES, *_NO):
        raise InputError(f"line {line}: baseline = {cell!r}: must be yes, or no or empty", quantity="baseline", value=cell)
    return cell.lower() in _YES
