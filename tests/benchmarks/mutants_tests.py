"""Which tests run a line of the code. Where lines are counted this file is a plugin of pytest."""

import ast
import functools
import gc
import os
import re
import subprocess
import sys
from collections import defaultdict
from itertools import accumulate
from pathlib import Path

from mutants_made import text_of

WHOLE = "tests/test_structure.py"  # what holds for the package as a whole
FIRST, NEXT = 12, 60  # most are noticed by the first few tests; from there on they run file by file
OF_OTHER_ROOMS, FEW = 150, 10
SECONDS_OF_TESTS = 20.0  # what none of these notices has survived


def where_tests_are(rooms):
    """The folders of tests that are asked."""
    return [WHOLE, "tests/edges", *(f"{top}/{room}" for room in rooms for top in ("tests", "lenscalc"))]


def caches():
    """What the code keeps of its answers."""
    kept = (thing for thing in gc.get_objects() if isinstance(thing, functools._lru_cache_wrapper))
    return [cache for cache in kept if str(cache.__module__).startswith("lenscalc")]


def pytest_collection_finish(session):
    """Every test computes for itself, and runs the lines that it would if it were alone."""
    session.config.caches = caches()


def pytest_runtest_setup(item):
    """Before each test."""
    for cache in item.config.caches:
        cache.cache_clear()


def tests_by_line(folder, rooms):
    """Which tests run a line, and how long each test takes."""
    from coverage import CoverageData

    run = [
        sys.executable, "-m", "pytest", "-q", "-vv", "-n", str(os.cpu_count() or 1), "-p", "no:cacheprovider", "--durations=0", "--durations-min=0",
        "--cov=lenscalc", "--cov-context=test", "--cov-report=", "-p", "mutants_tests", *where_tests_are(rooms),
    ]  # fmt: skip
    path = os.pathsep.join((str(folder), str(Path(__file__).parent)))
    out = subprocess.run(run, cwd=folder, capture_output=True, text=True, env=os.environ | {"PYTHONPATH": path})
    if out.returncode:
        sys.exit(f"the tests fail as they are:\n{out.stdout[-3000:]}")
    took = defaultdict(float)
    for seconds, test in re.findall(r"^([0-9.]+)s (?:call|setup|teardown) +(.*)$", out.stdout, re.MULTILINE):
        took[test.strip()] += float(seconds)
    data = CoverageData(str(folder / ".coverage"))
    data.read()
    found = {}
    for file in data.measured_files():
        by_line = data.contexts_by_lineno(file).items()
        found[os.path.relpath(file, folder)] = {line: {c.rsplit("|", 1)[0] for c in contexts if c} for line, contexts in by_line}
    return found, took


def names_made(text, line):
    """The names that the outermost statement of this line gives, where it is a table or a number."""
    for node in ast.parse(text).body:
        if node.lineno <= line <= node.end_lineno and isinstance(node, (ast.Assign, ast.AnnAssign)):
            return [n.id for target in getattr(node, "targets", None) or [node.target] for n in ast.walk(target) if isinstance(n, ast.Name)]
    return []


def tests_of(mutant, by_line, took, folder):
    """Those that run its statement; of one that runs only as the file is read in those that run or name what it gives; the room's own first."""
    lines = by_line.get(mutant.file, {})
    tests = set(lines.get(mutant.line, ()))
    if not tests:
        text = text_of(folder / mutant.file)
        spans = [(n.lineno, n.end_lineno) for n in ast.walk(ast.parse(text)) if isinstance(n, ast.stmt) and n.lineno <= mutant.line <= n.end_lineno]
        first, last = min(spans, key=lambda span: span[1] - span[0], default=(1, 0))
        tests = {t for line in range(first, last + 1) for t in lines.get(line, ())}
        for name in names_made(text, mutant.line):
            tests |= naming(name, folder, by_line, took)
        if len(tests) < FEW:
            tests |= {t for of in lines.values() for t in of} | {t for t in took if t.startswith(f"tests/{mutant.file.split('/')[1]}/")}
        tests |= {t for t in took if t.startswith(f"{WHOLE}::") and "[" not in t}
    room = mutant.file.split("/")[1]
    ordered = sorted(tests & took.keys(), key=lambda t: (took[t], t))
    own = [t for t in ordered if t.startswith((f"tests/{room}/", "tests/edges/", f"lenscalc/{room}/"))]
    known = set(own)
    ordered = own + [t for t in ordered if t not in known][:OF_OTHER_ROOMS]
    ordered = [t for t, so_far in zip(ordered, accumulate(took[t] for t in ordered), strict=True) if so_far < SECONDS_OF_TESTS]
    return ordered[:FIRST] + sorted(ordered[FIRST:NEXT], key=file_of) + sorted(ordered[NEXT:], key=file_of)


def file_of(test):
    """The file that a test stands in."""
    return test.split("::")[0]


@functools.cache
def texts(folder):
    """The lines of every file of the code and of the tests."""
    paths = [p for top in ("lenscalc", "tests") for p in (folder / top).rglob("*.py")]
    return {str(p.relative_to(folder)): p.read_text(encoding="utf-8").split("\n") for p in paths}


def naming(name, folder, by_line, took):
    """The tests that run a line with this name, and those whose file has it."""
    word = re.compile(rf"\b{name}\b")
    found = set()
    for file, lines in texts(folder).items():
        at = [i for i, line in enumerate(lines, 1) if name in line and word.search(line)]
        if file.startswith("lenscalc"):
            found |= {t for i in at for t in by_line.get(file, {}).get(i, ())}
        elif at:
            found |= {t for t in took if t.startswith(f"{file}::")}
    return found
