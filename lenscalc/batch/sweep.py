"""A design of a sweep in TOML, expanded as a stream of blocks: no table of it ever stands in memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import isinf
from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.chain.table import CHOICES, INPUT_COLUMNS, LABELS
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.own_file import read_text, tables_in
from lenscalc.quantities import FloatArray, as_number, counted, is_quantity, quantity, whole_number

LARGEST_HYPERCUBE = 20_000_000  # points times quantities: 160 MB; a Latin hypercube is only one as a whole
_TABLES = ("fixed", "combine", "latin_hypercube")
_RANGE = {"from", "to", "step", "points"}


@dataclass(frozen=True, eq=False)
class Sweep:
    """Values of every quantity: the same in all rows, every combination, and points of a Latin hypercube at each combination."""

    fixed: dict[str, Any]
    combine: dict[str, Any]
    hypercube: dict[str, FloatArray]

    @property
    def size(self) -> int:
        """How many rows: the product of the combined lengths, times the points of the hypercube."""
        count = len(next(iter(self.hypercube.values()))) if self.hypercube else 1
        for values in self.combine.values():
            count *= len(values)
        return count

    def rows(self, start: int, stop: int) -> dict[str, Any]:
        """The rows from `start` to before `stop`: the first combined quantity changes slowest, the hypercube's point fastest."""
        at = np.arange(start, stop, dtype=np.int64)
        columns: dict[str, Any] = {}
        left = at
        if self.hypercube:
            points = len(next(iter(self.hypercube.values())))
            for name, values in self.hypercube.items():
                columns[name] = values[at % points]
            left = at // points
        for name, values in reversed(self.combine.items()):
            columns[name] = values[left % len(values)]
            left = left // len(values)
        given = {name: _repeated(value, len(at)) for name, value in self.fixed.items()}
        return {**given, **{n: columns[n] for n in (*self.combine, *self.hypercube)}}

    def blocks(self, block_rows: int) -> Iterator[Block]:
        """All rows in blocks."""
        for start in range(0, self.size, block_rows):
            stop = min(start + block_rows, self.size)
            yield Block(self.rows(start, stop), share=stop / self.size)


def _repeated(value: Any, size: int) -> Any:
    return np.full(size, value, dtype=object if isinstance(value, str) else np.float64)


def read_sweep(path: str | Path) -> Sweep:
    """The design in a TOML file.

    `[fixed]` holds values that are the same in every row. In `[combine]` a name has a list, or a range `{ from = 10, to = 20, step = 0.5 }` or
    `{ from = 10, to = 20, points = 21 }`; every combination is a row. `[latin_hypercube]` has `points` and `seed`, and ranges `{ from, to }`; its
    points come from scipy.stats.qmc and stand at every combination. Names are those of the columns of a table.

    Raises
    ------
    FileError
        for a file that cannot be read as text.
    InputError
        for what is no TOML, a name that nobody knows, a range that does not come out even, a value that cannot be.
    """
    design = tables_in(read_text(path), str(path), parse_float=Decimal)
    try:
        return _sweep(design)
    except InputError as error:
        raise InputError(f"{path}: {error}", quantity=error.quantity) from None


def _sweep(design: dict[str, Any]) -> Sweep:
    for table, content in design.items():
        if table not in _TABLES:
            hint = "a reading sheet goes to lenscalc follow: " if "reading" in design else ""
            raise InputError(f"{hint}{UnknownNameError(table, _TABLES, what='table')}", quantity=table)
        if not isinstance(content, dict):
            raise InputError(f"{table} must be a table: write [{table}]")
    cube = dict(design.get("latin_hypercube", {}))
    size = {key: cube.pop(key, None) for key in ("points", "seed")}
    names = [*design.get("fixed", {}), *design.get("combine", {}), *cube]
    for name in names:
        if name not in INPUT_COLUMNS and name not in LABELS and not name.startswith("note_"):
            raise UnknownNameError(name, INPUT_COLUMNS, what="quantity")
        if names.count(name) > 1:
            raise InputError(f"{name} stands in two tables: it can be in one of them", quantity=name)
    fixed = {n: _value(n, v) for n, v in design.get("fixed", {}).items()}
    combine = {n: _values(n, v) for n, v in design.get("combine", {}).items()}
    found = Sweep(fixed, combine, _hypercube(cube, size["points"], size["seed"]) if "latin_hypercube" in design else {})
    if not combine and not found.hypercube:
        raise InputError("nothing varies: give lists or ranges in [combine], or ranges in [latin_hypercube]")
    return found


