"""CSV in: also packed, also with semicolons and decimal commas, where that is clear or told."""

from __future__ import annotations

import csv
import io
import sys
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import chain, islice
from pathlib import Path
from typing import Any, TextIO

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.batch.columns import is_number_column, is_ours
from lenscalc.errors import FileError, InputError
from lenscalc.own_table import column_names, decimal_sign, separators_of
from lenscalc.quantities import counted

MOST_COLUMNS = 16_384  # as in a workbook
LONGEST_LINE = 16 << 20  # characters; a packed file may hide a line that fills the memory
SAMPLE_ROWS = 1000  # looked at for the decimal sign, whatever the size of a block

_NOTHING = ' \t\r\n,;"'  # all that an empty row has
_NO_LINE_END = "the last line of the file has no end: is it cut off?"


def read_csv(path: str, block_rows: int, separator: str | None, decimal: str | None, checksum: Any) -> Iterator[Block]:
    """Blocks of a CSV file, of a packed one, or of standard input."""
    if path == "-":
        yield from _text(sys.stdin.buffer, "standard input", 0, block_rows, separator, decimal, checksum)
        return
    with Path(path).open("rb") as file:
        yield from _text(file, path, Path(path).stat().st_size, block_rows, separator, decimal, None)


def read_csv_text(text: str, name: str = "table") -> Block:
    """All rows of a CSV text at once (for a page's upload)."""
    return next(_rows(io.StringIO(text, newline=""), name, sys.maxsize, None, None, lambda _: 1.0))


class _Counted(io.RawIOBase):
    """A stream that knows how much of it has been read, and what its checksum is."""

    def __init__(self, stream: Any, checksum: Any) -> None:
        self.stream, self.checksum, self.count = stream, checksum, 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        data = self.stream.read1(len(buffer)) if hasattr(self.stream, "read1") else self.stream.read(len(buffer))
        if self.checksum is not None:
            self.checksum.update(data)
        self.count += len(data)
        buffer[: len(data)] = data
        return len(data)


def _text(
    stream: Any, name: str, size: int, block_rows: int, separator: str | None, decimal: str | None, checksum: Any
) -> Iterator[Block]:
    counted = _Counted(stream, checksum)
    packed: Any = io.BufferedReader(counted, 1 << 18)
    if name.lower().endswith(".gz"):
        import gzip

        packed = gzip.GzipFile(fileobj=packed)
    elif name.lower().endswith(".zst"):
        import pyarrow as pa  # a second to import: only for what needs it

        packed = pa.CompressedInputStream(packed, "zstd")
    file = io.TextIOWrapper(packed, encoding="utf-8-sig", newline="")
    is_packed = packed.__class__ is not io.BufferedReader

    def share_read(characters: int) -> float:
        return (counted.count if is_packed else min(characters, size)) / size if size else float("nan")

    try:
        yield from _rows(file, name, block_rows, separator, decimal, share_read)
    except UnicodeDecodeError:
        raise FileError(f"{name}: not UTF-8 text; save the table as CSV in UTF-8") from None
    except (EOFError, OSError, zlib.error) as error:
        if isinstance(error, FileError):
            raise
        raise FileError(f"{name}: cannot be unpacked, or is cut off: {error}") from None


class _Lines:
    """The lines of a text, how many characters they have had so far, and whether the last one had an end."""

    def __init__(self, file: TextIO, name: str) -> None:
        self.file, self.name, self.ended, self.characters = file, name, True, 0

    def __iter__(self) -> Iterator[str]:
        line = "\n"
        while read := self.file.readline(LONGEST_LINE):
            line = read
            self.characters += len(line)
            if len(line) == LONGEST_LINE:
                raise FileError(f"{self.name}: a line is longer than {LONGEST_LINE:,} characters; is it a table, with every line ended?")
            yield line
        self.ended = line.endswith(("\n", "\r"))


