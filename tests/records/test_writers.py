"""Several writers, a writer that dies, and places where nothing can be written."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from itertools import pairwise

import pytest
from record_sheets import sheet
from sqlalchemy import event, text

from lenscalc.errors import FileError, InputError
from lenscalc.records import open_store
from lenscalc.records import place as place_module

ADD = """
import sys
sys.path.insert(0, sys.argv[3])
from record_sheets import sheet
from lenscalc.records import open_store
with open_store(sys.argv[1], wait_s=300.0) as store:
    for i in range(int(sys.argv[4])):
        store.add_sheet(sheet(lot=f"{sys.argv[2]}-{i}"))
        print(i, flush=True)
"""
HERE = os.path.dirname(__file__)


def _adding(place, name, count):
    return subprocess.Popen([sys.executable, "-c", ADD, place, name, HERE, str(count)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_two_processes_that_add_at_once_lose_nothing(place):
    """They begin the store together, too."""
    adding = [_adding(place, name, 8) for name in "AB"]
    for process in adding:
        _, errors = process.communicate(timeout=600)
        assert process.returncode == 0, errors
    with open_store(place, create=False) as store:
        records = store.records()
        assert sorted(r.lot for r in records) == sorted(f"{name}-{i}" for name in "AB" for i in range(8))
        ordered = sorted(records, key=lambda r: r.section("record")["number"])
        assert [r.section("record")["number"] for r in ordered] == list(range(1, 17))
        for before, after in pairwise(ordered):  # one line, no branches
            assert after.section("record")["previous"] == [before.hash]
        found = store.check()
        assert (found.problems, found.remarks) == ((), ())


def test_a_writer_that_is_killed_leaves_a_whole_store(place):
    with open_store(place) as store:
        first = store.add_sheet(sheet())
    killed = ADD.replace("with open_store", "import os, signal\nimport lenscalc.records.adding as m\nwhole = m.found\n"
                         "def found(c, h):\n    os.kill(os.getpid(), signal.SIGKILL)\nm.found = found\nwith open_store", 1)  # fmt: skip
    done = subprocess.run([sys.executable, "-c", killed, place, "K", HERE, "1"], capture_output=True, text=True)
    assert done.returncode == -signal.SIGKILL, done.stderr  # every row was written, nothing was committed
    with open_store(place, create=False, wait_s=300.0) as store:
        assert [r.hash for r in store.records()] == [first.hash]
        assert store.check().problems == ()
        assert store.add_sheet(sheet(lot="after")).section("record")["number"] == 2
        assert store.check().problems == ()


def test_a_writer_that_is_killed_at_any_time_leaves_what_it_had_done(place):
    done = 0
    for attempt in range(3):
        process = _adding(place, f"T{attempt}", 1000)
        for _ in range(2 + attempt):
            process.stdout.readline()
        time.sleep(0.013 * attempt)
        process.kill()
        said = 2 + attempt + len(process.stdout.read().split())
        process.wait()
        process.stderr.close()
        process.stdout.close()
        with open_store(place, create=False, wait_s=300.0) as store:
            with store.database.writing():
                pass  # a server ends what it was told last: until then the killed writer is the one that writes
            kept = len(store.records())
            assert done + said <= kept <= done + said + 1  # the last may have been kept before it could be said
            assert store.check().problems == ()
        done = kept


def test_a_store_that_is_locked_too_long(place):
    with open_store(place) as store, open_store(place, wait_s=0.2) as waiting, store.database.writing():
        with pytest.raises(FileError, match=r"another program has been writing to the store for more than 0\.2 s; try again"):
            waiting.add_sheet(sheet())
        assert waiting.records() == []  # who only reads does not wait


def test_a_disk_that_is_full(tmp_path):
    with open_store(tmp_path / "store.db") as store:
        first = store.add_sheet(sheet())

        @event.listens_for(store.database.engine, "connect")
        def _no_room(connection, _):
            connection.execute("PRAGMA max_page_count = 1")  # no page more than there are

        with pytest.raises(FileError, match="no room is left on the disk; nothing was added"):
            store.add_sheet(sheet("2026-11-21", n=[1.49 + i * 1e-7 for i in range(3000)]))
        assert [r.hash for r in store.records()] == [first.hash]
        assert store.check().problems == ()


@pytest.mark.parametrize("what", ["folder", "file"])
def test_a_place_where_nothing_may_be_written(tmp_path, what):
    """Root may write everywhere: the attempt is made by a process that gave that right up."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    with open_store(folder / "store.db") as store:
        store.add_sheet(sheet())
    code = (
        "import ctypes, sys\n"
        "sys.path.insert(0, sys.argv[2])\n"
        "from lenscalc.errors import FileError\n"
        "from lenscalc.records import open_store\n"
        "from record_sheets import sheet\n"
        "libc = ctypes.CDLL(None, use_errno=True)\n"
        "version = (ctypes.c_uint32 * 2)(0x20080522, 0)\n"
        "rights = (ctypes.c_uint32 * 6)()  # effective, permitted and inheritable, two words each: capget(2)\n"
        "assert libc.capget(version, rights) == 0\n"
        "for word in range(3):\n    rights[word] &= ~(1 << 1)  # CAP_DAC_OVERRIDE: capabilities(7)\n"
        "assert libc.capset(version, rights) == 0\n"
        "try:\n    open_store(sys.argv[1]).add_sheet(sheet(lot='x'))\nexcept FileError as error:\n    print(error)\n"
    )
    folder.chmod(0o555)
    (folder / "store.db").chmod(0o444)
    target = folder / ("store.db" if what == "file" else "new.db")
    done = subprocess.run([sys.executable, "-c", code, target, HERE], capture_output=True, text=True)
    folder.chmod(0o755)
    assert done.stderr == ""
    assert done.stdout.startswith(f"{target}: ")
    assert "may not be written to" in done.stdout
    assert not (folder / "new.db").exists()


