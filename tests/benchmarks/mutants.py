"""Which changes of the code no test would notice: `python tests/benchmarks/mutants.py ROOM [ROOM ...] [--since REVISION] [--sample N] [--seed N]`.

cosmic-ray's operators change one place of a file at a time: a sign, a comparison, a number by one, a condition, a loop, a decorator. All such
places of the rooms (of their lines that have changed since a revision; a sample of them) are tried, each against the tests that run its line, the
room's own before the others', the quickest first, without the compiler, in a copy of what is committed.

The tests are collected once. A mutant within a function is a fork of that process in which the function is given its changed code: a tenth of a
second. One that acts as its file is read in (a table, a default, a decorator) is a fork of a process that has read in the libraries alone, and
collects its tests itself: a second. Files of tests that fail in such a fork with the code as it is are told and left out. Printed are the mutants
that no test has noticed, each with its place and its change, and how many were tried.

cosmic-ray and pytest-cov come besides: `pip install cosmic-ray pytest-cov`.
"""

import argparse
import ast
import difflib
import functools
import gc
import importlib.abc
import importlib.util
import inspect
import os
import random
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
import types
from collections import Counter, defaultdict
from importlib.machinery import SourceFileLoader
from itertools import accumulate
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
WHOLE = "tests/test_structure.py"  # what holds for the package as a whole
FIRST, NEXT = 12, 60  # most are noticed by the first few tests; from there on they run file by file
OF_OTHER_ROOMS, AT_READING_IN, FEW = 150, 400, 10
SECONDS_OF_TESTS = 20.0  # what none of these notices has survived
SECONDS_A_TEST, TIMES_AS_LONG, SECONDS_READ_IN = 4.0, 6.0, 60.0
MEMORY_B = 8 << 30
NO_CHANGE, NO_TEST, NOT_TRIED = 60, 50, 100  # beside pytest's own codes
OUTCOMES = {0: "survived", NO_TEST: "run by no test", NO_CHANGE: "no change", NOT_TRIED: "could not be tried"}
SHOWN = (0, NO_TEST, NOT_TRIED)
CPUS = os.cpu_count() or 1
# a slip of the pen writes another sign of arithmetic, not a shift of bits; "is" for "==" is the same of what Python keeps once
LEFT_OUT = re.compile(r"variable|extracted|Bit|Shift|_(Mod|FloorDiv|Pow)$|_(Eq|NotEq|Lt|LtE|Gt|GtE)_(Is|IsNot|In|NotIn)$", re.IGNORECASE)
LIBRARIES = ("hypothesis.extra.numpy", "mpmath", "numpy", "pandas", "scipy.integrate", "scipy.optimize", "scipy.special", "scipy.stats")


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
            if not LEFT_OUT.search(name.split("/")[-1]):
                operator = get_operator(name)()
                at = [place for node in every for place in operator.mutation_positions(node)]
                found += [Mutant(file, start[0], name, i) for i, (start, _) in enumerate(at) if lines is None or start[0] in lines[file]]
    return found


def meaning(text):
    """What is run of a file: not its annotations, which nobody evaluates; a bare star or stroke among parameters is no sign of arithmetic."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.arguments):
            node.args, node.posonlyargs, node.kwonlyargs = node.posonlyargs + node.args + node.kwonlyargs, [], []
            node.defaults, node.kw_defaults = node.defaults + [d for d in node.kw_defaults if d], []
        for field in {"annotation", "returns"} & set(node._fields):
            setattr(node, field, ast.Constant(None))
    return ast.dump(tree)


@functools.cache
def text_of(path):
    """A file."""
    return path.read_text(encoding="utf-8")


@functools.cache
def meaning_of(path):
    """What is run of it."""
    return meaning(text_of(path))


def changed_text(folder, mutant):
    """What the file becomes, or none where that means the same."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    text = mutate_code(text_of(folder / mutant.file), get_operator(mutant.operator)(), mutant.occurrence)
    try:
        return None if text is None or meaning(text) == meaning_of(folder / mutant.file) else text
    except SyntaxError:
        return None


@functools.cache
def lines_within(path):
    """The lines of the bodies of a file's functions: what they change acts as they are called."""
    found = set()
    for node in ast.walk(ast.parse(text_of(path))):
        if isinstance(node, ast.FunctionDef):
            found |= set(range(node.body[0].lineno, node.end_lineno + 1))
    return found


def where_tests_are(rooms):
    """The folders of tests that are asked."""
    return [WHOLE, "tests/edges", *(f"{top}/{room}" for room in rooms for top in ("tests", "lenscalc"))]


