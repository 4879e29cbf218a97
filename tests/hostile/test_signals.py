"""A stop at any moment of a command that writes: by hand, by the system, or without a word. What was there stays or the result is whole, and the same
command again comes to the same end.

A moment is a call of a Python function: the command runs once in whole, its calls are counted, and then it is run anew with a signal at this call and
at that, in a child forked for it. `STOPS=40 python -m pytest tests/hostile/test_signals.py` tries more moments.
"""

import json
import os
import subprocess
import sys

import pytest
from sqlalchemy import select

from lenscalc.batch.run import run_batch
from lenscalc.demo import demo_files
from lenscalc.records import open_store
from lenscalc.records import tables as t

MOMENTS = int(os.environ.get("STOPS", "1"))
SIGNALS = {"INT": 130, "TERM": 143, "HUP": 129, "KILL": -9}
LEFT = (".part", "-wal", "-shm", "-journal")  # what a command that was killed may leave, and nobody stumbles over

DRIVER = """
import gc, importlib, json, os, shutil, signal, sys
from pathlib import Path
from lenscalc.cli.main import main

signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever runs the tests behind may have set it aside
for name in ("TERM", "HUP"):
    signal.signal(getattr(signal, f"SIG{name}"), signal.SIG_DFL)

def child(number=None, at=0, counting=None):
    pid = os.fork()
    if pid:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    os.chdir(work)
    for stream, name in ((1, "out"), (2, "err")):
        os.dup2(os.open(f"{told}.{name}", os.O_WRONLY | os.O_CREAT | os.O_TRUNC), stream)
    calls = 0
    def count(frame, event, arg):
        nonlocal calls
        if event == "call":
            calls += 1
            if calls == at:
                sys.setprofile(None)
                os.kill(os.getpid(), number)
    code = 0
    try:
        if at or counting:  # to count takes as long as the command
            sys.setprofile(count)
        main(command)
    except SystemExit as ended:
        code = ended.code or 0
    finally:
        sys.setprofile(None)
    if counting:
        counting.write_text(json.dumps([calls, [m for m in sys.modules if m.startswith(("lenscalc.", "sqlalchemy.dialects"))]]))
    sys.stdout.flush()
    os._exit(code)

def counted():
    anew()
    assert child(counting=told.with_suffix(".count")) == 0, told.with_suffix(".err").read_text()
    return json.loads(told.with_suffix(".count").read_text())

def anew():
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(base, work)

def report(*words):
    print(json.dumps(words), flush=True)
    sys.stdin.readline()

while line := sys.stdin.readline():
    place, command, moments, signals = json.loads(line)
    base = Path(place)
    work, told = base.parent / "work", base.parent / "told"
    calls, modules = counted()
    if not set(modules) <= set(sys.modules):  # what a command takes is read in once, so that the moments fall into its work
        for name in modules:
            importlib.import_module(name)
        gc.freeze()
        calls, _ = counted()
    report("whole", calls, 0, "")
    for i, name in enumerate(signals):
        for k in range(moments):
            at = max(1, calls * (len(signals) * k + i + 1) // (len(signals) * moments + 1))
            anew()
            report("stopped", name, child(getattr(signal, f"SIG{name}"), at), told.with_suffix(".err").read_text())
            report("again", name, child(), told.with_suffix(".err").read_text())
    report("done", "", 0, "")
"""

COMMANDS = {
    "batch": ("batch", "candidates.csv", "out.csv", "--resume"),
    "folder": ("batch", "candidates.csv", "out/", "--resume"),
    "add": ("records", "add", "copolymer_b.toml", "plain.toml", "--store", "lab.db"),
    "merge": ("records", "merge", "laptop.db", "--store", "lab.db"),
    "import": ("records", "import", "laptop.zip", "--store", "lab.db"),
    "withdraw": ("records", "withdraw", "{first}", "--because", "by mistake", "--store", "lab.db"),
    "export": ("records", "export", "out.zip", "--store", "laptop.db"),
    "backup": ("records", "backup", "out.db", "--store", "laptop.db"),
    "report": ("report", "plain.toml", "out.html"),
    "rank": ("rank", "done.csv", "--best", "abbe_d:high", "--out", "out.csv", "--chart", "out.svg"),
    "day": ("day", "day.csv", "out.csv", "--shared", "day.toml"),
    "control": ("control", "water_checks.csv", "--baseline", "25", "--freeze", "out.toml"),
}


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    folder = tmp_path_factory.mktemp("signals") / "base"
    folder.mkdir()
    for file in demo_files():
        (folder / file.name).write_bytes(file.read_bytes())
    plain = (folder / "pmma_published.toml").read_text(encoding="utf-8").partition("[lens]")[0]
    (folder / "plain.toml").write_text(plain, encoding="utf-8")
    run_batch(str(folder / "candidates.csv"), str(folder / "done.csv"))
    with open_store(folder / "lab.db") as store:
        (folder.parent / "first").write_text(store.add_sheet((folder / "copolymer_c.toml").read_text(encoding="utf-8"), "c.toml").hash)
    with open_store(folder / "laptop.db") as store:
        store.add_sheet(plain, "p.toml")
        store.export(folder / "laptop.zip")
    return folder


