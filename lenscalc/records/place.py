"""Where a store lies: one file in the user's data folder unless something else is said, or a PostgreSQL database by its URL."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from sqlalchemy import URL
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from lenscalc.errors import FileError, InputError
from lenscalc.own_file import path_of

FILE_NAME = "records.db"
VARIABLE = "LENSCALC_STORE"  # the environment variable that names another place


def default_path(environment: Mapping[str, str] = os.environ, platform: str = sys.platform) -> Path:
    """The file in the user's data folder: XDG_DATA_HOME on Linux, the usual folders elsewhere.

    >>> default_path({"XDG_DATA_HOME": "/data"}, "linux").as_posix()
    '/data/lenscalc/records.db'
    """
    if platform == "win32":
        folder = Path(environment.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif platform == "darwin":
        folder = Path.home() / "Library" / "Application Support"
    else:
        folder = Path(environment.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return folder / "lenscalc" / FILE_NAME


def url_of(store: str | Path | None) -> URL:
    """The database's URL of a path, a URL, or None for the usual place: where LENSCALC_STORE says, or the user's data folder.

    Raises
    ------
    InputError
        for a URL that is not one of SQLite or PostgreSQL.
    """
    if store is None:
        store = os.environ.get(VARIABLE) or default_path()
    text = str(store)
    if "://" not in text:
        return _of_file(Path(text))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        raise InputError("the store: not a URL that can be read; write postgresql://USER@HOST/DATABASE, or the path of a file") from None
    backend = url.drivername.split("+")[0]
    if backend == "sqlite" and url.database:
        return _of_file(Path(url.database))
    if backend in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    raise InputError(f"{backend}: records are kept in a file (its path) or in PostgreSQL (postgresql://USER@HOST/DATABASE)")


def in_words(url: URL) -> str:
    """The place for a sentence, without a password."""
    return str(url.database) if url.get_backend_name() == "sqlite" else url.set(drivername="postgresql").render_as_string(hide_password=True)


def _of_file(path: Path) -> URL:
    try:
        own = path.expanduser()
    except RuntimeError:
        raise FileError(f"{path}: there is no home folder of that name") from None
    return URL.create("sqlite+pysqlite", database=str(path_of(own).absolute()))
