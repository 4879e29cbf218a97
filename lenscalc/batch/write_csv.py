"""CSV out: a block as text, in which no cell can act as a formula."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

import numpy as np

# what a spreadsheet program takes for the beginning of a formula, the full-width forms too; numbers begin so as well and stay as they are
_FORMULA = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r]")
_NUMBER = re.compile(r"\s*[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)([eE][+-]?[0-9]+)?\s*|\s*[+-]?(inf|nan)\s*|-")


def is_formula(text: str) -> bool:
    """Whether a spreadsheet program could take a text for a formula.

    >>> [is_formula(t) for t in ("=1+1", "@SUM(A1)", "-15", "+1.5e-3", "-15+A1", "plano", "-")]
    [True, True, False, False, True, False, False]
    """
    return bool(_FORMULA.match(text)) and not _NUMBER.fullmatch(text)


def disarmed(text: str) -> str:
    """The text with an apostrophe before it, the spreadsheets' own sign of a text, where it could become a formula; else as it is."""
    return f"'{text}" if is_formula(text) else text


def as_cell(value: Any) -> Any:
    """A value as it stands in a CSV cell: the shortest text that reads back the same, nan empty, −0 as 0, no formula."""
    if isinstance(value, str):
        return value if not value or value[0].isalnum() else disarmed(value)
    if isinstance(value, float):  # np.float64 is one
        return "" if value != value else repr(float(value) + 0.0)
    if value is None:
        return ""
    return value if isinstance(value, int) else disarmed(str(value))


def csv_block(columns: dict[str, Any], *, first_line: bool) -> str:
    """Some rows as CSV text, with the names before them or without."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    if first_line:
        writer.writerow([disarmed(n) for n in columns])
    writer.writerows(zip(*(_cells(column) for column in columns.values()), strict=True))
    return out.getvalue()


def csv_text(columns: dict[str, Any]) -> str:
    """One block as CSV text (for a page's download)."""
    return csv_block(columns, first_line=True)


def _cells(column: Any) -> list[Any]:
    if column.dtype == np.float64:
        cells = (column + 0.0).astype(object)
        cells[np.isnan(column)] = ""
        return list(cells.tolist())
    return [as_cell(x) for x in column.tolist()]
