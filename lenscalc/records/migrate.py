"""A store brought to the version of this program: created, or migrated with its data after a copy has been put aside."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, insert, inspect

from lenscalc.errors import FileError
from lenscalc.own_file import refuse_device
from lenscalc.records import tables as t
from lenscalc.records.backup import copy_file
from lenscalc.records.database import Database, revision_of


def migrated(database: Database, *, create: bool) -> Path | None:
    """Bring the store to this version; the path of the copy that was put aside, if it was an older one.

    Raises
    ------
    FileError
        where there is no store and none is to be created, where the database is something else, or of a newer version.
    """
    if database.is_file:
        _prepare_file(Path(database.place), create=create)
    known = {r.revision for r in _script().walk_revisions()}
    with database.reading() as connection:
        before = revision_of(connection)
        if before == t.REVISION:
            return None
        _refuse_other(database, connection, before, known, create=create)
    if database.is_file:
        _write_ahead(database)
    with database.writing() as connection:
        before = revision_of(connection)
        if before == t.REVISION:  # another process was quicker
            return None
        aside = _put_aside(database, before) if before and database.is_file else None
        upgrade_to(connection, t.REVISION)
        if before is None:
            connection.execute(insert(t.stores).values(id=uuid.uuid4().hex, began_at_utc=datetime.now(UTC).replace(tzinfo=None)))
    return aside


def upgrade_to(connection: Connection, revision: str) -> None:
    """Run the revisions up to this one, in the connection's own transaction."""
    script = _script()
    environment = EnvironmentContext(Config(), script, fn=lambda rev, _: script._upgrade_revs(revision, rev), destination_rev=revision)
    with environment:
        environment.configure(connection=connection, version_table=t.REVISION_TABLE, transactional_ddl=True)
        environment.run_migrations()


def _script() -> ScriptDirectory:
    return ScriptDirectory(str(files("lenscalc.records") / "migrations"))


def _prepare_file(path: Path, *, create: bool) -> None:
    if path.is_dir():
        raise FileError(f"{path}: is a folder; name a file in it")
    refuse_device(path)
    if path.exists():
        return
    if not create:
        raise FileError(f"{path}: there is no store yet; `lenscalc records add SHEET.toml` begins one")
    if path.parent.name == "lenscalc":  # the default place, whose folder nobody makes by hand
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FileError(f"{path.parent}: {error.strerror or error}") from None


def _refuse_other(database: Database, connection: Connection, before: str | None, known: set[str], *, create: bool) -> None:
    if before is not None and before not in known:
        raise FileError(
            f"{database.place}: the store was written by a newer version of lenscalc (its revision {before}; this one knows up to {max(known)}): "
            "install the newer version"
        )
    if before is not None:
        return
    tables = set(inspect(connection).get_table_names())
    if tables & set(t.metadata.tables) or (tables and database.is_file):
        raise FileError(f"{database.place}: is no store of records: it holds tables of something else ({min(tables)}); name another by --store")
    if not create:
        raise FileError(f"{database.place}: there is no store yet; `lenscalc records add SHEET.toml` begins one")


def _write_ahead(database: Database) -> None:
    """Readers and a writer do not wait for each other in this mode. It stays with the file."""
    with database.told(), database.engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.execute("PRAGMA journal_mode = WAL")


def _put_aside(database: Database, before: str) -> Path:
    path = Path(database.place)
    for number in range(1, 1000):
        aside = path.with_name(f"{path.stem}.revision-{before}{'' if number == 1 else f'-{number}'}{path.suffix}")
        if not aside.exists():
            copy_file(path, aside)
            return aside
    raise FileError(f"{path}: a thousand copies of older revisions lie beside it: move them away")
