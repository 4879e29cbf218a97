"""Files out: blocks of columns into CSV, Parquet or Excel. A file appears under its name only when it is whole."""

from __future__ import annotations

import csv
import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.errors import FileError

EXCEL_ROWS = 1_048_576


def write_blocks(path: str, blocks: Iterable[dict[str, Any]]) -> int:
    """Write blocks of equal columns; returns the number of rows. `-` is CSV to standard output.

    Raises
    ------
    FileError
        for an ending that is not written here, a folder that is not there, or more rows than Excel holds.
    """
    ending = Path(path).suffix.lower()
    if path == "-":
        return _csv(sys.stdout, blocks)
    writers = {".csv": _csv_file, ".parquet": _parquet, ".xlsx": _excel}
    if ending not in writers:
        raise FileError(f"{path}: {ending or 'no ending'} is not written here; use .csv, .parquet or .xlsx")
    if not Path(path).resolve().parent.is_dir():
        raise FileError(f"{path}: the folder is not there")
    part = f"{path}.part"
    try:
        rows = writers[ending](part, blocks)
        os.replace(part, path)
    except OSError as error:
        if isinstance(error, FileError):
            raise
        raise FileError(f"{path}: {error.strerror or error}") from None
    finally:
        Path(part).unlink(missing_ok=True)
    return rows


def as_cell(value: Any) -> Any:
    """A value as it stands in a CSV cell: the shortest text that reads back the same, nan empty, −0 as 0."""
    if isinstance(value, float):  # np.float64 is one
        return "" if value != value else repr(float(value) + 0.0)
    return "" if value is None else value


def csv_text(columns: dict[str, Any]) -> str:
    """One block as CSV text (for a page's download)."""
    from io import StringIO

    out = StringIO(newline="")
    _csv(out, [columns])
    return out.getvalue()


def _rows(columns: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    return zip(*(column.tolist() for column in columns.values()), strict=True)


def _csv(file: Any, blocks: Iterable[dict[str, Any]]) -> int:
    writer = csv.writer(file, lineterminator="\n")
    count = 0
    for i, columns in enumerate(blocks):
        if i == 0:
            writer.writerow(columns)
        for row in _rows(columns):
            writer.writerow([as_cell(x) for x in row])
            count += 1
    return count


def _csv_file(path: str, blocks: Iterable[dict[str, Any]]) -> int:
    with Path(path).open("w", encoding="utf-8", newline="") as file:
        return _csv(file, blocks)


def _parquet(path: str, blocks: Iterable[dict[str, Any]]) -> int:
    import pyarrow as pa
    import pyarrow.parquet as pq

    writer, schema, count = None, None, 0
    try:
        for columns in blocks:
            arrays = {n: pa.array(c) if c.dtype == np.float64 else pa.array([_text(x) for x in c], pa.string()) for n, c in columns.items()}
            table = pa.table(arrays)
            if writer is None:
                schema = table.schema
                writer = pq.ParquetWriter(path, schema)
            writer.write_table(table.cast(schema))
            count += table.num_rows
    finally:
        if writer is not None:
            writer.close()
    return count


def _text(value: Any) -> str | None:
    return None if value is None else str(as_cell(value))


def _excel(path: str, blocks: Iterable[dict[str, Any]]) -> int:
    import openpyxl

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("results")
    count = 0
    for i, columns in enumerate(blocks):
        if i == 0:
            sheet.append(list(columns))
        count += len(next(iter(columns.values())))
        if count >= EXCEL_ROWS:
            raise FileError(f"an Excel sheet holds {EXCEL_ROWS:,} rows with its first line; write .csv or .parquet")
        for row in _rows(columns):
            sheet.append([None if isinstance(x, float) and x != x else as_cell(x) if isinstance(x, float) and np.isinf(x) else x for x in row])
    book.save(path)
    return count
