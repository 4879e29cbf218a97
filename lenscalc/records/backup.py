"""A copy of a store's file that is whole, taken while it is in use."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from lenscalc.errors import FileError


def copy_file(source: Path, target: Path) -> None:
    """Copy a store by the database's own backup: one state of it, whoever writes meanwhile. The copy appears under its name only when it is whole.

    Raises
    ------
    FileError
        where there is something of this name already, or it cannot be written.
    """
    if target.exists():
        raise FileError(f"{target}: is there already; name another file")
    unfinished = target.with_name(f"{target.name}.unfinished")
    try:
        unfinished.unlink(missing_ok=True)
        reader, writer = sqlite3.connect(source), sqlite3.connect(unfinished)
        try:
            reader.backup(writer)
        finally:
            reader.close()
            writer.close()
        with unfinished.open("rb") as written:
            os.fsync(written.fileno())
        os.replace(unfinished, target)
    except sqlite3.Error as error:
        raise FileError(f"{target}: the copy could not be written: {error}") from None
    except OSError as error:
        raise FileError(f"{target}: {error.strerror or error}") from None
