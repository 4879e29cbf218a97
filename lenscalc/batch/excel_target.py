"""Excel out: one workbook, written when it is whole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lenscalc.batch.unfinished import Entry, Unfinished


def as_they_are(columns: dict[str, Any], types: Mapping[str, Any], *, first: bool) -> dict[str, Any]:
    """A workbook takes the columns themselves."""
    return columns


class ExcelTarget:
    """One workbook."""

    ms_a_row = 0.0
    kept = None
    encode = staticmethod(as_they_are)

    def __init__(self, path: str, state: Unfinished) -> None:
        from lenscalc.batch.write_excel import Workbook

        self.path, self.state, self.book = path, state, Workbook()

    def start(self, *, resume: bool) -> list[Entry]:
        """Nothing of an earlier run can be used."""
        return self.state.start(resume=False)

    def append(self, data: dict[str, Any], rows: int, problems: int) -> None:
        """Some rows below the others."""
        self.book.append(data)

    def finish(self, statement: Mapping[str, Any]) -> None:
        """The workbook under its name, its statement beside it."""
        self.book.save(self.state.result)
        self.state.put(self.path, statement)

    def give_up(self, *, keep: bool) -> None:
        """Nothing can be kept."""
        self.state.leave(keep=False)
