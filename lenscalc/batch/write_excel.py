"""Excel out: a sheet of results, numbers as numbers, no text as a formula; a second one that says what the columns mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.batch.excel_look import SENTENCE, lay_out, number_format, width_of
from lenscalc.batch.legend import HEADING, LAST, Explained, legend
from lenscalc.batch.read_excel import EXCEL_ROWS
from lenscalc.batch.write_csv import is_formula
from lenscalc.errors import FileError
from lenscalc.quantities import is_quantity

_LARGEST_WHOLE = 2**53
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")


class Workbook:
    """A workbook that grows row by row and is written when it is saved."""

    def __init__(self) -> None:
        import openpyxl

        self.book = openpyxl.Workbook(write_only=True)
        self.sheet = self.book.create_sheet("results")
        self.rows = 0
        self.names: list[str] = []
        self.formatted: list[Any] = []  # a cell for the numbers of each column, which is written at once and used again in the next row
        self.explained: Sequence[Explained] = ()

    def append(self, columns: dict[str, Any]) -> None:
        """Add a block below the others.

        Raises
        ------
        FileError
            for more rows than a sheet holds.
        """
        if self.rows == 0:
            self.names = list(columns)
            lay_out(self.sheet, [width_of(n) for n in self.names])
            self.formatted = [self._formatted(n) for n in self.names]
            self.sheet.append([self._cell(n) for n in self.names])
            self.rows = 1
        self.rows += len(next(iter(columns.values())))
        if self.rows > EXCEL_ROWS:
            raise FileError(f"an Excel sheet holds {EXCEL_ROWS:,} rows with its first line; write .csv or .parquet")
        for row in zip(*(self._column(n, c) for n, c in columns.items()), strict=True):
            self.sheet.append([_put(cell, value) for cell, value in zip(self.formatted, row, strict=True)])

    def save(self, path: Path) -> None:
        """Write the file, with the legend of its columns and the caution on a sheet behind the results."""
        sheet = self.book.create_sheet("columns")
        lines = (HEADING, *legend(self.names), *self.explained, LAST)
        widest = [max(len(text) for text in column) + 2.0 for column in zip(*lines[:-1], strict=True)]
        lay_out(sheet, [min(width, SENTENCE) for width in widest])
        for line in lines:
            sheet.append([self._cell(text) for text in line])
        self.book.save(path)

    def _formatted(self, name: str) -> Any:
        from openpyxl.cell import WriteOnlyCell

        if not (wanted := number_format(name)):
            return None
        cell = WriteOnlyCell(self.sheet)
        cell.number_format = wanted
        return cell

    def _column(self, name: str, column: Any) -> list[Any]:
        if is_quantity(name) and column.dtype == object:  # numbers that came as texts are numbers in the sheet
            from lenscalc.batch.write_parquet import numbers_in

            numbers = numbers_in(name, column)
            return [n if np.isfinite(n) else self._cell(x) for n, x in zip(numbers.tolist(), column.tolist(), strict=True)]
        return [self._cell(x) for x in column.tolist()]

    def _cell(self, value: Any) -> Any:
        if value is None or value == "":
            return None
        if isinstance(value, float):
            return None if value != value else str(value) if np.isinf(value) else value + 0.0
        if isinstance(value, bool) or (isinstance(value, int) and abs(value) <= _LARGEST_WHOLE):
            return value
        text = _NOT_IN_XML.sub("\ufffd", str(value))
        if not is_formula(text):
            return text
        from openpyxl.cell import WriteOnlyCell

        cell = WriteOnlyCell(self.sheet, value=text)
        cell.data_type, cell.quotePrefix = "s", True  # a text, and one that stays so when somebody edits it
        return cell


def _put(cell: Any, value: Any) -> Any:
    """A number in the format of its column; anything else as it is."""
    if cell is None or not isinstance(value, int | float) or isinstance(value, bool):
        return value
    cell.value = value
    return cell