def caches():
    """What the code keeps of its answers."""
    kept = (thing for thing in gc.get_objects() if isinstance(thing, functools._lru_cache_wrapper))
    return [cache for cache in kept if str(cache.__module__).startswith("lenscalc")]


def pytest_collection_finish(session):
    """Where lines are counted this file is a plugin: every test computes for itself, and runs the lines that it would if it were alone."""
    session.config.caches = caches()


def pytest_runtest_setup(item):
    """Before each test."""
    for cache in item.config.caches:
        cache.cache_clear()


def tests_by_line(folder, rooms):
    """Which tests run a line, and how long each test takes."""
    from coverage import CoverageData

    run = [
        sys.executable, "-m", "pytest", "-q", "-vv", "-n", str(CPUS), "-p", "no:cacheprovider", "--durations=0", "--durations-min=0",
        "--cov=lenscalc", "--cov-context=test", "--cov-report=", "-p", "mutants", *where_tests_are(rooms),
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


def fork(doing, folder):
    """A process that does this and ends with the code that it gives, or was not tried where it raises."""
    pid = os.fork()
    if pid:
        return pid
    code = NOT_TRIED
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_B, MEMORY_B))
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in range(3):
            os.dup2(nowhere, stream)
        code = int(doing(folder / f".tests-{os.getpid()}"))
    finally:
        os._exit(code)


def from_the_beginning(folder, mutant, tests):
    """Run these tests in a process that has not read the code in; what pytest ends with."""

    def doing(temporary):
        text = changed_text(folder, mutant)
        if text is None:
            return NO_CHANGE
        if not tests:
            return NO_TEST
        sys.meta_path.insert(0, Mutated(mutant.file.removesuffix(".py").replace("/", "."), str(folder / mutant.file), text))
        in_order = sorted(tests, key=lambda t: t.startswith("lenscalc/"))  # an example puts its module where a function of that name is
        return pytest.main([*quietly(temporary), "-x", *in_order])

    return fork(doing, folder)


def quietly(temporary):
    """The options of every run here."""
    without = (f"-pno:{plugin}" for plugin in ("cacheprovider", "xdist", "cov", "terminal"))
    return [*without, "--capture=sys", "--assert=plain", "-W", "ignore::pytest.PytestAssertRewriteWarning", f"--basetemp={temporary}"]


def codes(code):
    """A code and all those within it."""
    yield code
    for constant in code.co_consts:
        if isinstance(constant, types.CodeType):
            yield from codes(constant)


def changed_codes(before, after):
    """What the codes of a file's functions become; where one within another is left out (a loop over nothing), the other has that in it."""
    named = defaultdict(lambda: ([], []))
    for i, text in enumerate((before, after)):
        for code in codes(compile(text, "", "exec")):
            named[code.co_qualname][i].append(code)
    pairs = [pair for olds, news in named.values() if len(olds) == len(news) for pair in zip(olds, news, strict=True)]
    return [(old, new) for old, new in pairs if old.co_flags & inspect.CO_NEWLOCALS and old != new and old.co_freevars == new.co_freevars]


class Collected:
    """Tries mutants in forks of a process that has collected the tests."""

    def __init__(self, folder, mutants, by_line, took):
        self.folder, self.mutants, self.by_line, self.took = folder, mutants, by_line, took

    def pytest_runtestloop(self, session):
        """Instead of running the tests."""
        sys.meta_path[:] = [f for f in sys.meta_path if not isinstance(f, Mutated)]
        items = {item.nodeid: item for item in session.items}
        self.functions = defaultdict(list)
        for thing in gc.get_objects():
            if isinstance(thing, types.FunctionType):
                self.functions[thing.__code__.co_filename].append(thing)
        kept = caches()
        gc.collect()
        gc.freeze()

        def run(tests, temporary):
            session.config._tmp_path_factory._basetemp = None
            session.config._tmp_path_factory._given_basetemp = temporary
            for cache in kept:
                cache.cache_clear()
            mine = [items[t] for t in tests]
            for item, following in zip(mine, [*mine[1:], None], strict=True):
                signal.setitimer(signal.ITIMER_REAL, SECONDS_A_TEST + TIMES_AS_LONG * self.took[item.nodeid])
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                if session.testsfailed:
                    return 1
            return 0

        known = [t for t in items if t in self.took]
        failing = set()
        files = sorted({file_of(t) for t in known})
        jobs = [(f, lambda tmp, f=f: run([t for t in known if file_of(t) == f], tmp)) for f in files]
        for file, code in all_ended((name, functools.partial(fork, doing, self.folder), 3600.0) for name, doing in jobs):
            if code:
                failing.add(file)
        print(f"collected and tried as it is: {time.monotonic() - began:.0f} s", flush=True)
        if failing:
            print(f"left out, for they fail in a fork: {sorted(failing)}", flush=True)
        usable = {t for t in known if file_of(t) not in failing}

        def begun():
            for mutant in self.mutants:
                tests = [t for t in tests_of(mutant, self.by_line, self.took, self.folder) if t in usable]
                yield mutant, functools.partial(fork, functools.partial(self.mutated, mutant, tests, run), self.folder), 1800.0

        report(self.folder, all_ended(begun()))
        return True

    def mutated(self, mutant, tests, run, temporary):
        """Give the functions their changed code and run the tests."""
        text = changed_text(self.folder, mutant)
        if text is None:
            return NO_CHANGE
        if not tests:
            return NO_TEST
        path = str(self.folder / mutant.file)
        for old, new in changed_codes(text_of(self.folder / mutant.file), text):
            for function in self.functions[path]:
                if function.__code__ == old:
                    function.__code__ = new.replace(co_filename=path)
        return run(tests, temporary)