def test_places_that_are_no_store(tmp_path):
    (tmp_path / "letter.txt").write_text("Dear colleague, " * 500)
    for where, said in (
        (tmp_path / "letter.txt", "is no store of records: it is not a database"),
        (tmp_path, "is a folder; name a file in it"),
        (tmp_path / "no-such-folder" / "store.db", "cannot be opened: its folder does not exist"),
    ):
        with pytest.raises(FileError) as told:
            open_store(where)
        assert str(told.value).startswith(f"{where}: ")
        assert said in str(told.value)
    with sqlite3.connect(tmp_path / "other.db") as other:
        other.execute("CREATE TABLE addresses (name)")
    other.close()
    with pytest.raises(FileError, match="tables of something else"):
        open_store(tmp_path / "other.db")
    (tmp_path / "empty.db").touch()
    with open_store(tmp_path / "empty.db") as store:  # an empty file is as good as none
        assert store.records() == []


def test_a_server_that_does_not_answer_is_said_without_the_password():
    pytest.importorskip("psycopg", reason="psycopg is not installed")
    with pytest.raises(FileError) as told:
        open_store("postgresql://lab:secret@/lab?host=/no/such/folder")
    assert str(told.value).startswith("postgresql://lab:***@/lab")
    assert "secret" not in str(told.value)
    assert "\n" not in str(told.value)


def test_without_the_package_for_a_server(monkeypatch):
    import importlib.util

    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(InputError, match=r"records in PostgreSQL need the package psycopg: pip install 'lenscalc\[postgres\]'"):
        open_store("postgres://lab@server/lab")


def test_the_folder_of_the_data(tmp_path, monkeypatch):
    home = str(place_module.Path.home())
    cases = {
        ("linux", ()): f"{home}/.local/share/lenscalc/records.db",
        ("linux", (("XDG_DATA_HOME", "/data"),)): "/data/lenscalc/records.db",
        ("darwin", ()): f"{home}/Library/Application Support/lenscalc/records.db",
        ("win32", (("LOCALAPPDATA", "/appdata"),)): "/appdata/lenscalc/records.db",
    }
    for (platform, environment), expected in cases.items():
        assert place_module.default_path(dict(environment), platform).as_posix() == expected
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "new" / "data"))
    monkeypatch.setattr(sys, "platform", "linux")
    with open_store() as store:  # its folder is made with it
        assert store.place == str(tmp_path / "new" / "data" / "lenscalc" / "records.db")
    shutil.rmtree(tmp_path / "new")


def test_a_file_waits_for_readers_of_nobody(tmp_path):
    with open_store(tmp_path / "store.db") as store:
        with store.database.engine.connect() as connection:
            pragmas = {name: connection.execute(text(f"PRAGMA {name}")).scalar() for name in ("journal_mode", "foreign_keys", "synchronous")}
        assert pragmas == {"journal_mode": "wal", "foreign_keys": 1, "synchronous": 2}
        with store.database.reading() as reading:
            count = text("SELECT count(*) FROM records")
            assert reading.execute(count).scalar() == 0
            store.add_sheet(sheet())
            assert reading.execute(count).scalar() == 0  # one state from beginning to end
