"""The line that says how far a run is: on a terminal only, and on standard error."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import click

_EVERY_S = 0.2


def progress_line() -> tuple[Callable[[int, int], None], Callable[[], None]]:
    """What to call with rows done and rows in all (0: unknown), and what to call at the end. The rate counts from the first call on."""
    if not sys.stderr.isatty():
        return lambda done, total: None, lambda: None
    begun = last = time.monotonic()
    at_first = -1
    shown = 0

    def show(done: int, total: int) -> None:
        nonlocal last, at_first, shown
        now = time.monotonic()
        at_first = done if at_first < 0 else at_first
        if now - last < _EVERY_S and done != total:
            return
        last = now
        text = line_of(done, total, (done - at_first) / (now - begun) if now > begun else 0.0)
        click.echo(f"\r{text:<{shown}}", nl=False, err=True)
        shown = len(text)

    def end() -> None:
        if shown:
            click.echo(f"\r{'':<{shown}}\r", nl=False, err=True)

    return show, end


def line_of(done: int, total: int, per_second: float) -> str:
    """The line: rows, rate, and the time left where it can be told.

    >>> line_of(1_500_000, 6_000_000, 300_000.0)
    '1,500,000 of about 6,000,000 rows, 300,000 rows/s, 15 s left'
    >>> line_of(1_500_000, 0, 0.0)
    '1,500,000 rows'
    """
    text = f"{done:,} of about {total:,} rows" if total else f"{done:,} rows"
    if per_second > 0:
        text += f", {per_second:,.0f} rows/s"
        if total:
            text += f", {_in_words(max(total - done, 0) / per_second)} left"
    return text


def _in_words(seconds: float) -> str:
    if seconds < 100:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 6000 else f"{seconds / 3600:.1f} h"
