"""A command that is told to stop, by hand or by the system: what it has begun is put away, and it ends with a sentence."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Timer, current_thread, main_thread
from typing import Any, NoReturn

import click

_ENDS = ("SIGINT", "SIGTERM", "SIGHUP")  # Ctrl-C, a machine that is shut down, a terminal that is closed
_AGAIN_S = 0.01


class Stopped(KeyboardInterrupt):
    """Somebody at the keyboard or the system asks for an end; `number` is that of the signal."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


@contextmanager
def heeded() -> Iterator[None]:
    """The system's stops are heard as Ctrl-C is, so that nothing half-done stays; one that somebody set aside (`nohup`) is not."""
    before, asked, ignored, again = {}, [], sys.unraisablehook, []

    def stop(number: int, _frame: Any) -> None:
        asked.append(number)
        raise Stopped(number)

    def hear_again(dropped: sys.UnraisableHookArgs) -> None:
        """A stop that is raised while an object goes, or in a library that asks Python back, is dropped there: it is sent once more, from outside."""
        error = dropped.exc_value
        if isinstance(error, KeyboardInterrupt):
            again.append(Timer(_AGAIN_S, os.kill, (os.getpid(), asked[-1] if asked else signal.SIGINT)))
            again[-1].start()
        else:
            ignored(dropped)

    if current_thread() is main_thread():
        for number in (getattr(signal, name) for name in _ENDS if hasattr(signal, name)):
            if signal.getsignal(number) in (signal.SIG_DFL, signal.default_int_handler):
                before[number] = signal.signal(number, stop)
        sys.unraisablehook = hear_again
    try:
        yield
    except Exception as error:
        if asked:  # a compiled library has put an error of its own in the place of the stop
            raise Stopped(asked[-1]) from error
        raise
    finally:
        sys.unraisablehook = ignored
        for timer in again:
            timer.cancel()
        for number, handler in before.items():
            signal.signal(number, handler)


def end_stopped(error: BaseException, told: str) -> NoReturn:
    """End the process as a stopped one: the sentence, and the code by which shells know the signal, 130 for Ctrl-C."""
    cause = error if isinstance(error, Stopped) else error.__cause__  # click hands a stop on as one of its own
    with suppress(OSError):  # the terminal may be gone
        click.echo(f"lenscalc: stopped; {told}", err=True)
    sys.exit(128 + (cause.number if isinstance(cause, Stopped) else signal.SIGINT))

