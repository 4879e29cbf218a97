"""Excel in: the first sheet of a workbook, the values that its formulas had when it was saved."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from contextlib import closing
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.batch.read_csv import check_names
from lenscalc.errors import FileError
from lenscalc.own_table import column_names

MOST_UNPACKED, MOST_TIMES = 100_000_000, 100  # bytes; times the packed size


def read_excel(path: str, block_rows: int) -> Iterator[Block]:
    """Blocks of the first sheet."""
    import openpyxl

    _refuse_a_flood(path)
    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    except Exception as error:  # a broken archive comes as zipfile's, xml's or openpyxl's own error
        raise FileError(f"{path}: not an Excel workbook: {error}") from None
    sheet = book.worksheets[0]
    with closing(book), closing(sheet.iter_rows(values_only=True)) as rows:
        yield from _blocks(rows, sheet, path, block_rows)


def _blocks(rows: Any, sheet: Any, path: str, block_rows: int) -> Iterator[Block]:
    names = column_names("" if n is None else str(n) for n in next((r for r in rows if any(x is not None for x in r)), ()))
    if not names:
        raise FileError(f"{path}: the first sheet is empty; its first row must name the columns")
    check_names(names, path)
    width, done = len(names), 0
    filled = (r for r in rows if any(x is not None for x in r))
    while lines := list(islice(filled, block_rows)):
        done += len(lines)
        cells = [(tuple(r) + (None,) * width)[:width] for r in lines]
        problems = {
            row: f"the row has a cell beyond the {width} columns that the first row names"
            for row, r in enumerate(lines)
            if any(x is not None for x in r[width:])
        }
        columns = {n: np.array([_cell(x) for x in c], dtype=object) for n, c in zip(names, zip(*cells, strict=True), strict=True)}
        yield Block(columns, problems, share=min(done / (sheet.max_row - 1), 1.0) if sheet.max_row else float("nan"))
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
    return value if value is None or isinstance(value, str | int | float) else str(value)