def all_ended(jobs):
    """Begin all jobs (each a thing, what begins it, and how long it may take), as many at once as there are processors; each thing with its code."""
    running = {}
    jobs = iter(jobs)
    more = True
    while more or running:
        while more and len(running) < CPUS:
            job = next(jobs, None)
            more = job is not None
            if more:
                running[job[1]()] = job[0], time.monotonic() + job[2]
        if not running:
            return
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid in running:
            yield running.pop(pid)[0], os.waitstatus_to_exitcode(status)
            continue
        for late in [p for p, (_, until) in running.items() if time.monotonic() > until]:
            os.killpg(late, signal.SIGKILL)
            os.waitpid(late, 0)
            yield running.pop(late)[0], -signal.SIGKILL
        time.sleep(0.002)


counts = Counter()
began = time.monotonic()


def report(folder, found):
    """Print what was not noticed."""
    for mutant, code in found:
        came = OUTCOMES.get(code, "noticed")
        counts[came] += 1
        if code in SHOWN:
            between = difflib.unified_diff(text_of(folder / mutant.file).split("\n"), changed_text(folder, mutant).split("\n"), lineterm="", n=0)
            print(f"{mutant.file}:{mutant.line}: {came}")
            print(*(f"    {line}" for line in between if line[:1] in "+-" and line[:3] not in ("+++", "---")), sep="\n", flush=True)
        if sum(counts.values()) % 500 == 0:
            print(round(time.monotonic() - began), "s", dict(counts), file=sys.stderr, flush=True)


def main():
    """Draw, try and print."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("rooms", nargs="+", metavar="ROOM")
    asked.add_argument("--since", metavar="REVISION")
    asked.add_argument("--sample", type=int)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    os.environ |= {"NUMBA_DISABLE_JIT": "1", "OPENBLAS_NUM_THREADS": "1"}
    for library in LIBRARIES:
        importlib.import_module(library)
    lines = changed_lines(given.since, given.rooms) if given.since else None
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        archive = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, capture_output=True, check=True)
        subprocess.run(["tar", "-xf", "-"], cwd=folder, input=archive.stdout, check=True)
        os.environ["PYTHONPATH"] = str(folder)
        os.chdir(folder)
        sys.path[:0] = [str(folder)]
        by_line, took = tests_by_line(folder, given.rooms)
        every = mutants_of(folder, given.rooms, lines)
        drawn = random.Random(given.seed).sample(every, min(given.sample or len(every), len(every)))
        within = [m for m in drawn if m.line in lines_within(folder / m.file)]
        at_reading = [m for m in drawn if m.line not in lines_within(folder / m.file)]
        print(f"{len(every)} mutants, {len(within)} within functions and {len(at_reading)} at reading in are tried", flush=True)

        def begun():
            for mutant in at_reading:
                tests = tests_of(mutant, by_line, took, folder)[:AT_READING_IN]
                seconds = SECONDS_READ_IN + TIMES_AS_LONG * sum(took[t] for t in tests)
                yield mutant, functools.partial(from_the_beginning, folder, mutant, tests), seconds

        report(folder, all_ended(begun()))
        print(f"at reading in, {time.monotonic() - began:.0f} s: {dict(counts)}", flush=True)
        if within:
            pytest.main([*quietly(folder / ".tests"), *where_tests_are(given.rooms)], plugins=[Collected(folder, within, by_line, took)])
        print(f"in all, {time.monotonic() - began:.0f} s: {dict(counts)}")


if __name__ == "__main__":
    main()
