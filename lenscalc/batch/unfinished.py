"""A run that is not done yet: a folder beside the result that holds the finished blocks and a journal of them."""

from __future__ import annotations

import json
import os
import shutil
import zlib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from lenscalc.batch.lock import LOCK, lock_in
from lenscalc.batch.statement import as_json, differences
from lenscalc.errors import FileError, InputError

_OURS = ("state.json", "state.json.new", "journal", "result", "statement.json", "old", LOCK)


class Entry(NamedTuple):
    """One finished block: its rows, how many of them have a problem, its bytes and their checksum (CRC-32)."""

    rows: int
    problems: int
    length: int
    crc: int


class Unfinished:
    """The folder `NAME.unfinished`. `result` in it is what has been written so far, a file or a folder of parts."""

    def __init__(self, target: str, identity: Mapping[str, Any]) -> None:
        self.folder = Path(f"{target.rstrip('/' + os.sep)}.unfinished")
        self.result = self.folder / "result"
        self.target, self.identity = target, dict(identity)
        self.locked: Any = None

    def start(self, *, resume: bool) -> list[Entry]:
        """The blocks that an interrupted run has finished; without `resume` none, and the folder is new.

        Raises
        ------
        InputError
            where the interrupted run had another input or other settings, or, without `resume`, where it had the same.
        FileError
            for a folder of this name that is not ours, or that another run is writing to.
        """
        self._lock()
        try:
            return self._start(resume)
        except BaseException:
            self._unlock()
            raise

    def _start(self, resume: bool) -> list[Entry]:
        left = self._state()
        entries = self._entries()
        if left is not None and entries:
            differ = differences(left, self.identity)
            rows = sum(e.rows for e in entries)
            if resume and differ:
                raise InputError(
                    f"{self.folder}: the interrupted run cannot go on, it had another input or other settings ({'; '.join(differ)}); run without "
                    "--resume to begin anew"
                )
            if resume:
                return entries
            if not differ:
                raise InputError(
                    f"{self.folder}: {rows:,} finished rows of this very run are here; go on with --resume, or delete the folder to begin anew"
                )
        self._empty()
        new = self.folder / "state.json.new"
        new.write_text(as_json(self.identity), encoding="utf-8")
        os.replace(new, self.folder / "state.json")
        return []

    def add(self, entry: Entry) -> None:
        """Note a block as finished; its bytes must have been written before."""
        with (self.folder / "journal").open("a", encoding="ascii") as journal:
            journal.write(json.dumps(entry) + "\n")

    def shorten(self, entries: list[Entry]) -> None:
        """Keep these entries of the journal alone."""
        new = self.folder / "state.json.new"
        new.write_text("".join(json.dumps(e) + "\n" for e in entries), encoding="ascii")
        os.replace(new, self.folder / "journal")

    def put(self, path: str, statement: Mapping[str, Any]) -> None:
        """The result under its name, its statement beside it; the old statement goes first: none may stand beside a result not its own."""
        beside = Path(f"{path}.json")
        sync(self.result)
        (self.folder / "statement.json").write_text(as_json(statement), encoding="utf-8")
        beside.unlink(missing_ok=True)
        os.replace(self.result, path)
        if statement:
            os.replace(self.folder / "statement.json", beside)
        self.drop()

    def leave(self, *, keep: bool) -> None:
        """End the run: with `keep` the folder waits for whoever goes on."""
        if keep:
            self._unlock()
        else:
            self.drop()

    def drop(self) -> None:
        """Delete the folder.

        Raises
        ------
        FileError
            for a folder of this name that is not ours, or that another run is writing to.
        """
        if not os.path.lexists(self.folder):
            self._unlock()
            return
        self._lock()
        try:
            self._empty()
            (self.folder / LOCK).unlink()
            with suppress(OSError):  # another run has come in between: the folder is that one's now
                self.folder.rmdir()
        finally:
            self._unlock()

    def _empty(self) -> None:
        self._check_ours()
        for path in self.folder.iterdir():
            if path.is_dir():
                shutil.rmtree(path)
            elif path.name != LOCK:
                path.unlink()

    def _check_ours(self) -> None:
        strange = [p.name for p in self.folder.iterdir() if p.name not in _OURS]
        if strange:
            raise FileError(f"{self.folder}: holds {strange[0]!r}, which no run put there: move it away")

    def _lock(self) -> None:
        if self.locked is not None:
            return
        if self.folder.exists():
            if not self.folder.is_dir():
                raise FileError(f"{self.folder}: is a file, which no run put there: move it away")
            self._check_ours()
        self.locked = lock_in(self.folder)
        if self.locked is None:
            raise FileError(f"{self.target}: another run is writing it at this moment; wait for its end, or give another name")

    def _unlock(self) -> None:
        if self.locked is not None:
            self.locked.close()
            self.locked = None

    def _state(self) -> dict[str, Any] | None:
        try:
            state: dict[str, Any] = json.loads((self.folder / "state.json").read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None
        return state

    def _entries(self) -> list[Entry]:
        """The journal up to its first line that is torn."""
        entries = []
        try:
            for line in (self.folder / "journal").read_text(encoding="ascii").splitlines(keepends=True):
                if not line.endswith("\n"):
                    break
                entries.append(Entry(*json.loads(line)))
        except (OSError, ValueError, TypeError):
            pass
        return entries


def whole_blocks(path: Path, entries: list[Entry]) -> int:
    """How many of the journal's blocks stand in a file as they were written, from its beginning."""
    if not path.is_file():
        return 0
    with path.open("rb") as file:
        for i, entry in enumerate(entries):
            if crc_of(file, entry.length) != (entry.length, entry.crc):
                return i
    return len(entries)


def crc_of(file: Any, length: int) -> tuple[int, int]:
    """Bytes read and their checksum, without holding them."""
    crc, left = 0, length
    while left and (data := file.read(min(left, 1 << 20))):
        crc, left = zlib.crc32(data, crc), left - len(data)
    return length - left, crc


def sync(path: Path) -> None:
    """Wait until a file's bytes are on the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
