"""Some rows of a table on their way through."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

BLOCK_ROWS = 65_536


@dataclass(eq=False)
class Block:
    """Some rows of a file: columns of values as they stand there, and what is wrong with a row as a row.

    `types` are the Parquet types of columns that are not plain numbers or texts, `share` is how much of the file has been read so far (nan: unknown).
    """

    columns: dict[str, Any]
    problems: dict[int, str] = field(default_factory=dict)
    warnings: dict[int, str] = field(default_factory=dict)
    types: dict[str, Any] = field(default_factory=dict)
    share: float = float("nan")

    @property
    def size(self) -> int:
        """How many rows."""
        return len(next(iter(self.columns.values()), ()))
