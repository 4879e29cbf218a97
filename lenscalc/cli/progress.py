"""The line that says how far a run is: on a terminal only, and on standard error."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import click

from lenscalc.batch.progress_text import line_of

_EVERY_S = 0.2


def progress_line(what: str = "rows") -> tuple[Callable[[int, int], None], Callable[[], None]]:
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
        text = line_of(done, total, (done - at_first) / (now - begun) if now > begun else 0.0, what)
        click.echo(f"\r{text:<{shown}}", nl=False, err=True)
        shown = len(text)

    def end() -> None:
        if shown:
            click.echo(f"\r{'':<{shown}}\r", nl=False, err=True)

    return show, end
