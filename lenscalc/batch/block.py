"""Some rows of a table on their way through."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from lenscalc.chain.by_trials import BY_TRIALS
from lenscalc.chain.image import BY_DIFFRACTION, BY_RAYS, TOGETHER

BLOCK_ROWS = 65_536
# what takes so long that fewer rows go together, as measured
MS_A_ROW = {**dict.fromkeys(BY_TRIALS, 10.0), **dict.fromkeys(BY_DIFFRACTION, 0.5), **dict.fromkeys(BY_RAYS, 0.3)}
A_BLOCK_MS = 2000.0


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


def ms_a_row(compute: Sequence[str]) -> float:
    """How long a row takes of what takes long, 0 for what does not."""
    return max((MS_A_ROW[name] for name in compute if name in MS_A_ROW), default=0.0)


def rows_of_a_block(compute: Sequence[str]) -> int:
    """How many rows go together where nobody says so: never more than take a moment."""
    each = ms_a_row(compute)
    return BLOCK_ROWS if each == 0.0 else min(BLOCK_ROWS, int(A_BLOCK_MS / each) // TOGETHER * TOGETHER)
