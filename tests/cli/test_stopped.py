"""A stop that falls where Python drops what is raised, in an object's last moment, is heard all the same, and nothing is printed for it."""

import os
import signal
import subprocess
import sys
import time

import pytest

from lenscalc.cli.stopped import Stopped, heeded

STOPS = ["SIGTERM", "SIGHUP", "SIGINT"]
PROCESS = """
import os, signal, sys, time
from lenscalc.cli.stopped import heeded

number, times = getattr(signal, sys.argv[1]), int(sys.argv[2])
signal.signal(number, signal.default_int_handler if number == signal.SIGINT else signal.SIG_DFL)  # whoever runs the tests may have set it aside

class Dropping:  # while it goes, the process is told to stop, as often as is said
    def __init__(self, times):
        self.times = times

    def __del__(self):
        if self.times > 1:
            Dropping(self.times - 1)
        os.kill(os.getpid(), number)

class Wrong:
    def __del__(self):
        raise ValueError("of its own")

def stopped_while_told(what):
    os.kill(os.getpid(), number)

def put_away():
    time.sleep(0.2)
    print("put away")

{before}
hook = sys.unraisablehook
try:
    with heeded():
        {within}
    print("not heard")
except KeyboardInterrupt as told:
    print(type(told).__name__, signal.Signals(told.number).name, sys.unraisablehook is hook, signal.getitimer(signal.ITIMER_REAL))
"""


def told(name, within, *, before="", times=1):
    """What a process says that is told to stop: one of its own, where nobody else has anything to say and no stop can hit other tests."""
    code = PROCESS.format(before=before, within=within)
    done = subprocess.run([sys.executable, "-c", code, name, str(times)], capture_output=True, text=True)
    assert (done.stderr, done.returncode) == ("", 0)
    return done.stdout


def heard(name):
    return f"Stopped {name} True (0.0, 0.0)\n"


@pytest.mark.parametrize("name", STOPS)
@pytest.mark.parametrize("times", [1, 3])
def test_a_stop_that_is_dropped_comes_again(name, times):
    assert told(name, "Dropping(times); time.sleep(60.0)", times=times) == heard(name)


@pytest.mark.parametrize("name", STOPS)
def test_a_stop_while_another_error_is_told_comes_again(name):
    """What is raised there Python drops as well, and prints."""
    assert told(name, "Wrong(); time.sleep(60.0)", before="sys.unraisablehook = stopped_while_told") == heard(name)


@pytest.mark.parametrize("name", STOPS)
def test_a_stop_that_was_heard_is_not_raised_again_while_things_are_put_away(name):
    """One is dropped and the next is heard: what would have come for the first does not tear what the second has begun."""
    within = """
        try:
            Dropping(times); os.kill(os.getpid(), number); time.sleep(60.0)
        finally:
            put_away()"""
    assert told(name, within) == "put away\n" + heard(name)


def test_what_else_is_dropped_is_told_as_ever(monkeypatch):
    class Wrong:
        def __del__(self):
            raise ValueError("of its own")

    dropped = []
    monkeypatch.setattr(sys, "unraisablehook", lambda what: dropped.append(what.exc_type))
    with heeded():
        Wrong()
    assert dropped == [ValueError]


def _answered_with_another_error(number):
    try:
        os.kill(os.getpid(), number)
        time.sleep(60.0)
    except BaseException:
        raise TypeError("'str' object is not an instance of 'tuple'") from None  # as compiled referencing does


@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "SIGINT"])
def test_a_stop_that_a_library_puts_another_error_in_place_of_is_a_stop(name):
    number = getattr(signal, name)
    aside = signal.signal(number, signal.default_int_handler if name == "SIGINT" else signal.SIG_DFL)
    try:
        with pytest.raises(Stopped) as told, heeded():
            _answered_with_another_error(number)
    finally:
        signal.signal(number, aside)
    assert told.value.number == number


def test_an_error_without_a_stop_stays_itself():
    with pytest.raises(TypeError, match="its own"), heeded():
        raise TypeError("its own")
