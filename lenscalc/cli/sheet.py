"""The reading sheet that a command is given: a file, or the demo's."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from lenscalc.demo import FIRST_SHEET, demo_text
from lenscalc.own_file import read_text
from lenscalc.refractometer import ReadingSheet, sheet_from_text


def sheet_argument(f: Callable[..., Any]) -> Callable[..., Any]:
    """`SHEET` or `--demo`."""
    f = click.option("--demo", is_flag=True, help="Take the demo sheet that comes with the package.")(f)
    return click.argument("sheet", required=False)(f)


def wanted_sheet(sheet: str | None, demo: bool) -> ReadingSheet:
    """The sheet of the file, or the demo's."""
    return sheet_from_text(*sheet_text(sheet, demo))


def sheet_text(sheet: str | None, demo: bool) -> tuple[str, str]:
    """The text of the file, or of the demo's, and the name that stands in messages."""
    if demo == (sheet is not None):
        raise click.UsageError("give one reading sheet, or --demo")
    return (demo_text(FIRST_SHEET), FIRST_SHEET) if demo else (read_text(str(sheet)), str(sheet))