def _rows(
    file: TextIO, name: str, block_rows: int, separator: str | None, decimal: str | None, share_read: Callable[[int], float]
) -> Iterator[Block]:
    lines = _Lines(file, name)
    unread = iter(lines)
    line_num = done = 0
    try:
        first = next((line for line in unread if line.strip(_NOTHING)), "")
        sign = separator or _separator(first, name)
        rows = csv.reader(chain([first], unread), delimiter=sign)
        names = column_names(next(rows, []))
        line_num = rows.line_num
        if not names:
            raise FileError(f"{name}: the file is empty; its first line must name the columns")
        check_names(names, name)
        full = (r for r in rows if any(r))  # a spreadsheet saves empty rows below the last one as cells without text
        sample = list(islice(full, SAMPLE_ROWS))
        comma = sign != "," and (decimal or _decimal(names, sample, name)) == ","
        if sign == "," and decimal == ",":
            raise FileError(f"{name}: a file separated by commas has decimal points; a decimal comma goes with a semicolon or a tab")
        numbers = [i for i, n in enumerate(names) if is_number_column(n)] if comma else []
        every = chain(sample, full)
        ahead = next(every, None)  # one row ahead, so that the last block knows that it is
        if ahead is None:
            yield _block(names, [], [])
        while ahead is not None:
            table = [ahead, *islice(every, min(block_rows, 2**31) - 1)]
            ahead = next(every, None)
            line_num = rows.line_num
            block = _block(names, table, numbers)
            done += block.size
            # of the rows that have been read, some may be the next blocks'
            block.share = share_read(lines.characters) * (done / max(line_num - 1, done) if ahead is not None else 1.0)
            if ahead is None and not lines.ended:
                _say_where_it_ends(block, block.size - 1)
            del table
            yield block
    except csv.Error as error:
        raise FileError(f"{name}: after line {line_num}: {error}; is it UTF-8 text, every quotation mark in pairs?") from None


def _say_where_it_ends(block: Block, row: int) -> None:
    if row in block.problems:
        block.problems[row] += f"; {_NO_LINE_END}"
    else:
        block.warnings[row] = _NO_LINE_END


def _separator(first: str, name: str) -> str:
    """The sign that parts the first line into names that are known; where two do, it must be told."""
    best, *others = separators_of(first, is_ours)
    if others:
        told = " and ".join(map(repr, (best, *others)))
        raise FileError(f"{name}: the first line holds {told}: say by --separator which of them parts the columns")
    return best


def _decimal(names: list[str], rows: list[list[str]], name: str) -> str:
    """The decimal sign of the numbers in a file that is not separated by commas; where both could be meant, it must be told."""
    where = [i for i, n in enumerate(names) if is_number_column(n)]
    try:
        return decimal_sign(row[i] for row in rows for i in where if i < len(row))
    except InputError as unclear:
        raise FileError(f"{name}: {unclear}: say by --decimal which sign is the decimal one") from None


def _block(names: list[str], lines: list[list[str]], numbers: list[int]) -> Block:
    width = len(names)
    lines = [line if len(line) <= width or any(map(str.strip, line[width:])) else line[:width] for line in lines]
    odd = {row: len(line) for row, line in enumerate(lines) if len(line) != width}
    problems = {row: f"the row has {counted(n, 'cell')}, the first line names {width}" for row, n in odd.items()}
    even = [line if len(line) == width else (line + [""] * width)[:width] for line in lines] if problems else lines
    columns = [list(c) for c in zip(*even, strict=True)] if even else [[] for _ in names]
    for i in numbers:
        for row, cell in enumerate(columns[i]):
            text = cell.strip()
            if "." not in text:
                columns[i][row] = text.replace(",", ".")
            else:
                told = f"{names[i]} = {text!r}: the decimals of this file are written with a comma"
                problems[row] = f"{problems[row]}; {told}" if row in problems else told
    return Block({n: np.array(c, dtype=object) for n, c in zip(names, columns, strict=True)}, problems)


def check_names(names: list[str], where: str) -> None:
    """Every column has a name, and its own.

    Raises
    ------
    FileError
    """
    if len(names) > MOST_COLUMNS:
        raise FileError(f"{where}: the first line names {len(names):,} columns; {MOST_COLUMNS:,} are the most that a table may have")
    if "" in names:
        nameless = names.index("") + 1
        raise FileError(f"{where}: column {nameless} has no name in the first line, which must be the line of names: name it, or take it out")
    for n, times in Counter(names).items():
        if times > 1:
            raise FileError(f"{where}: the column {n} stands there more than once")
