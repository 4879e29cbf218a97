"""CSV out: one file that grows, packed or not; or a pipe."""

from __future__ import annotations

import gzip
import os
import sys
import zlib
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

from lenscalc.batch.unfinished import Entry, Unfinished, whole_blocks
from lenscalc.batch.write_csv import csv_block

MS_A_ROW = 0.02


def csv_bytes(columns: dict[str, Any], types: Mapping[str, Any], *, first: bool, packing: str) -> bytes:
    """A block as it stands in the file. A packed one is a member of its own, so that a run can go on behind any of them."""
    data = csv_block(columns, first_line=first).encode()
    if packing == ".gz":
        return gzip.compress(data, compresslevel=6, mtime=0)
    if packing == ".zst":
        import pyarrow as pa

        return bytes(pa.compress(data, codec="zstd", asbytes=True))
    return data


class PipeTarget:
    """CSV to standard output."""

    ms_a_row = MS_A_ROW
    kept = None
    encode = staticmethod(partial(csv_bytes, packing=""))

    def start(self, *, resume: bool) -> list[Entry]:
        """Nothing is there."""
        return []

    def append(self, data: bytes, rows: int, problems: int) -> None:
        """Write it out."""
        sys.stdout.write(data.decode())

    def finish(self, statement: Mapping[str, Any]) -> None:
        """Nothing is held back."""
        sys.stdout.flush()

    def give_up(self, *, keep: bool) -> None:
        """Nothing is open."""


class CsvTarget:
    """One file that grows, block by block."""

    ms_a_row = MS_A_ROW

    def __init__(self, path: str, state: Unfinished) -> None:
        self.path, self.state = path, state
        self.file: Any = None

    @property
    def encode(self) -> Callable[..., bytes]:
        """The block as bytes of the file."""
        return partial(csv_bytes, packing=Path(self.path).suffix.lower())

    @property
    def kept(self) -> Path:
        """The folder of the unfinished run."""
        return self.state.folder

    def start(self, *, resume: bool) -> list[Entry]:
        """The blocks that stand whole in the file; what lies behind them is cut off."""
        entries = self.state.start(resume=resume)
        entries = entries[: whole_blocks(self.state.result, entries)]
        self.state.shorten(entries)
        self.file = self.state.result.open("r+b" if entries else "w+b")
        self.file.truncate(sum(e.length for e in entries))
        self.file.seek(0, os.SEEK_END)
        return entries

    def append(self, data: bytes, rows: int, problems: int) -> None:
        """One more block at the end."""
        self.file.write(data)
        self.file.flush()
        self.state.add(Entry(rows, problems, len(data), zlib.crc32(data)))

    def finish(self, statement: Mapping[str, Any]) -> None:
        """The file under its name, its statement beside it."""
        self.file.close()
        self.state.put(self.path, statement)

    def give_up(self, *, keep: bool) -> None:
        """Close the file."""
        if self.file:
            with suppress(OSError):  # a full disk is told once
                self.file.close()
        self.state.leave(keep=keep)
