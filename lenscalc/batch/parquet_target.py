"""Parquet out: a part a block, which become a folder or are joined; or one file at once."""

from __future__ import annotations

import io
import os
import zlib
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

from lenscalc.batch.statement import as_json
from lenscalc.batch.unfinished import Entry, Unfinished, sync, whole_blocks
from lenscalc.batch.write_parquet import METADATA_KEY, arrow_table, options_for
from lenscalc.errors import FileError

STATEMENT = "_statement.json"  # readers of Parquet folders pass over a name that begins so


def check_ours(folder: Path) -> None:
    """Refuse a folder that holds anything but parts of a result.

    Raises
    ------
    FileError
    """
    if folder.is_file():
        raise FileError(f"{folder}: is a file, not a folder of parts")
    names = [p.name for p in folder.iterdir()] if folder.exists() else []
    strange = [n for n in names if n != STATEMENT and not (n.startswith("part-") and n.endswith(".parquet"))]
    if strange:
        raise FileError(f"{folder}: holds {strange[0]!r}, which is no part of a result: give another name")


def part_bytes(columns: dict[str, Any], types: Mapping[str, Any], *, first: bool, identity: str) -> bytes:
    """A block as a whole Parquet file, which says what it came from."""
    import pyarrow.parquet as pq

    table = arrow_table(columns, types).replace_schema_metadata({METADATA_KEY: identity.encode()})
    out = io.BytesIO()
    pq.write_table(table, out, row_group_size=max(table.num_rows, 1), **options_for(table.schema))
    return out.getvalue()


def as_table(columns: dict[str, Any], types: Mapping[str, Any], *, first: bool) -> Any:
    """A block as an Arrow table, for a file that is written at once."""
    return arrow_table(columns, types)


class PartsTarget:
    """A part a block: they become a folder, or are joined into one file at the end."""

    ms_a_row = 0.0

    def __init__(self, path: str, state: Unfinished, *, joined: bool) -> None:
        self.path, self.state, self.joined, self.count = path, state, joined, 0

    @property
    def encode(self) -> Callable[..., bytes]:
        """The block as bytes of a part."""
        return partial(part_bytes, identity=as_json(self.state.identity))

    @property
    def kept(self) -> Path:
        """The folder of the unfinished run."""
        return self.state.folder

    def part(self, i: int) -> Path:
        """Where a block lies."""
        return self.state.result / f"part-{i:06d}.parquet"

    def start(self, *, resume: bool) -> list[Entry]:
        """The parts that are whole; what lies behind them is deleted."""
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

    def append(self, data: bytes, rows: int, problems: int) -> None:
        """One part more."""
        self.part(self.count).write_bytes(data)
        self.state.add(Entry(rows, problems, len(data), zlib.crc32(data)))
        self.count += 1

    def finish(self, statement: Mapping[str, Any]) -> None:
        """The folder under its name with its statement in it, or the joined file."""
        if self.joined:
            self._join(statement)
            return
        for path in self.state.result.iterdir():
            sync(path)
        (self.state.result / STATEMENT).write_text(as_json(statement), encoding="utf-8")
        target = Path(self.path)
        if target.exists():
            os.replace(target, self.state.folder / "old")
        os.replace(self.state.result, target)
        self.state.drop()

    def _join(self, statement: Mapping[str, Any]) -> None:
        import pyarrow.parquet as pq

        whole = OneParquetTarget(self.path, self.state)
        whole.file = self.state.folder / "old"  # a name that the folder may hold; it moves to the result's place when it is whole
        try:
            for i in range(self.count):
                table = pq.ParquetFile(self.part(i)).read().replace_schema_metadata(None)
                whole.append(table, table.num_rows, 0)
            whole.close(statement)
        except BaseException:
            whole.close({})
            whole.file.unlink(missing_ok=True)
            raise
        sync(whole.file)
        os.replace(whole.file, self.path)
        self.state.drop()

    def give_up(self, *, keep: bool) -> None:
        """Nothing is open."""
        self.state.leave(keep=keep)


class OneParquetTarget:
    """One Parquet file, a block a group of rows. Its footer comes last: what is there of a killed one cannot be read, nor gone on with."""

    ms_a_row = 0.0
    kept = None
    encode = staticmethod(as_table)

    def __init__(self, path: str, state: Unfinished) -> None:
        self.path, self.state, self.file = path, state, state.result
        self.writer: Any = None

    def start(self, *, resume: bool) -> list[Entry]:
        """Nothing of an earlier run can be used."""
        return self.state.start(resume=False)

    def append(self, data: Any, rows: int, problems: int) -> None:
        """One group of rows more."""
        import pyarrow.parquet as pq

        if self.writer is None:
            self.writer = pq.ParquetWriter(self.file, data.schema, **options_for(data.schema))
        self.writer.write_table(data, row_group_size=max(rows, 1))

    def close(self, statement: Mapping[str, Any]) -> None:
        """The footer, with the statement."""
        if self.writer is not None:
            writer, self.writer = self.writer, None
            if statement:
                writer.add_key_value_metadata({METADATA_KEY.decode(): as_json(statement)})
            writer.close()

    def finish(self, statement: Mapping[str, Any]) -> None:
        """The file under its name."""
        self.close(statement)
        sync(self.file)
        os.replace(self.file, self.path)
        self.state.drop()

    def give_up(self, *, keep: bool) -> None:
        """Nothing can be kept."""
        with suppress(OSError):
            self.close({})
        self.state.leave(keep=False)
