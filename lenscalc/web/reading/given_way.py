"""Readings of an example that give way to one's own when these are pasted beside them: no page here, so that it can be tested by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from lenscalc.web.reading.pasted_end import Rows
from lenscalc.web.reading.readings_table import PLACE
from lenscalc.web.reading.typed_cells import as_written


class GivenWay(NamedTuple):
    """The rows that stay, each with its own line and temperature, and those that gave way."""

    rows: Rows
    taken_out: Rows


def given_way(before: Rows, after: Rows, examples: Sequence[float]) -> GivenWay | None:
    """What becomes of the rows by a paste of two readings or more: each has its line and temperature, and the example's give way that stand at one
    place with them, for a mean of one's own readings and an example's is nobody's. None where all stands as it should.

    A single reading may have been typed: then the others stay, and so they do where rows were taken out.

    >>> rows = [{"wavelength_nm": "589.29", "n": "1.4902"}, {"n": "1.4904"}, {"n": "1.4903"}]
    >>> found = given_way(rows, [{**rows[0], "n": "1,4921"}, {"n": "1,4923"}, rows[2]], [1.4902, 1.4904, 1.4903])
    >>> [row["n"] for row in found.rows], [row["n"] for row in found.taken_out]
    (['1,4921', '1,4923'], ['1.4903'])
    """
    if len(after) < len(before):
        return None
    was, now = ([as_written(row.get("n")) for row in rows] for rows in (before, after))
    first = next((i for i, n in enumerate(now) if was[i : i + 1] != [n]), len(now))
    end = len(now)
    while end > first and end > len(now) - len(was) and now[end - 1] == was[end - 1 - len(now)]:
        end -= 1
    pasted = [i for i in range(first, end) if now[i]]
    if len(pasted) < 2:
        return None
    rows = _each_with_its_place(after)
    there = {_place(rows[i]) for i in pasted}  # readings at another line are another matter
    gone = [i for i, row in enumerate(rows) if i not in range(first, end) and _place(row) in there and _is_one_of(now[i], examples)]
    if not gone and rows == [dict(row) for row in after]:
        return None
    return GivenWay([row for i, row in enumerate(rows) if i not in gone], [rows[i] for i in gone])


def _each_with_its_place(rows: Rows) -> list[dict[str, Any]]:
    """An empty line, temperature or direction is that of the row above; a row without a reading needs none."""
    whole: list[dict[str, Any]] = []
    above: dict[str, str] = {}
    for row in rows:
        above = {name: as_written(row.get(name)) or above.get(name, "") for name in PLACE}
        whole.append({**row, **({name: text for name, text in above.items() if text} if as_written(row.get("n")) else {})})
    return whole


def _place(row: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(as_written(row.get(name)).replace(",", ".") for name in PLACE)


def _is_one_of(text: str, examples: Sequence[float]) -> bool:
    try:
        return float(text.replace(",", ".")) in examples
    except ValueError:
        return False
