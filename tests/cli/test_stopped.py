"""A stop that falls where Python drops what is raised, in an object's last moment, is heard all the same, and nothing is printed for it."""

import os
import signal
import sys
import time

import pytest

from lenscalc.cli.stopped import Stopped, heeded


class Dropping:
    """While it goes, the process is told to stop, as often as is said."""

    def __init__(self, number, times):
        self.number, self.times = number, times

    def __del__(self):
        if self.times > 1:
            Dropping(self.number, self.times - 1)
        os.kill(os.getpid(), self.number)


def _told_while_something_goes(number, times):
    with heeded():
        Dropping(number, times)
        time.sleep(10.0)


@pytest.mark.parametrize(("name", "raised"), [("SIGTERM", Stopped), ("SIGHUP", Stopped), ("SIGINT", KeyboardInterrupt)])
@pytest.mark.parametrize("times", [1, 3])
def test_a_stop_that_is_dropped_comes_again(name, raised, times, capfd):
    number, before = getattr(signal, name), sys.unraisablehook
    aside = signal.signal(number, signal.default_int_handler if name == "SIGINT" else signal.SIG_DFL)
    begun = time.monotonic()
    try:
        with pytest.raises(raised) as told:
            _told_while_something_goes(number, times)
    finally:
        signal.signal(number, aside)
    assert time.monotonic() - begun < 5.0
    assert getattr(told.value, "number", signal.SIGINT) == number
    printed = "".join(capfd.readouterr())  # in a process with other tests before, some thread of theirs may have its own to say
    assert not any(word in printed for word in ("Traceback", "ignored", "Stopped", "KeyboardInterrupt", "Dropping")), printed
    assert sys.unraisablehook is before


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
        time.sleep(10.0)
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
