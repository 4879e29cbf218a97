"""The command line as a person calls it: a process of its own, because exit codes and standard error are part of the promise.

To start Python and read the libraries in takes a second each time. So one process has read them in and waits, and a call is a fork of it, with its
own streams, folder and environment. What matters from the very start of a process (`started`) is started afresh.
"""

import json
import os
import select
import signal
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

import pytest

LENS = ["--front-radius-mm", "15", "--back-radius-mm", "-15", "--center-thickness-mm", "0.9"]
ALONE = [sys.executable, "-c", "from lenscalc.cli.main import main; main()"]
WAITING = """
import atexit, gc, json, os, sys, traceback
from importlib import import_module

from lenscalc.cli.main import COMMANDS, main

for name in COMMANDS:
    import_module(f"lenscalc.cli.{name}")
for name in ("chain", "charts", "decision", "eye", "lens", "light", "material", "records", "refractometer", "uncertainty", "verified"):
    import_module(f"lenscalc.{name}")
for name in ("pandas", "scipy.optimize", "scipy.special", "scipy.stats", "sqlalchemy"):
    import_module(name)
gc.freeze()
asked, done = (os.fdopen(int(number), mode) for number, mode in zip(sys.argv[1:], "rw"))
for line in asked:
    call = json.loads(line)
    child = os.fork()
    if not child:
        os.environ.clear()
        os.environ.update(call["environment"])
        os.chdir(call["folder"])
        for stream, (path, how) in enumerate(((os.devnull, os.O_RDONLY), (call["out"], os.O_WRONLY), (call["err"], os.O_WRONLY))):
            os.dup2(os.open(path, how), stream)
        sys.argv[1:] = call["arguments"]
        code = 0
        try:
            main()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(end.code is not None)
        except BaseException:
            traceback.print_exc()
            code = 1
        atexit._run_exitfuncs()
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)  # to tidy up every library that was read in takes longer than the call
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), file=done, flush=True)
"""


@cache
def _waiting():
    """The process that waits, and the streams to it and from it; it ends with this one, when nobody can ask any more."""
    its_ask, ask = os.pipe()
    answered, its_answer = os.pipe()
    process = subprocess.Popen(
        [sys.executable, "-c", WAITING, str(its_ask), str(its_answer)], pass_fds=(its_ask, its_answer), stdin=subprocess.DEVNULL,
        start_new_session=True,
    )  # fmt: skip
    os.close(its_ask)
    os.close(its_answer)
    return os.fdopen(ask, "w"), os.fdopen(answered), process


def lenscalc(*args, stdin="", folder=None):
    """Call the command, in this folder; with something on standard input, or where there is no fork, in a process that is started for it."""
    if stdin or not hasattr(os, "fork"):
        return started(*args, stdin=stdin, folder=folder)
    ask, answered, process = _waiting()
    with tempfile.TemporaryDirectory() as streams:
        out, err = (Path(streams, name) for name in ("out", "err"))
        out.touch()
        err.touch()
        call = {"arguments": args, "environment": dict(os.environ), "folder": str(folder or os.getcwd()), "out": str(out), "err": str(err)}
        print(json.dumps(call), file=ask, flush=True)
        if not select.select([answered], [], [], 300)[0]:
            os.killpg(process.pid, signal.SIGKILL)
            _waiting.cache_clear()
            pytest.fail(f"lenscalc {args} has not ended in 300 s")
        code = int(answered.readline())
        return subprocess.CompletedProcess([*ALONE, *args], code, out.read_text(encoding="utf-8"), err.read_text(encoding="utf-8"))


def started(*args, stdin="", folder=None):
    """Call the command in a process that begins with it."""
    return subprocess.run([*ALONE, *args], input=stdin, capture_output=True, text=True, cwd=folder)


def answer(*args, stdin=""):
    done = lenscalc(*args, "--json", stdin=stdin)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout, parse_constant=lambda c: pytest.fail(f"{c} is not JSON"))
