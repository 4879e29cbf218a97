"""Parquet out: a block as a table whose types follow from the names, so that every block has the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, as_number, is_quantity

METADATA_KEY = b"lenscalc"


def arrow_table(columns: dict[str, Any], types: Mapping[str, Any]) -> Any:
    """The columns as an Arrow table. A quantity is a number; a text in its place is null here and quoted in `problem`."""
    import pyarrow as pa

    return pa.table({n: _array(pa, n, c, types.get(n)) for n, c in columns.items()})


def options_for(schema: Any) -> dict[str, Any]:
    """How a file of these columns is written: a dictionary for texts alone; of computed numbers it would try one in vain, in most of the time."""
    import pyarrow as pa

    return {"use_dictionary": [f.name for f in schema if not (pa.types.is_floating(f.type) or pa.types.is_nested(f.type))]}


def _array(pa: Any, name: str, column: Any, kind: Any) -> Any:
    if kind is not None:
        return pa.array(column, type=kind)
    if column.dtype == np.float64:
        return pa.array(column)
    if is_quantity(name):
        return pa.array(numbers_in(name, column))
    if name in ("problem", "warning") and not np.count_nonzero(column != ""):
        return pa.repeat(pa.scalar(""), len(column))
    try:  # texts and None, as nearly always: five times as fast
        return pa.array(column, pa.string())
    except (pa.ArrowTypeError, pa.ArrowInvalid):
        return pa.array([x if x is None else str(x) for x in column.tolist()], pa.string())


def numbers_in(name: str, column: Any) -> FloatArray:
    """The numbers of a quantity's column, plano as inf, nan for what is none."""
    try:
        texts = np.where(column == "", "nan", column)
        if all(isinstance(x, str) and x.isascii() and "_" not in x for x in texts):
            return np.array(texts.astype(np.float64))
    except (TypeError, ValueError):
        pass
    return np.fromiter((_number(name, x) for x in column.tolist()), dtype=np.float64, count=len(column))


def _number(name: str, value: Any) -> float:
    if value is None or isinstance(value, bool) or (isinstance(value, str) and not value.strip()):
        return float("nan")
    try:
        return float(as_number(name, value))
    except (InputError, TypeError):
        return float("nan")
