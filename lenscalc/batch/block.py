"""Some rows of a table on their way through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from lenscalc.chain.by_trials import BY_TRIALS
from lenscalc.chain.image import BY_DIFFRACTION

BLOCK_ROWS = 65_536
FEWER_ROWS = {**dict.fromkeys(BY_TRIALS, 256), **dict.fromkeys(BY_DIFFRACTION, 1024)}  # of what takes milliseconds a row: a second or two a block


@dataclass(eq=False)
class Block:
    """Some rows of a file: columns of values as they stand there, and what is wrong with a row as a row.

    `types` are the Parquet types of columns that are not plain numbers or texts, `share` is how much of the file has been read so far (nan: unknown),
    `first_row` how many rows lie before it.
    """

    columns: dict[str, Any]
    problems: dict[int, str] = field(default_factory=dict)
    warnings: dict[int, str] = field(default_factory=dict)
    types: dict[str, Any] = field(default_factory=dict)
    share: float = float("nan")
    first_row: int = 0

    @property
    def size(self) -> int:
        """How many rows."""
        return len(next(iter(self.columns.values()), ()))

    @property
    def rows_so_far(self) -> int:
        """How many rows there are up to its end."""
        return self.first_row + self.size

    @property
    def rows_in_all(self) -> int | None:
        """How many rows the whole file has, estimated from what has been read; None if unknown."""
        return round(self.rows_so_far / self.share) if self.share > 0 else None

    def __str__(self) -> str:
        return f"rows {self.first_row + 1:,} to {self.rows_so_far:,}"


def rows_of_a_block(compute: Sequence[str]) -> int:
    """How many rows go together where nobody says so: as many as take a moment."""
    return min((FEWER_ROWS[name] for name in compute if name in FEWER_ROWS), default=BLOCK_ROWS)
