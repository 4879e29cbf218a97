"""Files out: blocks of columns into CSV, Parquet or Excel. A result appears under its name only when it is whole."""

from __future__ import annotations

import gzip
import os
import sys
import zlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Protocol

from lenscalc.batch.read import ending_of
from lenscalc.batch.statement import as_json
from lenscalc.batch.unfinished import Entry, Unfinished, crc_of, whole_blocks
from lenscalc.batch.write_csv import csv_block
from lenscalc.batch.write_parquet import METADATA_KEY, arrow_table
from lenscalc.errors import FileError, InputError

WRITES = ".csv, .csv.gz, .csv.zst, .parquet, .xlsx, or a name that ends with / for a folder of .parquet parts"
STATEMENT = "_statement.json"  # readers of Parquet folders pass over a name that begins so


class Target(Protocol):
    """Where blocks go."""

    def start(self, *, resume: bool) -> list[Entry]:
        """Blocks that are there already."""

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        """One more block, written and noted."""

    def finish(self, statement: Mapping[str, Any]) -> None:
        """Put the whole result under its name."""

    def give_up(self, *, keep: bool) -> None:
        """Close what is open; keep the finished blocks if they can be gone on with."""

    @property
    def kept(self) -> Path | None:
        """Where finished blocks lie, if they can be gone on with."""


def target_of(path: str, identity: Mapping[str, Any], *, resume: bool = False) -> Target:
    """The way to write a name: its ending says which kind it is, `-` is CSV to standard output.

    Raises
    ------
    FileError
        for an ending that is not written here, or a folder that is not there.
    InputError
        for `resume` where nothing can be gone on with.
    """
    if path == "-" or ending_of(path) == ".xlsx":
        if resume:
            raise InputError(f"{path}: a {'pipe' if path == '-' else 'workbook'} cannot be gone on with; write .csv or .parquet")
        return _Pipe() if path == "-" else _Excel(path)
    folder = path.endswith(("/", os.sep)) or Path(path).is_dir()
    ending = "/" if folder else ending_of(path)
    if ending not in ("/", ".csv", ".csv.gz", ".csv.zst", ".parquet"):
        raise FileError(f"{path}: {ending or 'no ending'} is not written here; use {WRITES}")
    _check_folder(path)
    state = Unfinished(path, {**identity, "kind": ending})
    if ending == "/":
        _check_ours(Path(path))
        return _Parts(path, state, joined=False)
    if ending == ".parquet":
        return _Parts(path, state, joined=True) if resume else _Parquet(path, state)
    return _Csv(path, state)


def write_blocks(path: str, blocks: Iterable[dict[str, Any]]) -> int:
    """Write blocks of equal columns; returns the number of rows. `-` is CSV to standard output.

    Raises
    ------
    FileError
        for an ending that is not written here, a folder that is not there, or more rows than Excel holds.
    """
    target = target_of(path, {})
    rows = 0
    try:
        if target.kept:
            Unfinished(path, {}).drop()
        target.start(resume=False)
        for columns in blocks:
            target.append(columns, {}, 0)
            rows += len(next(iter(columns.values())))
        target.finish({})
    except BaseException:
        target.give_up(keep=False)
        raise
    return rows


def _check_folder(path: str) -> None:
    if not Path(path).resolve().parent.is_dir():
        raise FileError(f"{path}: the folder is not there")


def _check_ours(folder: Path) -> None:
    if folder.is_file():
        raise FileError(f"{folder}: is a file, not a folder of parts")
    names = [p.name for p in folder.iterdir()] if folder.exists() else []
    strange = [n for n in names if n != STATEMENT and not (n.startswith("part-") and n.endswith(".parquet"))]
    if strange:
        raise FileError(f"{folder}: holds {strange[0]!r}, which is no part of a result: give another name")


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _put(state: Unfinished, path: str, statement: Mapping[str, Any]) -> None:
    """The result under its name, and its statement beside it. The old statement goes first: none may stand beside a result that is not its own."""
    beside = Path(f"{path}.json")
    _sync(state.result)
    (state.folder / "statement.json").write_text(as_json(statement), encoding="utf-8")
    beside.unlink(missing_ok=True)
    os.replace(state.result, path)
    if statement:
        os.replace(state.folder / "statement.json", beside)
    state.drop()


class _Pipe:
    """CSV to standard output."""

    kept = None

    def __init__(self) -> None:
        self.first = True

    def start(self, *, resume: bool) -> list[Entry]:
        return []

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        sys.stdout.write(csv_block(columns, first_line=self.first))
        self.first = False

    def finish(self, statement: Mapping[str, Any]) -> None:
        sys.stdout.flush()

    def give_up(self, *, keep: bool) -> None:
        pass