def state(work):
    """What stands in the folder: files by their bytes, a store by its records; and what was left over."""
    found, left = {}, []
    for path in sorted(p for p in work.rglob("*") if p.is_file()):
        name = str(path.relative_to(work))
        if path.name.endswith(LEFT) or ".unfinished" in name:
            left.append(name)
        elif path.suffix == ".db":
            with open_store(path, create=False) as store:
                assert store.check().problems == ()
                # what a record says of itself beside its place and time
                found[name] = sorted((r["kind"], r["number"], r["sheet_sha256"]) for r in _records(store))
        else:
            found[name] = path.read_bytes()
    return found, left


def _records(store):
    with store.database.reading() as connection:
        return connection.execute(select(t.records.c.kind, t.records.c.number, t.records.c.sheet_sha256)).mappings().all()


class Driver:
    """One process for all commands, which has read in what they take; another one where a test has left it in the middle."""

    def __init__(self):
        self.process = None

    def asked(self, *what):
        """What it reports, line by line; it goes on when the next line is asked for."""
        if self.process is None:
            pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
            self.process = subprocess.Popen([sys.executable, "-c", DRIVER], text=True, **pipes)
        step = json.dumps(what)
        while True:
            print(step, file=self.process.stdin, flush=True)
            line = self.process.stdout.readline()
            assert line, self.process.communicate()[1]
            step = ""
            if json.loads(line)[0] == "done":
                print(file=self.process.stdin, flush=True)
                return
            yield json.loads(line)

    def end(self):
        if self.process is not None:
            self.process.kill()
            self.process.communicate()
            self.process = None


@pytest.fixture(scope="module")
def one_driver():
    driver = Driver()
    yield driver
    driver.end()


@pytest.fixture
def driver(one_driver, request):
    failed = request.session.testsfailed
    yield one_driver
    if request.session.testsfailed > failed:
        one_driver.end()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_stop_at_any_moment(base, driver, tmp_path, name):
    command = [part.format(first=(base.parent / "first").read_text()) for part in COMMANDS[name]]
    link = tmp_path / "base"
    link.symlink_to(base)
    before, _ = state(base)  # before the driver copies it: a store that is read has files beside it for that time
    whole = stopped = None
    tried = 0
    for step, what, code, told in driver.asked(str(link), command, MOMENTS, list(SIGNALS)):
        now, left = state(tmp_path / "work")
        assert "Traceback" not in told, (what, told)
        if step == "whole":
            whole = now
            assert whole != before
        elif step == "stopped":
            tried, stopped = tried + 1, now
            assert code in (SIGNALS[what], 0), (what, told)
            for file in {*now, *before, *whole}:  # as it was, or whole
                assert now.get(file) in (before.get(file), whole.get(file)), (what, file)
            if what != "KILL":
                assert code == 0 or "lenscalc: stopped; " in told
                # the database's own files beside a store, which its next reader takes in; finished blocks, which wait for --resume
                assert all(f.endswith(("-wal", "-shm")) or name in ("batch", "folder") for f in left), (what, left)
        else:
            done = name in ("add", "withdraw", "control", "export", "backup") and stopped == whole  # nothing is left to do, and that is told
            told_so = "already" in told and name not in ("batch", "folder")  # these tell which rows they found finished
            assert (code, told_so) == ((2, True) if done else (0, False)), (what, told)
            assert now == whole, what
    assert tried == MOMENTS * len(SIGNALS)
