"""A row of the demo that somebody changed on the page does not go on as the demo's: what is computed and saved says that it was changed."""

from __future__ import annotations

import csv
import io
from functools import cache
from typing import TYPE_CHECKING

from lenscalc.demo import demo_text
from lenscalc.web.table.table_editor import cell_text

if TYPE_CHECKING:
    import pandas as pd

DEMO = "candidates.csv"
CHANGED = "changed on the page, begun from the demo"
_WHOSE, _SHEET = "provenance", "note_sheet"  # what a row says of itself, and what no longer holds of one that was changed


@cache
def _of_the_demo() -> tuple[dict[str, str], ...]:
    """The demo's rows, each with the cells that have something in them."""
    return tuple({n: cell for n, cell in row.items() if cell} for row in csv.DictReader(io.StringIO(demo_text(DEMO))))


def changed_rows(frame: pd.DataFrame) -> list[int]:
    """The places of the rows that are said to be the demo's and are not, as it has none like them.

    >>> from lenscalc.web.table.table_editor import frame_of
    >>> frame = frame_of(demo_text(DEMO))
    >>> frame.loc[2, "n_reading"] = "1,4910"
    >>> changed_rows(frame)
    [2]
    """
    if _WHOSE not in frame.columns:
        return []
    names, whose = [str(n) for n in frame.columns], {row[_WHOSE] for row in _of_the_demo()}
    found = []
    for i, row in enumerate(frame.itertuples(index=False, name=None)):
        cells = {n: text for n, value in zip(names, row, strict=True) if (text := cell_text(n, value))}
        if cells.get(_WHOSE) in whose and cells not in _of_the_demo():
            found.append(i)
    return found


def with_changes_said(frame: pd.DataFrame) -> pd.DataFrame:
    """The table in which each such row says that it was changed, until somebody writes where its numbers come from.

    >>> from lenscalc.web.table.table_editor import frame_of
    >>> frame = frame_of(demo_text(DEMO))
    >>> frame.loc[2, "n_reading"] = "1.4910"
    >>> with_changes_said(frame)["provenance"].tolist()[1:3]
    ['invented for the demo', 'changed on the page, begun from the demo']
    """
    rows = set(changed_rows(frame))
    if not rows:
        return frame
    told = {_WHOSE: CHANGED} | ({_SHEET: ""} if _SHEET in frame.columns else {})
    return frame.assign(**{name: [text if i in rows else cell for i, cell in enumerate(frame[name])] for name, text in told.items()})
