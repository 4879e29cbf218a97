"""A command that is told to stop, by hand or by the system: what it has begun is put away, and it ends with a sentence."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from threading import current_thread, main_thread
from types import FrameType
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
    before: dict[int, Any] = {}
    asked: list[int] = []
    dropped: list[int] = []
    ignored, can_wake = sys.unraisablehook, hasattr(signal, "setitimer")

    def stop(number: int, frame: FrameType | None) -> None:
        asked.append(number)
        if _is_within(frame, hear_again):
            once_more(number)  # nobody would hear it there
            return
        dropped.clear()
        raise Stopped(number)

    def hear_again(lost: sys.UnraisableHookArgs) -> None:
        """A stop that is raised while an object goes, or in a library that asks Python back, is dropped there: it is raised once more, later."""
        if isinstance(lost.exc_value, KeyboardInterrupt):
            once_more(asked[-1] if asked else signal.SIGINT)
        else:
            ignored(lost)

    def once_more(number: int) -> None:
        dropped.append(number)
        signal.setitimer(signal.ITIMER_REAL, _AGAIN_S)  # one alarm, however many were dropped, and no thread to wait for

    def rung(_number: int, frame: FrameType | None) -> None:
        if dropped:  # else another stop has been heard since
            stop(dropped[-1], frame)

    if current_thread() is main_thread():
        for number in (getattr(signal, name) for name in _ENDS if hasattr(signal, name)):
            if signal.getsignal(number) in (signal.SIG_DFL, signal.default_int_handler):
                before[number] = signal.signal(number, stop)
        if can_wake:
            before[signal.SIGALRM] = signal.signal(signal.SIGALRM, rung)
            sys.unraisablehook = hear_again
    try:
        yield
    except Exception as error:
        if asked:  # a compiled library has put an error of its own in the place of the stop
            raise Stopped(asked[-1]) from error
        raise
    finally:
        sys.unraisablehook = ignored
        dropped.clear()
        if can_wake and signal.SIGALRM in before:
            signal.setitimer(signal.ITIMER_REAL, 0.0)
        for number, handler in before.items():
            signal.signal(number, handler)


def _is_within(frame: FrameType | None, function: Callable[..., None]) -> bool:
    while frame is not None and frame.f_code is not function.__code__:
        frame = frame.f_back
    return frame is not None


def end_stopped(error: BaseException, told: str) -> NoReturn:
    """End the process as a stopped one: the sentence, and the code by which shells know the signal, 130 for Ctrl-C."""
    cause = error if isinstance(error, Stopped) else error.__cause__  # click hands a stop on as one of its own
    with suppress(OSError):  # the terminal may be gone
        click.echo(f"lenscalc: stopped; {told}", err=True)
    sys.exit(128 + (cause.number if isinstance(cause, Stopped) else signal.SIGINT))

