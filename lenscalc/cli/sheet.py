"""The reading sheet that a command is given: a file, or the demo's."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from lenscalc.demo import FIRST_SHEET, demo_text
from lenscalc.refractometer import ReadingSheet, read_sheet, sheet_from_text


def sheet_argument(f: Callable[..., Any]) -> Callable[..., Any]:
    """`SHEET` or `--demo`."""
    f = click.option("--demo", is_flag=True, help="Take the demo sheet that comes with the package.")(f)
    return click.argument("sheet", required=False)(f)


def wanted_sheet(sheet: str | None, demo: bool) -> ReadingSheet:
    """The sheet of the file, or the demo's."""
    if demo == (sheet is not None):
        raise click.UsageError("give one reading sheet, or --demo")
    return sheet_from_text(demo_text(FIRST_SHEET), FIRST_SHEET) if demo else read_sheet(str(sheet))
