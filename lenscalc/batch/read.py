"""Files in: blocks of rows out of CSV, Parquet or Excel."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import StringIO, TextIOWrapper
from itertools import islice
from pathlib import Path
from typing import Any, TextIO

import numpy as np

from lenscalc.errors import FileError
from lenscalc.quantities import is_quantity

BLOCK_ROWS = 65_536


@dataclass(eq=False)
class Block:
    """Some rows of a file: columns of values as they stand there, and what is wrong with a row as a row."""

    columns: dict[str, Any]
    problems: dict[int, str] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """How many rows."""
        return len(next(iter(self.columns.values()), ()))


def read_blocks(path: str, block_rows: int = BLOCK_ROWS) -> Iterator[Block]:
    """The rows of a file in blocks; the ending says which kind it is, `-` is CSV from standard input. A file without rows gives one empty block.

    Raises
    ------
    FileError
        for a file that is not there, is empty, or is not what its ending says.
    """
    ending = Path(path).suffix.lower()
    if path != "-" and not Path(path).is_file():
        raise FileError(f"{path}: no such file")
    if ending == ".parquet":
        return _parquet(path, block_rows)
    if ending in (".xlsx", ".xlsm"):
        return _excel(path, block_rows)
    if ending in (".csv", ".txt", "") or path == "-":
        return _csv(path, block_rows)
    raise FileError(f"{path}: {ending} is not read here; use .csv, .parquet or .xlsx")


def read_csv_text(text: str, name: str = "table") -> Block:
    """All rows of a CSV text at once (for a page's upload)."""
    blocks = list(_csv_rows(StringIO(text, newline=""), name, sys.maxsize))
    return blocks[0]


def _csv(path: str, block_rows: int) -> Iterator[Block]:
    if path == "-":
        with TextIOWrapper(sys.stdin.buffer, encoding="utf-8-sig", newline="") as standard_input:
            try:
                yield from _csv_rows(standard_input, "standard input", block_rows)
            except UnicodeDecodeError:
                raise FileError("standard input: not UTF-8 text") from None
        return
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        try:
            yield from _csv_rows(file, path, block_rows)
        except UnicodeDecodeError:
            raise FileError(f"{path}: not UTF-8 text; save the table as CSV in UTF-8") from None


def _csv_rows(file: TextIO, name: str, block_rows: int) -> Iterator[Block]:
    rows = csv.reader(file)
    try:
        names = [n.strip() for n in next(rows, [])]
        if not any(names):
            raise FileError(f"{name}: the file is empty; its first line must name the columns")
        if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
            raise FileError(f"{name}: the columns must be separated by commas, and decimals written with a point")
        _check_names(names, name)
        first = True
        while lines := list(islice((r for r in rows if r), min(block_rows, 2**31))):
            first = False
            yield _block(names, lines)
        if first:
            yield _block(names, [])
    except csv.Error as error:
        raise FileError(f"{name}: line {rows.line_num}: {error}; is it UTF-8 text with commas?") from None


def _block(names: list[str], lines: list[list[str]]) -> Block:
    problems = {
        row: f"the row has {len(line)} cells, the first line names {len(names)}" for row, line in enumerate(lines) if len(line) != len(names)
    }
    width = len(names)
    even = [line if len(line) == width else (line + [""] * width)[:width] for line in lines] if problems else lines
    columns = zip(*even, strict=True) if even else ([] for _ in names)
    return Block({n: np.array(c, dtype=object) for n, c in zip(names, columns, strict=True)}, problems)


def _check_names(names: list[str], where: str) -> None:
    for n in names:
        if not n:
            raise FileError(f"{where}: a column has no name in the first line")
        if names.count(n) > 1:
            raise FileError(f"{where}: the column {n} stands there more than once")


def _parquet(path: str, block_rows: int) -> Iterator[Block]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        file = pq.ParquetFile(path, pre_buffer=False, buffer_size=1 << 20)
    except pa.ArrowInvalid as error:
        raise FileError(f"{path}: not a Parquet file: {error}") from None
    _check_names(file.schema_arrow.names, path)
    empty = True
    for batch in file.iter_batches(batch_size=block_rows):
        empty = False
        yield Block({n: _from_arrow(n, batch.column(i)) for i, n in enumerate(batch.schema.names)})
    if empty:
        yield Block({n: np.array([], dtype=object) for n in file.schema_arrow.names})


def _from_arrow(name: str, array: Any) -> Any:
    import pyarrow as pa

    if is_quantity(name) and (pa.types.is_floating(array.type) or pa.types.is_integer(array.type)):
        return array.cast(pa.float64()).to_numpy(zero_copy_only=False)
    return np.array([x if x is None or isinstance(x, str) else str(x) for x in array.to_pylist()], dtype=object)


def _excel(path: str, block_rows: int) -> Iterator[Block]:
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
    except (InvalidFileException, OSError, KeyError, ValueError) as error:
        raise FileError(f"{path}: not an Excel workbook: {error}") from None
    except Exception as error:  # a broken archive comes as zipfile's own error
        raise FileError(f"{path}: not an Excel workbook: {error}") from None
    rows = book.worksheets[0].iter_rows(values_only=True)
    names = ["" if n is None else str(n).strip() for n in next(rows, ())]
    while names and not names[-1]:
        names.pop()
    if not names:
        raise FileError(f"{path}: the first sheet is empty; its first row must name the columns")
    _check_names(names, path)
    width, first = len(names), True
    while lines := [r for r in islice(rows, block_rows) if any(x is not None for x in r)]:
        first = False
        cells = [(tuple(r) + (None,) * width)[:width] for r in lines]
        problems = {
            row: f"the row has a cell beyond the {width} columns that the first row names"
            for row, r in enumerate(lines)
            if any(x is not None for x in r[width:])
        }
        columns = {n: np.array([_cell(x) for x in c], dtype=object) for n, c in zip(names, zip(*cells, strict=True), strict=True)}
        yield Block(columns, problems)
    if first:
        yield Block({n: np.array([], dtype=object) for n in names})
    book.close()


def _cell(value: Any) -> Any:
    return value if value is None or isinstance(value, str | int | float) else str(value)
