"""Which changes of the code no test would notice: `python tests/benchmarks/mutants.py ROOM [ROOM ...] [--since REVISION] [--sample N] [--seed N]`.

cosmic-ray's operators change one place of a file at a time. Of all such places in the rooms (of their lines that have changed since a revision) a
sample is drawn, and each mutant is given to the tests that run its line, without the compiler: the room's own before the others', the quickest first.
A mutant is a fork of one process that has read the libraries in, and works in a copy of what is committed. Before any is tried the same tests must
pass with the code as it is. Printed are those that no test has noticed, each with its place and its change, and how many were tried.

cosmic-ray and pytest-cov come besides: `pip install cosmic-ray pytest-cov`.
"""

import argparse
import ast
import difflib
import importlib.abc
import importlib.util
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from importlib.machinery import SourceFileLoader
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
TESTS_AT_ONCE, SECONDS = (12, 60, 2000), (60.0, 120.0, 600.0)  # most are noticed by the first few
OF_OTHER_ROOMS = 150
NEEDS_A_NAME = ("variable", "extracted")  # operators that ask what to put in
LIBRARIES = ("hypothesis.extra.numpy", "mpmath", "numpy", "pandas", "pytest", "scipy.integrate", "scipy.optimize", "scipy.special", "scipy.stats")


class Mutant(NamedTuple):
    """A change of one place: the operator, and which of its places in the file it is."""

    file: str
    line: int
    operator: str
    occurrence: int


class Mutated(importlib.abc.MetaPathFinder):
    """Gives a module its changed text."""

    def __init__(self, name, path, text):
        self.name, self.path, self.text = name, path, text

    def find_spec(self, name, path, target=None):
        """The spec of that module alone."""
        if name != self.name:
            return None
        loader = SourceFileLoader(name, self.path)
        loader.get_code = lambda fullname: compile(self.text, self.path, "exec", dont_inherit=True)
        return importlib.util.spec_from_file_location(name, self.path, loader=loader)


def changed_lines(since, rooms):
    """The lines of each file that are not as they were then."""
    command = ["git", "diff", "-U0", since, "HEAD", "--", *(f"lenscalc/{room}" for room in rooms)]
    diff = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    lines, file = defaultdict(set), ""
    for text in diff.stdout.splitlines():
        if text.startswith("+++ "):
            file = text[6:]
        elif found := re.match(r"@@ \S+ \+(\d+)(?:,(\d+))? @@", text):
            lines[file].update(range(int(found[1]), int(found[1]) + int(found[2] or 1)))
    return lines


def mutants_of(folder, rooms, lines):
    """Every place that an operator changes."""
    import parso
    from cosmic_ray.plugins import get_operator, operator_names

    def nodes(node):
        yield node
        for child in getattr(node, "children", ()):
            yield from nodes(child)

    found = []
    for path in sorted(p for room in rooms for p in (folder / "lenscalc" / room).rglob("*.py")):
        file = str(path.relative_to(folder))
        every = list(nodes(parso.parse(path.read_text(encoding="utf-8"))))
        for name in operator_names():
            if not name.split("/")[-1].lower().startswith(NEEDS_A_NAME):
                operator = get_operator(name)()
                places = [place for node in every for place in operator.mutation_positions(node)]
                found += [Mutant(file, at[0], name, i) for i, (at, _) in enumerate(places) if lines is None or at[0] in lines[file]]
    return found


def tests_by_line(folder, rooms):
    """Which tests run a line, the quickest first."""
    from coverage import CoverageData

    run = [
        sys.executable, "-m", "pytest", "-q", "-vv", "-n", str(os.cpu_count()), "-p", "no:cacheprovider", "--durations=0", "--durations-min=0",
        "--cov=lenscalc", "--cov-context=test", "--cov-report=", "tests/edges", *(f"{top}/{room}" for room in rooms for top in ("tests", "lenscalc")),
    ]  # fmt: skip
    out = subprocess.run(run, cwd=folder, capture_output=True, text=True)
    if out.returncode:
        sys.exit(f"the tests fail as they are:\n{out.stdout[-3000:]}")
    took = defaultdict(float)
    for seconds, test in re.findall(r"^([0-9.]+)s (?:call|setup|teardown) +(.*)$", out.stdout, re.MULTILINE):
        took[test.strip()] += float(seconds)
    data = CoverageData(str(folder / ".coverage"))
    data.read()
    found = {}
    for file in data.measured_files():
        by_line = {line: {c.rsplit("|", 1)[0] for c in contexts if c} for line, contexts in data.contexts_by_lineno(file).items()}
        found[os.path.relpath(file, folder)] = {line: sorted(tests, key=lambda t: (took[t], t)) for line, tests in by_line.items()}
    return found


def tests_of(mutant, by_line, folder):
    """Those that run its statement, or the file where it runs only as the file is read; the room's own first."""
    lines = by_line.get(mutant.file, {})
    tests = lines.get(mutant.line)
    if not tests:
        tree = ast.walk(ast.parse((folder / mutant.file).read_text(encoding="utf-8")))
        spans = [(n.lineno, n.end_lineno) for n in tree if isinstance(n, ast.stmt) and n.lineno <= mutant.line <= n.end_lineno]
        first, last = min(spans, key=lambda span: span[1] - span[0], default=(1, 0))
        tests = sorted({t for line in range(first, last + 1) for t in lines.get(line, ())} or {t for of in lines.values() for t in of})
    room = mutant.file.split("/")[1]
    own = [t for t in tests if t.startswith((f"tests/{room}/", "tests/edges/", f"lenscalc/{room}/"))]
    return own + [t for t in tests if t not in set(own)][:OF_OTHER_ROOMS]


