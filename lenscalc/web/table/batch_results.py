"""Results that lie in a file, looked at: which columns have numbers, which rows are meant, and only these in memory."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from lenscalc.batch.ranked import NAMES
from lenscalc.decision.decide import UNDECIDED, WOULD, WOULD_NOT

_FIRST = ("power_D", "n_lens", "abbe_d", "u_power_D", "u_n_lens", "conformance_probability", "edge_thickness_mm", "front_radius_mm")
KINDS = ("would conform", "would not conform", "not decided")
WITHOUT = "without a verdict"  # a row that has no label, say


def columns_of(path: Path) -> list[str]:
    """The names of all columns."""
    import pyarrow.parquet as pq

    return list(pq.read_schema(path).names)


def varying_numbers(path: Path) -> list[str]:
    """The columns of numbers that are not the same in every row, those that a reader asks for first in front; no refraction beside a power."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    with pq.ParquetFile(path) as file:
        groups = [file.metadata.row_group(i) for i in range(file.metadata.num_row_groups)]
        found = []
        for j, field in enumerate(file.schema_arrow):
            stated = [g.column(j).statistics for g in groups]
            ends = [(s.min, s.max) for s in stated if s is not None and s.has_min_max]
            number = pa.types.is_floating(field.type) or pa.types.is_integer(field.type)
            if number and ends and min(e[0] for e in ends) < max(e[1] for e in ends) and "refraction" not in field.name:
                found.append(field.name)
    return [n for n in _FIRST if n in found] + [n for n in found if n not in _FIRST]


def rows_of(path: Path, names: Sequence[str], rows: Any = None) -> dict[str, Any]:
    """Some columns, of some rows or of all, as arrays."""
    import pyarrow.parquet as pq

    table = pq.read_table(path, columns=list(dict.fromkeys(names)))
    if rows is not None:
        table = table.take(rows)
    return {n: _array(c) for n, c in zip(table.column_names, table.columns, strict=True)}


def _array(column: Any) -> Any:
    import pyarrow as pa

    if pa.types.is_floating(column.type) or pa.types.is_integer(column.type):
        return np.asarray(column.to_numpy(), dtype=np.float64)
    return np.array(["" if x is None else x for x in column.to_pylist()], dtype=object)


def first_problem(path: Path) -> tuple[int, str]:
    """The first row with a problem, by its place in the file, and what it is; (-1, "") where none has one."""
    told = rows_of(path, ["problem"])["problem"]
    rows = np.flatnonzero(told != "")
    return (int(rows[0]), str(told[rows[0]])) if rows.size else (-1, "")


def in_every_row(path: Path) -> list[str]:
    """What every row's problem says, for a table of several rows, none of which could be computed: of a column that the file has not, say."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    column = pq.read_table(path, columns=["problem"])["problem"]
    first, *others = (str(told or "").split("; ") for told in pc.unique(column).to_pylist()) if len(column) > 1 else [[""]]
    return [part for part in first if part and all(part in told for told in others)]


class Points(NamedTuple):
    """The rows that could be computed and have both values of a picture, by their places in the file, with the values; how many have them not."""

    rows: Any
    x: Any
    y: Any
    missing: int


def points_of(path: Path, x: str, y: str) -> Points:
    """The points of a picture. A row with a problem is none, also where what it was given could be drawn."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    found = rows_of(path, [x, y])
    good = pc.fill_null(pc.equal(pq.read_table(path, columns=["problem"])["problem"], ""), True).to_numpy()
    rows = np.flatnonzero(good & np.isfinite(found[x]) & np.isfinite(found[y]))
    return Points(rows, found[x][rows], found[y][rows], int(np.count_nonzero(good)) - len(rows))


def spread(rows: int, most: int) -> Any:
    """Places of at most so many of the rows, evenly spread.

    >>> spread(10, 4).tolist(), spread(3, 4).tolist()
    ([0, 3, 6, 9], [0, 1, 2])
    """
    return np.unique(np.linspace(0, max(rows - 1, 0), min(rows, most)).round().astype(np.int64))


def names_and_kinds(path: Path, rows: Any) -> tuple[list[str], list[str], tuple[str, ...]]:
    """What some rows that could be computed are called, what was decided of each, and what may have been."""
    there = columns_of(path)
    named = next((n for n in NAMES if n in there), None)
    decided = "verdict" in there
    found = rows_of(path, [*([named] if named else []), *(["verdict"] if decided else [])], rows) if named or decided else {}
    names = [str(n) for n in found[named]] if named else [f"row {i + 1}" for i in rows]
    if not decided:
        return names, ["candidate"] * len(names), ("candidate",)
    return names, *kinds_of(found["verdict"])


def kinds_of(verdicts: Iterable[str]) -> tuple[list[str], tuple[str, ...]]:
    """What was decided of each, in the words of the signs' legend, and all that may have been, in the order of the signs.

    >>> kinds_of([WOULD, ""])[0]
    ['would conform', 'without a verdict']
    """
    of = dict(zip((WOULD, WOULD_NOT, UNDECIDED), KINDS, strict=True))
    kinds = [of.get(verdict, WITHOUT) for verdict in verdicts]
    return kinds, (*KINDS, *([WITHOUT] if WITHOUT in kinds else []))


def within_rectangle(points: Points, rectangle: dict[str, Sequence[float]] | None) -> Any:
    """The rows within a rectangle that was drawn in the picture; None where none was."""
    if not rectangle or not {"x", "y"} <= set(rectangle):
        return None
    (x0, x1), (y0, y1) = (sorted(rectangle[n]) for n in ("x", "y"))
    return points.rows[(points.x >= x0) & (points.x <= x1) & (points.y >= y0) & (points.y <= y1)]
