"""Stores for the tests: a file, and a database of a real PostgreSQL server that the session starts for itself."""

import os
import shutil
import subprocess
import tempfile
import uuid
from pathlib import Path

import pytest

from lenscalc.records import open_store

WANTED = "REQUIRE_POSTGRES" in os.environ  # where a server was promised, its absence is a failure


def _binaries():
    found = shutil.which("initdb")
    folders = [Path(found).parent] if found else sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: int(p.parent.name))
    return folders[-1] if folders else None


@pytest.fixture(scope="session")
def postgres():
    """The URL of a server's maintenance database, reached by a socket in a folder of its own; one server a session."""
    pytest.importorskip("psycopg", reason="psycopg is not installed") if not WANTED else __import__("psycopg")
    binaries = _binaries()
    if binaries is None:
        assert not WANTED, "REQUIRE_POSTGRES is set, and there is no PostgreSQL on this machine"
        pytest.skip("no PostgreSQL on this machine")
    by_another = shutil.which("runuser", path=f"{os.environ['PATH']}:/usr/sbin:/sbin")
    as_owner = [by_another, "-u", "postgres", "--"] if os.geteuid() == 0 else []  # initdb refuses root
    folder = Path(tempfile.mkdtemp(prefix="pg"))  # a socket's path must be short
    if as_owner:
        shutil.chown(folder, "postgres")
    try:
        run = {"check": True, "capture_output": True, "cwd": folder, "timeout": 120}
        subprocess.run([*as_owner, binaries / "initdb", "-D", folder / "data", "-U", "lab", "-A", "trust", "-N", "-E", "UTF8"], **run)
        options = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off -c full_page_writes=off -c shared_buffers=16MB"
        # the server inherits no pipe: its end would never come
        subprocess.run([*as_owner, binaries / "pg_ctl", "-D", folder / "data", "-l", folder / "log", "-w", "-o", options, "start"],
                       **{**run, "capture_output": False, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL})  # fmt: skip
        try:
            yield f"postgresql://lab@/postgres?host={folder}"
        finally:
            subprocess.run([*as_owner, binaries / "pg_ctl", "-D", folder / "data", "-m", "immediate", "stop"], **run)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _new_schema(postgres):
    """A schema of its own is made in a moment; a database would take a second."""
    import psycopg

    name = f"lab_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(postgres, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {name}")
    return f"{postgres}&options=-csearch_path%3D{name}"


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path):
    """Where a store may begin: a path, or the URL of an empty schema."""
    return str(tmp_path / "store.db") if request.param == "sqlite" else _new_schema(request.getfixturevalue("postgres"))


@pytest.fixture
def another_place(place, request, tmp_path):
    """A second one of the same kind."""
    return str(tmp_path / "another.db") if "://" not in place else _new_schema(request.getfixturevalue("postgres"))


@pytest.fixture
def store(place):
    with open_store(place) as opened:
        yield opened
