"""The command line as a person calls it: a process of its own, because exit codes and standard error are part of the promise."""

import json
import subprocess
import sys

import pytest

LENS = ["--front-radius-mm", "15", "--back-radius-mm", "-15", "--center-thickness-mm", "0.9"]


def lenscalc(*args, stdin=""):
    return subprocess.run([sys.executable, "-c", "from lenscalc.cli.main import main; main()", *args], input=stdin, capture_output=True, text=True)


def answer(*args, stdin=""):
    done = lenscalc(*args, "--json", stdin=stdin)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout, parse_constant=lambda c: pytest.fail(f"{c} is not JSON"))
