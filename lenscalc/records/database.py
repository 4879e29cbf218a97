"""One database, SQLite or PostgreSQL: how it is connected, how writers wait for each other, and what its errors say to a person."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import URL, Connection, create_engine, event, inspect, text
from sqlalchemy.engine import Engine
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from lenscalc.errors import FileError, InputError
from lenscalc.records.migrations.locks import REFUSAL
from lenscalc.records.place import in_words
from lenscalc.records.tables import REVISION_TABLE

_ONE_WRITER = 6_512_441_173_008_421_129  # the key of PostgreSQL's advisory lock: any number that nobody else takes
_SAYINGS = (  # what a driver's message holds, and what it means
    ("database is locked", "another program has been writing to the store for more than {wait_s:g} s; try again when it is done"),
    ("lock timeout", "another program has been writing to the store for more than {wait_s:g} s; try again when it is done"),
    ("disk is full", "no room is left on the disk; nothing was added, the store is as it was"),
    ("No space left", "no room is left on the disk; nothing was added, the store is as it was"),
    ("readonly", "may not be written to, or its folder may not; copy the store to a folder of yours, or name another place by --store"),
    ("unable to open", "cannot be opened: its folder does not exist, or may not be written to; name another place by --store"),
    ("not a database", "is no store of records: it is not a database; name another file by --store"),
    ("malformed", "the file is damaged; take the last backup, or the last export"),
    ("disk I/O error", "the disk is full, or does not answer as it should; nothing was added"),
    (REFUSAL, REFUSAL),
)


class Database:
    """A connection to make, and the two ways to use it. `wait_s`: how long a writer waits for another [s]."""

    def __init__(self, url: URL, wait_s: float) -> None:
        self.url, self.wait_s, self.place = url, wait_s, in_words(url)
        self.is_file = url.get_backend_name() == "sqlite"
        if not self.is_file:
            _need_psycopg()
        self.engine = _file_engine(url, wait_s) if self.is_file else _server_engine(url, wait_s)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One state of the database from beginning to end, whoever writes meanwhile."""
        with self.told(), self.engine.connect() as connection:
            if not self.is_file:
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """The only writer until the block ends; what it wrote is there as a whole, or not at all."""
        with self.told(), self.engine.connect().execution_options(writes=True) as connection, connection.begin():
            if not self.is_file:
                connection.execute(text(f"SET LOCAL lock_timeout = '{round(1000 * self.wait_s)}ms'"))
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ONE_WRITER})
            yield connection

    @contextmanager
    def told(self) -> Iterator[None]:
        """An error of the database becomes a sentence."""
        try:
            yield
        except DBAPIError as error:
            said = str(error.orig)
            for part, meaning in _SAYINGS:
                if part in said:
                    raise FileError(f"{self.place}: {meaning.format(wait_s=self.wait_s)}") from None
            first = said.strip().splitlines()[0] if said.strip() else type(error.orig).__name__
            raise FileError(f"{self.place}: the database does not answer as it should: {first}") from None


def revision_of(connection: Connection) -> str | None:
    """The revision of the store's tables; None where there are none."""
    if not inspect(connection).has_table(REVISION_TABLE):
        return None
    found = connection.execute(text(f"SELECT version_num FROM {REVISION_TABLE}")).scalar()
    return None if found is None else str(found)


def _file_engine(url: URL, wait_s: float) -> Engine:
    engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": wait_s})

    @event.listens_for(engine, "connect")
    def _connected(connection: sqlite3.Connection, _record: Any) -> None:
        connection.isolation_level = None  # transactions begin where we say so, not where the driver guesses
        for pragma in ("foreign_keys = ON", "recursive_triggers = ON", "synchronous = FULL"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN")

    return engine


def _server_engine(url: URL, wait_s: float) -> Engine:
    return create_engine(url, poolclass=NullPool, connect_args={"connect_timeout": max(2, round(wait_s))})


def _need_psycopg() -> None:
    from importlib.util import find_spec

    if find_spec("psycopg") is None:
        raise InputError("records in PostgreSQL need the package psycopg: pip install 'lenscalc[postgres]'")