def begun(folder, file, text, tests):
    """A fork that runs these tests with the file's text changed; what it ends with is pytest's code, or 100 where it does not come so far."""
    pid = os.fork()
    if pid:
        return pid
    os.setsid()
    code = 100
    try:
        import pytest

        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in range(3):
            os.dup2(nowhere, stream)
        os.chdir(folder)
        sys.path.insert(0, str(folder))
        os.environ |= {"NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(folder)}
        sys.meta_path.insert(0, Mutated(file.removesuffix(".py").replace("/", "."), str(folder / file), text))
        tests = sorted(tests, key=lambda t: t.startswith("lenscalc/"))  # an example, read in first, puts its module where a function of that name is
        without = (f"-pno:{plugin}" for plugin in ("cacheprovider", "xdist", "cov"))
        options = ("-x", "-q", "--assert=plain", "-W", "ignore::pytest.PytestAssertRewriteWarning", *without)
        code = int(pytest.main([*options, f"--basetemp={folder}/.tests-{os.getpid()}", *tests]))
    finally:
        os._exit(code)


def meaning(text):
    """What is run of a file: not its annotations, which nobody evaluates."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        for field in {"annotation", "returns"} & set(node._fields):
            setattr(node, field, ast.Constant(None))
    return ast.dump(tree)


def ended(running):
    """The forks that have ended, with their codes; one that takes too long is killed, and has been noticed."""
    pid, status = os.waitpid(-1, os.WNOHANG)
    if pid:
        return {pid: os.waitstatus_to_exitcode(status)}
    for pid, (_, _, until) in running.items():
        if time.monotonic() > until:
            os.killpg(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            return {pid: -signal.SIGKILL}
    time.sleep(0.02)
    return {}


def tried(folder, mutants, by_line):
    """Every mutant with whether it was noticed, as they end."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    waiting = []
    for mutant in mutants:
        text = (folder / mutant.file).read_text(encoding="utf-8")
        changed = mutate_code(text, get_operator(mutant.operator)(), mutant.occurrence)
        try:
            if changed is None or meaning(changed) == meaning(text):
                continue
        except SyntaxError:
            continue
        waiting.append((mutant, changed, tests_of(mutant, by_line, folder), 0))
    waiting.reverse()
    running = {}
    while waiting or running:
        while waiting and len(running) < (os.cpu_count() or 1):
            mutant, changed, tests, stage = waiting.pop()
            first = sum(TESTS_AT_ONCE[:stage])
            now = tests[first : first + TESTS_AT_ONCE[stage]]
            if not now:
                yield mutant, changed, "survived" if stage else "run by no test"
                continue
            running[begun(folder, mutant.file, changed, now)] = (mutant, changed, tests), stage, time.monotonic() + SECONDS[stage]
        for pid, code in ended(running).items() if running else ():
            (mutant, changed, tests), stage, _ = running.pop(pid)
            if code == 0 and stage + 1 < len(TESTS_AT_ONCE):
                waiting.append((mutant, changed, tests, stage + 1))
            else:
                yield mutant, changed, "survived" if code == 0 else "noticed"


def main():
    """Draw, try and print."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("rooms", nargs="+", metavar="ROOM")
    asked.add_argument("--since", metavar="REVISION")
    asked.add_argument("--sample", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    for library in LIBRARIES:
        importlib.import_module(library)
    lines = changed_lines(given.since, given.rooms) if given.since else None
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        archive = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, capture_output=True, check=True)
        subprocess.run(["tar", "-xf", "-"], cwd=folder, input=archive.stdout, check=True)
        os.environ |= {"NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(folder)}
        by_line = tests_by_line(folder, given.rooms)
        every = mutants_of(folder, given.rooms, lines)
        drawn = random.Random(given.seed).sample(every, min(given.sample, len(every)))
        for mutant in drawn[:3]:
            now = tests_of(mutant, by_line, folder)[: TESTS_AT_ONCE[0]]
            text = (folder / mutant.file).read_text(encoding="utf-8")
            if os.waitstatus_to_exitcode(os.waitpid(begun(folder, mutant.file, text, now), 0)[1]):
                sys.exit(f"{mutant.file}: its tests fail with the code as it is, so that every mutant would seem to be noticed: {now}")
        counts = Counter()
        for mutant, changed, found in tried(folder, drawn, by_line):
            counts[found] += 1
            if found != "noticed":
                text = (folder / mutant.file).read_text(encoding="utf-8")
                print(f"{mutant.file}:{mutant.line}: {found}")
                between = difflib.unified_diff(text.split("\n"), changed.split("\n"), lineterm="", n=0)
                print(*(f"    {line}" for line in between if line[:1] in "+-" and line[:3] not in ("+++", "---")), sep="\n", flush=True)
        print(f"{len(every)} mutants, {sum(counts.values())} of a sample of {len(drawn)} tried: {dict(counts)}")


if __name__ == "__main__":
    main()