def _value(name: str, value: Any) -> Any:
    """One value: a number that can be, or a text where the column holds texts."""
    if not is_quantity(name):
        if not isinstance(value, str):
            raise InputError(f"{name} = {value}: must be a text in quotation marks", quantity=name)
        if name in CHOICES and value not in CHOICES[name]:
            raise InputError(f"{name} = {value!r}: must be {' or '.join(CHOICES[name])}", quantity=name)
        return value
    if isinstance(value, bool) or not isinstance(value, int | Decimal | str):
        raise InputError(f"{name} = {value}: must be a number, {quantity(name).limits_text}", quantity=name)
    if not isinstance(value, str) and isinf(float(Decimal(value))) and Decimal(value).is_finite():  # of a radius that would be a flat surface
        raise InputError(f"{name} = {Decimal(value):.3e}: must be a number, {quantity(name).limits_text}", quantity=name)
    return float(as_number(name, value if isinstance(value, str) else float(value)))


def _values(name: str, value: Any) -> Any:
    if isinstance(value, dict):
        return _range(name, value)
    if not isinstance(value, list) or not value:
        raise InputError(f"{name}: must be a list of values, or a range {{ from, to, step }} or {{ from, to, points }}", quantity=name)
    found = [_value(name, v) for v in value]
    if is_quantity(name) and (twice := next((v for i, v in enumerate(found) if v in found[:i]), None)) is not None:
        raise InputError(f"{name}: {twice:g} stands twice in its list; is it a decimal comma? write the decimals with a point", quantity=name)
    return np.array(found, dtype=np.float64 if is_quantity(name) else object)


def _number(name: str, key: str, table: dict[str, Any]) -> Decimal:
    value = table.get(key)
    if isinstance(value, bool) or not isinstance(value, int | Decimal) or not Decimal(value).is_finite():
        raise InputError(f"{name}.{key}: {'is missing' if value is None else 'must be a number'}", quantity=name)
    return Decimal(value)


def _ends(name: str, table: Any, keys: set[str]) -> tuple[Decimal, Decimal]:
    if not is_quantity(name) or not isinstance(table, dict):
        raise InputError(f"{name}: must be a range of numbers {{ {', '.join(sorted(keys))} }}", quantity=name)
    for key in table:
        if key not in keys:
            raise UnknownNameError(key, keys, what=f"key of {name}")
    return _number(name, "from", table), _number(name, "to", table)


def _range(name: str, table: dict[str, Any]) -> FloatArray:
    first, last = _ends(name, table, _RANGE)
    if ("step" in table) == ("points" in table):
        raise InputError(f"{name}: give either step or points", quantity=name)
    if "points" in table:
        count = whole_number(f"{name}.points", table["points"], 2, LARGEST_HYPERCUBE)
        return np.array(np.linspace(float(first), float(last), count))
    step = _number(name, "step", table)
    if step == 0 or (last - first) / step < 0:
        raise InputError(f"{name}: steps of {step} do not lead from {first} to {last}", quantity=name)
    count = int((last - first) / step)
    if count >= LARGEST_HYPERCUBE:
        raise InputError(f"{name}: {count + 1:,} steps; at most {LARGEST_HYPERCUBE:,}", quantity=name)
    if first + count * step != last:
        raise InputError(f"{name}: steps of {step} from {first} miss {last}; the last one would be {first + count * step}", quantity=name)
    return np.array([float(first + i * step) for i in range(count + 1)])


def _hypercube(ranges: dict[str, Any], points: Any, seed: Any) -> dict[str, FloatArray]:
    for key, value in (("points", points), ("seed", seed)):
        if isinstance(value, bool) or not isinstance(value, int) or value < (1 if key == "points" else 0):
            told = "is missing" if value is None else f"{value!r} cannot be"
            raise InputError(f"latin_hypercube.{key} {told}: must be a whole number, {'at least 1' if key == 'points' else '0 or more'}")
    if not ranges:
        raise InputError("latin_hypercube: no quantity has a range { from, to }")
    if points * len(ranges) > LARGEST_HYPERCUBE:
        cube = f"{points:,} points of {counted(len(ranges), 'quantity', 'quantities')}"
        raise InputError(f"latin_hypercube: {cube}; a hypercube is one only as a whole, and at most {LARGEST_HYPERCUBE:,} numbers are held: combine "
                         "a smaller one with steps")  # fmt: skip
    ends = {n: _ends(n, r, {"from", "to"}) for n, r in ranges.items()}
    for name, (low, high) in ends.items():
        if not low < high:
            raise InputError(f"{name}: from = {low} must lie below to = {high}", quantity=name)
    from scipy.stats import qmc  # two seconds to import: only where a hypercube is wanted

    unit = qmc.LatinHypercube(d=len(ends), seed=np.random.default_rng(seed)).random(points)
    return {n: float(low) + unit[:, i] * (float(high) - float(low)) for i, (n, (low, high)) in enumerate(ends.items())}
