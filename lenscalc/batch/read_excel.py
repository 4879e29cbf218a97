"""Excel in: the first sheet of a workbook, the values that its formulas had when it was saved."""

from __future__ import annotations

import warnings
import zipfile
from collections.abc import Generator, Iterator
from contextlib import closing
from datetime import datetime, time
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.batch.excel_formulas import unsaved_formulas
from lenscalc.batch.excel_rows import refuse_lost_rows
from lenscalc.batch.read_csv import check_names
from lenscalc.errors import FileError
from lenscalc.own_table import column_names

EXCEL_ROWS = 1_048_576  # the most that a sheet has
MOST_UNPACKED, MOST_TIMES = 100_000_000, 100  # bytes; times the packed size


def read_excel(path: str, block_rows: int) -> Iterator[Block]:
    """Blocks of the first sheet."""
    import openpyxl

    _refuse_a_flood(path)
    warnings.filterwarnings("ignore", module=r"openpyxl\.")  # of lists to choose from and colours, which take no part
    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        if not book.worksheets:
            raise ValueError("it has no sheet of cells")
        sheet = book.worksheets[0]
        last_row = sheet.max_row or 0
        sheet.reset_dimensions()  # what a file says of its own size may leave rows and columns out
        refuse_lost_rows(path, sheet._worksheet_path)
        unsaved = unsaved_formulas(path, sheet._worksheet_path)
    except FileError:
        raise
    except Exception as error:  # a broken archive comes as zipfile's, xml's or openpyxl's own error
        raise FileError(f"{path}: not an Excel workbook: {error}") from None
    with closing(book), closing(_rows(sheet, path)) as rows:
        yield from _blocks(rows, unsaved, last_row, path, block_rows)


def _rows(sheet: Any, path: str) -> Generator[tuple[int, tuple[Any, ...]]]:
    """The rows with their numbers."""
    try:
        for number, row in enumerate(sheet.iter_rows(values_only=True), 1):
            if number > EXCEL_ROWS:
                raise ValueError(f"a row is numbered beyond {EXCEL_ROWS:,}")
            yield number, row
    except Exception as error:  # an archive may be broken further down too
        raise FileError(f"{path}: its first sheet cannot be read: {error}; save it anew in a spreadsheet program, and take it again") from None


def _blocks(
    rows: Iterator[tuple[int, tuple[Any, ...]]], unsaved: dict[int, str], last_row: int, path: str, block_rows: int
) -> Iterator[Block]:
    filled = ((number, r) for number, r in rows if number in unsaved or any(x is not None for x in r))
    first, named = next(filled, (0, ()))
    if first in unsaved:
        raise FileError(f"{path}: {unsaved[first]}")
    names = column_names("" if n is None else str(n) for n in named)
    if not names:
        raise FileError(f"{path}: the first sheet is empty; its first row must name the columns")
    check_names(names, path)
    width, done = len(names), 0
    while lines := list(islice(filled, block_rows)):
        done += len(lines)
        cells = [(tuple(r) + (None,) * width)[:width] for _, r in lines]
        problems = {
            row: f"the row has a cell beyond the {width} columns that the first row names"
            for row, (_, r) in enumerate(lines)
            if any(x is not None for x in r[width:])
        } | {row: unsaved[number] for row, (number, _) in enumerate(lines) if number in unsaved}
        columns = {n: np.array([_cell(x) for x in c], dtype=object) for n, c in zip(names, zip(*cells, strict=True), strict=True)}
        yield Block(columns, problems, share=min(done / (last_row - 1), 1.0) if last_row > 1 else float("nan"))
    if not done:
        yield Block({n: np.array([], dtype=object) for n in names})


def _refuse_a_flood(path: str) -> None:
    """A small archive can unpack to more than any memory; what a spreadsheet program writes unpacks to some ten times its size.

    Raises
    ------
    FileError
    """
    try:
        with zipfile.ZipFile(path) as archive:
            unpacked = sum(member.file_size for member in archive.infolist())
    except (zipfile.BadZipFile, OSError, NotImplementedError) as error:
        raise FileError(f"{path}: not an Excel workbook: {error}") from None
    if unpacked > MOST_UNPACKED and unpacked > MOST_TIMES * Path(path).stat().st_size:
        raise FileError(f"{path}: {unpacked / 1e6:,.0f} MB are packed into it, over {MOST_TIMES} times its size; no table is packed that tightly")


def _cell(value: Any) -> Any:
    if isinstance(value, datetime) and value.time() == time():  # a day, to which nobody wrote a time
        return value.date().isoformat()
    return value if value is None or isinstance(value, str | int | float) else str(value)
