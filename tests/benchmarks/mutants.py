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
import difflib
import functools
import gc
import importlib.abc
import importlib.util
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
import types
from collections import Counter, defaultdict
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest
from mutants_made import changed_codes, changed_lines, changed_text, lines_within, mutants_of, text_of
from mutants_tests import caches, file_of, tests_by_line, tests_of, where_tests_are

ROOT = Path(__file__).parents[2]
AT_READING_IN = 400  # tests at most
SECONDS_A_TEST, TIMES_AS_LONG, SECONDS_READ_IN = 4.0, 6.0, 60.0
MEMORY_B = 8 << 30
NO_CHANGE, NO_TEST, NOT_TRIED = 60, 50, 100  # beside pytest's own codes
OUTCOMES = {0: "survived", NO_TEST: "run by no test", NO_CHANGE: "no change", NOT_TRIED: "could not be tried"}
SHOWN = (0, NO_TEST, NOT_TRIED)
CPUS = os.cpu_count() or 1
LIBRARIES = ("hypothesis.extra.numpy", "mpmath", "numpy", "pandas", "scipy.integrate", "scipy.optimize", "scipy.special", "scipy.stats")


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


class Collected:
    """Tries mutants in forks of a process that has collected the tests."""

    def __init__(self, folder, mutants, by_line, took):
        self.folder, self.mutants, self.by_line, self.took = folder, mutants, by_line, took

    def pytest_runtestloop(self, session):
        """Instead of running the tests."""
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
    lines = changed_lines(ROOT, given.since, given.rooms) if given.since else None
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
