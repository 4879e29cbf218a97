"""A store opened where it lies: begun, migrated, or read from a copy."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from lenscalc.errors import FileError
from lenscalc.records.backup import copy_file
from lenscalc.records.database import Database, revision_of
from lenscalc.records.place import url_of
from lenscalc.records.store import Store
from lenscalc.records.tables import REVISION


def open_store(place: str | Path | None = None, *, create: bool = True, wait_s: float = 30.0) -> Store:
    """The store in a file, or in PostgreSQL by its URL; by default the file in the user's data folder.

    An older store is migrated with its data; of a file a copy is put aside first. `wait_s`: how long to wait for another program that writes [s].

    Raises
    ------
    FileError
        for a place that cannot be used: read-only, not a database, something else's database, of a newer version, locked.
    InputError
        for a URL that is neither SQLite's nor PostgreSQL's, or PostgreSQL without its package.
    """
    database = Database(url_of(place), wait_s)
    if _is_current(database):
        return Store(database)
    from lenscalc.records.migrate import migrated  # Alembic, which a store of this version does not need

    return Store(database, aside=migrated(database, create=create))


def is_begun(place: str | Path | None = None) -> bool:
    """Whether there is a store at this place yet, whatever its version."""
    database = Database(url_of(place), 5.0)
    if database.is_file and not Path(database.place).exists():
        return False
    with database.reading() as connection:
        return revision_of(connection) is not None


def _is_current(database: Database) -> bool:
    if database.is_file and not Path(database.place).is_file():
        return False
    with database.reading() as connection:
        return revision_of(connection) == REVISION


@contextmanager
def open_copy(place: str | Path) -> Iterator[Store]:
    """Another store to read from, left as it is whatever its version: of a file a copy is opened, a PostgreSQL database itself.

    Raises
    ------
    FileError
        where there is none, or it cannot be read.
    """
    url = url_of(place)
    if url.get_backend_name() != "sqlite":
        with open_store(place, create=False) as store:
            yield store
        return
    source = Path(str(url.database))
    if not source.is_file():
        raise FileError(f"{source}: there is no store")
    with TemporaryDirectory() as folder:
        copy_file(source, Path(folder) / source.name)
        with open_store(Path(folder) / source.name, create=False) as store:
            yield store
