"""A list of tables of a sheet (references, a prism's indices) as rows of text, and back, by the schema: no page here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lenscalc.errors import InputError
from lenscalc.quantities import Quantity, plain, quantity
from lenscalc.refractometer.schema import SCHEMA, Limits, Number, Numbers, Text
from lenscalc.web.reading.sheet_quantities import of_sheet
from lenscalc.web.reading.typed_cells import number_typed, numbers_typed

Row = dict[str, str]


def rows_of_tables(entries: Sequence[Mapping[str, Any]], schema: str) -> list[Row]:
    """One row a table, every key of the schema a column of text; empty where the table does not say.

    >>> rows_of_tables([{"wavelength_nm": 589.29, "n_prism": 1.75, "u_n_prism": 1e-5}], "instrument.prism")
    [{'wavelength_nm': '589.29', 'n_prism': '1.75', 'u_n_prism': '1e-05'}]
    """
    return [{key: _written(entry.get(key, "")) for key in SCHEMA[schema]} for entry in entries]


def tables_of_rows(rows: Sequence[Mapping[str, Any]], schema: str) -> list[dict[str, Any]]:
    """The tables that rows make; empty cells are keys left out, empty rows no tables.

    Raises
    ------
    InputError
        naming table and key, for a cell that is no number.

    >>> tables_of_rows([{"wavelength_nm": "589,29", "n_prism": "1.75", "u_n_prism": None}, {}], "instrument.prism")
    [{'wavelength_nm': 589.29, 'n_prism': 1.75}]
    """
    texts = [{key: _text(row.get(key)) for key in SCHEMA[schema]} for row in rows]
    filled = [row for row in texts if any(row.values())]
    return [
        {key: _read(f"[{schema} {i}] {key}", key, text, schema) for key, text in row.items() if text} for i, row in enumerate(filled, 1)
    ]


def asked(schema: str, key: str) -> Quantity:
    """The quantity that a key of the schema asks for."""
    kind = SCHEMA[schema][key]
    return quantity(kind.quantity) if isinstance(kind, Number | Numbers) else of_sheet(schema, key, key, key, 6)


def _text(cell: Any) -> str:
    return "" if cell is None or cell != cell else str(cell).strip()


def _written(value: Any) -> str:
    if isinstance(value, list):
        return "  ".join(_written(v) for v in value)
    return plain(value) if isinstance(value, int | float) else str(value)


def _read(where: str, key: str, text: str, schema: str) -> Any:
    kind = SCHEMA[schema][key]
    if isinstance(kind, Text):
        return text
    try:
        if isinstance(kind, Numbers):
            return numbers_typed(asked(schema, key), text)
        assert isinstance(kind, Number | Limits)
        return number_typed(asked(schema, key), text)
    except InputError as error:
        raise InputError(f"{where}: {error}", quantity=error.quantity, value=text) from None
