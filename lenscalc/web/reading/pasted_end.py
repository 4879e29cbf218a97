"""The empty row that a paste from a spreadsheet leaves behind, by its final line break: no page here, so that it can be tested by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lenscalc.web.reading.typed_cells import as_written

Rows = Sequence[Mapping[str, Any]]


def without_pasted_end(before: Rows, after: Rows) -> Rows | None:
    """The rows without the empty ones that were added at their end together with others; None where there are none.

    A row that somebody adds by hand is empty too. It comes alone, or with the one cell that was typed right before: such a row stays.

    >>> without_pasted_end([{"n": "1.49"}], [{"n": "1.50"}, {"n": "1.51"}, {"n": None}])
    [{'n': '1.50'}, {'n': '1.51'}]
    >>> without_pasted_end([{"n": "1.49"}], [{"n": "1.50"}, {"n": None}]) is None
    True
    """
    end = len(after)
    while end > len(before) and not any(as_written(cell) for cell in after[end - 1].values()):
        end -= 1
    if end == len(after):
        return None
    older: Rows = [*before, *({} for _ in after[len(before) : end])]
    changed = sum(as_written(row.get(name)) != as_written(old.get(name)) for old, row in zip(older, after[:end], strict=True) for name in row)
    return after[:end] if changed > 1 else None
