"""Files in: blocks of rows out of CSV, Parquet, Excel or a design of a sweep."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from pathlib import Path
from typing import Any

from lenscalc.batch.block import BLOCK_ROWS, Block
from lenscalc.batch.read_csv import read_csv, read_csv_text
from lenscalc.errors import FileError, InputError
from lenscalc.own_file import path_of, refuse_device
from lenscalc.own_table import SEPARATORS

__all__ = ["BLOCK_ROWS", "Block", "read_blocks", "read_csv_text"]

READS = ".csv, .csv.gz, .csv.zst, .parquet, .xlsx, a folder of .parquet parts, or .toml for a sweep"


def read_blocks(
    path: str, block_rows: int = BLOCK_ROWS, *, separator: str | None = None, decimal: str | None = None, checksum: Any = None
) -> Generator[Block]:
    """The rows of a file in blocks; the ending says which kind it is, `-` is CSV from standard input. A file without rows gives one empty block.

    `separator` ("," ";" or tab) and `decimal` ("." or ",") say what a CSV file does not say clearly by itself. A `checksum` (as of hashlib) is fed
    with what comes by a pipe.

    Raises
    ------
    FileError
        for a file that is not there, is empty, a device or a named pipe, or is not what its ending says.
    InputError
        for a separator or a decimal sign that is neither.
    """
    if block_rows < 1:
        raise InputError(f"block_rows = {block_rows}: must be at least 1")
    if separator is not None and separator not in SEPARATORS:
        raise InputError(f"separator = {separator!r}: must be a comma, a semicolon or a tab")
    if decimal not in (None, ".", ","):
        raise InputError(f"decimal = {decimal!r}: must be a point or a comma")
    return _placed(_blocks(path, block_rows, separator, decimal, checksum))


def _placed(blocks: Iterator[Block]) -> Generator[Block]:
    first = 0
    for block in blocks:
        block.first_row = first
        first += block.size
        yield block


def _blocks(path: str, block_rows: int, separator: str | None, decimal: str | None, checksum: Any) -> Iterator[Block]:
    ending = ending_of(path)
    if path != "-":
        if not path_of(path).exists():
            raise FileError(f"{path}: no such file")
        refuse_device(path)
    if Path(path).is_dir() or ending == ".parquet":
        from lenscalc.batch.read_parquet import read_parquet

        return read_parquet(path, block_rows)
    if ending in (".xlsx", ".xlsm"):
        from lenscalc.batch.read_excel import read_excel

        return read_excel(path, block_rows)
    if ending == ".toml":
        from lenscalc.batch.sweep import read_sweep

        return read_sweep(path).blocks(block_rows)
    if ending in (".csv", ".txt", "", ".csv.gz", ".csv.zst", ".txt.gz", ".txt.zst") or path == "-":
        return read_csv(path, block_rows, separator, decimal, checksum)
    raise FileError(f"{path}: {ending} is not read here; use {READS}")


def ending_of(path: str) -> str:
    """The ending that says what a file is, with the one before it where the last says only how it is packed.

    >>> ending_of("a.b.csv.gz"), ending_of("results.PARQUET")
    ('.csv.gz', '.parquet')
    """
    endings = [e.lower() for e in Path(path).suffixes]
    return "".join(endings[-2:] if endings and endings[-1] in (".gz", ".zst") else endings[-1:])
