"""A copy of a store's file that is whole, taken while it is in use."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from lenscalc.errors import FileError
from lenscalc.own_file import whole_file


def copy_file(source: Path, target: Path) -> None:
    """Copy a store by the database's own backup: one state of it, whoever writes meanwhile. The copy appears under its name only when it is whole.

    Raises
    ------
    FileError
        where the source is no database, there is something of the target's name already, or it cannot be written.
    """
    if target.exists():
        raise FileError(f"{target}: is there already; name another file")
    with closing(_reader(source)) as reader, whole_file(target) as part:
        part.unlink(missing_ok=True)
        try:
            with closing(sqlite3.connect(part)) as writer:
                reader.backup(writer)
        except sqlite3.Error as error:
            raise FileError(f"{target}: the copy could not be written: {error}") from None


def _reader(source: Path) -> sqlite3.Connection:
    """A connection that only reads; on a medium that cannot be written the file as it stands, if nothing waits beside it to be taken in."""
    waiting = source.with_name(f"{source.name}-wal")
    alone = not os.access(source.parent, os.W_OK) and not (waiting.exists() and waiting.stat().st_size)
    connection = None
    try:
        connection = sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro{'&immutable=1' if alone else ''}", uri=True)
        connection.execute("SELECT count(*) FROM sqlite_master")
    except sqlite3.Error as error:
        if connection is not None:
            connection.close()
        raise FileError(f"{source}: cannot be read as a store: {error}") from None
    return connection