class _Csv:
    """CSV, packed or not: one file that grows. A packed block is a member of its own, so that a run can go on behind any of them."""

    def __init__(self, path: str, state: Unfinished) -> None:
        self.path, self.state, self.first = path, state, True
        self.file: Any = None

    @property
    def kept(self) -> Path:
        return self.state.folder

    def start(self, *, resume: bool) -> list[Entry]:
        entries = self.state.start(resume=resume)
        entries = entries[: whole_blocks(self.state.result, entries)]
        self.state.shorten(entries)
        self.file = self.state.result.open("r+b" if entries else "w+b")
        self.file.truncate(sum(e.length for e in entries))
        self.file.seek(0, os.SEEK_END)
        self.first = not entries
        return entries

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        data = self._packed(csv_block(columns, first_line=self.first).encode())
        self.file.write(data)
        self.file.flush()
        self.first = False
        self.state.add(Entry(len(next(iter(columns.values()))), problems, len(data), zlib.crc32(data)))

    def _packed(self, data: bytes) -> bytes:
        if self.path.lower().endswith(".gz"):
            return gzip.compress(data, compresslevel=6, mtime=0)
        if self.path.lower().endswith(".zst"):
            import pyarrow as pa

            return bytes(pa.compress(data, codec="zstd", asbytes=True))
        return data

    def finish(self, statement: Mapping[str, Any]) -> None:
        self.file.close()
        _put(self.state, self.path, statement)

    def give_up(self, *, keep: bool) -> None:
        if self.file:
            with suppress(OSError):  # a full disk is told once
                self.file.close()
        if not keep:
            self.state.drop()


class _Parts:
    """Parquet, a part a block: they become a folder, or are joined into one file at the end."""

    def __init__(self, path: str, state: Unfinished, *, joined: bool) -> None:
        self.path, self.state, self.joined, self.count = path, state, joined, 0

    @property
    def kept(self) -> Path:
        return self.state.folder

    def part(self, i: int) -> Path:
        return self.state.result / f"part-{i:06d}.parquet"

    def start(self, *, resume: bool) -> list[Entry]:
        entries = self.state.start(resume=resume)
        good = 0
        while good < len(entries) and whole_blocks(self.part(good), entries[good : good + 1]):
            good += 1
        self.state.shorten(entries[:good])
        self.state.result.mkdir(exist_ok=True)
        for path in self.state.result.iterdir():
            if path.name not in {self.part(i).name for i in range(good)}:
                path.unlink()
        self.count = good
        return entries[:good]

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        import pyarrow.parquet as pq

        path = self.part(self.count)
        table = arrow_table(columns, types)
        before = as_json(self.state.identity).encode()
        pq.write_table(table.replace_schema_metadata({METADATA_KEY: before}), path, row_group_size=max(table.num_rows, 1))
        with path.open("rb") as file:
            length, crc = crc_of(file, path.stat().st_size)
        self.state.add(Entry(table.num_rows, problems, length, crc))
        self.count += 1

    def finish(self, statement: Mapping[str, Any]) -> None:
        if self.joined:
            self._join(statement)
            return
        for path in self.state.result.iterdir():
            _sync(path)
        (self.state.result / STATEMENT).write_text(as_json(statement), encoding="utf-8")
        target = Path(self.path)
        if target.exists():
            os.replace(target, self.state.folder / "old")
        os.replace(self.state.result, target)
        self.state.drop()

    def _join(self, statement: Mapping[str, Any]) -> None:
        import pyarrow.parquet as pq

        whole = _Parquet(self.path, self.state)
        whole.file = self.state.folder / "old"  # a name that the folder may hold; it moves to the result's place when it is whole
        try:
            for i in range(self.count):
                whole.add(pq.ParquetFile(self.part(i)).read().replace_schema_metadata(None))
            whole.close(statement)
        except BaseException:
            whole.close({})
            whole.file.unlink(missing_ok=True)
            raise
        _sync(whole.file)
        os.replace(whole.file, self.path)
        self.state.drop()

    def give_up(self, *, keep: bool) -> None:
        if not keep:
            self.state.drop()


class _Parquet:
    """One Parquet file, a block a group of rows. Its footer comes last: what is there of a killed one cannot be read, nor gone on with."""

    kept = None

    def __init__(self, path: str, state: Unfinished) -> None:
        self.path, self.state, self.file = path, state, state.result
        self.writer: Any = None

    def start(self, *, resume: bool) -> list[Entry]:
        return self.state.start(resume=False)

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        self.add(arrow_table(columns, types))

    def add(self, table: Any) -> None:
        import pyarrow.parquet as pq

        if self.writer is None:
            self.writer = pq.ParquetWriter(self.file, table.schema)
        self.writer.write_table(table, row_group_size=max(table.num_rows, 1))

    def close(self, statement: Mapping[str, Any]) -> None:
        if self.writer is not None:
            writer, self.writer = self.writer, None
            if statement:
                writer.add_key_value_metadata({METADATA_KEY.decode(): as_json(statement)})
            writer.close()

    def finish(self, statement: Mapping[str, Any]) -> None:
        self.close(statement)
        _sync(self.file)
        os.replace(self.file, self.path)
        self.state.drop()

    def give_up(self, *, keep: bool) -> None:
        with suppress(OSError):
            self.close({})
        self.state.drop()


class _Excel:
    """One workbook."""

    kept = None

    def __init__(self, path: str) -> None:
        from lenscalc.batch.write_excel import Workbook

        _check_folder(path)
        self.path, self.state, self.book = path, Unfinished(path, {"kind": ".xlsx"}), Workbook()

    def start(self, *, resume: bool) -> list[Entry]:
        return self.state.start(resume=False)

    def append(self, columns: dict[str, Any], types: Mapping[str, Any], problems: int) -> None:
        self.book.append(columns)

    def finish(self, statement: Mapping[str, Any]) -> None:
        self.book.save(self.state.result)
        _put(self.state, self.path, statement)

    def give_up(self, *, keep: bool) -> None:
        self.state.drop()
