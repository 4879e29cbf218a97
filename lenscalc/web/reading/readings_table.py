"""The readings of a sheet as a table of one row a reading, and back: no page here, so that it can be tested by itself."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from lenscalc.errors import InputError
from lenscalc.quantities import complaint, quantity
from lenscalc.web.reading.sheet_quantities import MINUTES
from lenscalc.web.reading.typed_cells import alike, as_written, has_comma, label_typed, number_typed

PLACE = ("wavelength_nm", "temperature_degC", "direction")  # what rows of one list n share
OWN = ("n", "mounting", "session", "operator", "minutes_after_mounting")  # what each row has for itself
COLUMNS = (*PLACE[:2], "n", *OWN[1:], PLACE[2])
ALWAYS = ("wavelength_nm", "temperature_degC", "n")
_NUMBERS = {  # by the heads of the columns, which is how a sentence names them
    "wavelength_nm": replace(quantity("reading_wavelength_nm"), name="line"), "n": replace(quantity("n_reading"), name="index"),
    "temperature_degC": replace(quantity("reading_temperature_degC"), name="temperature"),
    "minutes_after_mounting": replace(MINUTES, name="minutes"),
}  # fmt: skip

_INDEX = re.compile(r"1[.,][0-9]+")
Readings = list[dict[str, Any]]
Row = dict[str, str]


class Typed(NamedTuple):
    """The `[[reading]]` tables that rows make, and what is to be said of the rows."""

    readings: Readings
    remarks: tuple[str, ...]


def rows_of(readings: Readings) -> list[Row]:
    """One row a reading, all of it text, as a table shows it.

    >>> rows_of([{"wavelength_nm": 589.29, "temperature_degC": 20.0, "n": [1.49, 1.4902], "mounting": [1, 2]}])[1]["n"]
    '1.4902'
    """
    rows = [
        {**{name: r.get(name, "") for name in PLACE}, **{name: r[name][i] if i < len(r.get(name, ())) else "" for name in OWN}}
        for r in readings
        for i in range(len(r.get("n", ())))
    ]
    for name in _NUMBERS:
        held = [i for i, row in enumerate(rows) if isinstance(row[name], int | float)]
        for i, text in zip(held, alike([float(rows[i][name]) for i in held]), strict=True):
            rows[i][name] = text
    return [{name: str(row[name]) for name in COLUMNS} for row in rows]


def readings_of_rows(rows: Sequence[Mapping[str, Any]], before: Readings) -> Typed:
    """The rows as `[[reading]]` tables. What a table says besides (u of the temperature, pooled u, basis) is kept for its line and temperature.

    An empty line, temperature or direction is that of the row above. A row without an index is not counted, and that is said. Rows that were pasted
    into one open cell are laid out from there.

    Raises
    ------
    InputError
        naming the row, for a cell that is no number, or a first row without a line or a temperature.

    >>> typed = readings_of_rows([{"wavelength_nm": "589,29", "temperature_degC": "20", "n": "1,4902"}, {"n": "1,4904"}], [{"basis": "air"}])
    >>> typed.readings
    [{'basis': 'air', 'wavelength_nm': 589.29, 'temperature_degC': 20.0, 'n': [1.4902, 1.4904]}]
    """
    cells = [(i, row) for i, cells in enumerate(rows, 1) for row in _spread({name: as_written(cells.get(name)) for name in COLUMNS})]
    filled = [(i, row) for i, row in cells if any(row.values())]
    _refuse_index_as_line(filled)
    without = [str(i) for i, row in filled if not row["n"]]
    above: Row = dict.fromkeys(PLACE, "")
    groups: dict[tuple[Any, ...], list[dict[str, Any]]] = {}
    for i, row in filled:
        above = {name: row[name] or above[name] for name in PLACE}
        if row["n"]:
            place = tuple(_place(i, name, above[name]) for name in PLACE)
            groups.setdefault(place, []).append({name: _own(i, name, row[name]) for name in OWN})
    remarks = [f"Row {', '.join(without)} of the readings has no index yet and is not counted."] if without else []
    if has_comma(text for _, row in filled for text in row.values()):
        remarks.append("Decimal commas are read as decimal points.")
    return Typed(_with_the_rest(groups, before), tuple(remarks))


def laid_out_rows(rows: Sequence[Mapping[str, Any]], shown: Sequence[str]) -> list[Row] | None:
    """All rows, where some were pasted into one open cell, each as a row of its own from there on; None where there is nothing to lay out.

    Raises
    ------
    InputError
        naming the row, for more columns than there are from that cell on to the right.

    >>> [row["n"] for row in laid_out_rows([{"n": "1.4902\\n1.4904"}, {"n": "1.4903"}], ALWAYS)]
    ['1.4902', '1.4904', '1.4903']
    """
    texts = [{name: as_written(row.get(name)) for name in COLUMNS} for row in rows]
    opened = [(i, name) for i, row in enumerate(texts, 1) if (name := _opened(row))]
    if not opened:
        return None
    for i, name in opened:
        there = [column for column in COLUMNS[COLUMNS.index(name) :] if column in shown]
        most = max(len(line.split("\t")) for line in texts[i - 1][name].splitlines())
        if name in shown and most > len(there):
            raise InputError(
                f"row {i} of the readings: {most} columns were pasted into one cell, and {len(there)} fit there: take the text out, click the first "
                "cell of an empty row once, so that it stays shut, and paste",
            )  # fmt: skip
    return [cells for row in texts for cells in _spread(row)]


def places(readings: Readings) -> list[str]:
    """What each `[[reading]]` is of, in the order in which a message counts them.

    >>> places([{"wavelength_nm": 589.29, "temperature_degC": 20.0, "n": [1.49]}])
    ['reading 1: 589.29 nm, 20 °C']
    """
    return [
        f"reading {i}: {r['wavelength_nm']:g} nm, {r['temperature_degC']:g} °C" + (f", {r['direction']}" if "direction" in r else "")
        for i, r in enumerate(readings, 1)
    ]


def in_use_columns(rows: Sequence[Row]) -> tuple[str, ...]:
    """The columns that hold something, beside those that always stand."""
    return tuple(name for name in COLUMNS if name in ALWAYS or any(row[name] for row in rows))


def _spread(row: Row) -> list[Row]:
    """The row; where a cell holds lines or tabs, as many rows as it has lines, its columns from that cell on to the right."""
    full = _opened(row)
    if full is None:
        return [row]
    from_there = COLUMNS[COLUMNS.index(full) :]
    pasted = [dict(zip(from_there, line.split("\t"), strict=False)) for line in row[full].splitlines() if line.strip()]
    empty = dict.fromkeys(COLUMNS, "")
    first, *rest = [{name: text.strip() for name, text in cells.items()} for cells in pasted]
    return [{**row, **first}, *({**empty, **cells} for cells in rest)]


def _opened(row: Row) -> str | None:
    """The cell that holds several, pasted while it was open."""
    return next((name for name in COLUMNS if "\t" in row[name] or "\n" in row[name]), None)


def _refuse_index_as_line(filled: Sequence[tuple[int, Row]]) -> None:
    """Indices alone that were pasted at the table's corner stand under the line."""
    for i, row in filled:
        text = row["wavelength_nm"]
        if not row["n"] and _INDEX.fullmatch(text):
            raise InputError(f"row {i} of the readings: {text} stands under line, in nm, with no index beside it: paste it under index", value=text)


def _place(row: int, name: str, text: str) -> float | str | None:
    if name == "direction":
        return text or None
    if not text:
        raise InputError(f"row {row} of the readings: {_NUMBERS[name].name} is missing, and no row above states it", quantity=_NUMBERS[name].name)
    return _number(row, name, text)


def _own(row: int, name: str, text: str) -> Any:
    if not text:
        return None
    return _number(row, name, text) if name in _NUMBERS else label_typed(text)


def _number(row: int, name: str, text: str) -> float:
    if name == "n" and len(parts := text.split()) > 1 and all(part[:1].isdigit() for part in parts):
        raise InputError(f"row {row} of the readings: index = {text!r} holds {len(parts)} numbers: give each reading a row of its own")
    try:
        value = number_typed(_NUMBERS[name], text)
        if wrong := complaint(_NUMBERS[name], value):
            raise InputError(wrong)
    except InputError as error:
        raise InputError(f"row {row} of the readings: {error}", quantity=_NUMBERS[name].name, value=text) from None
    return value


def _with_the_rest(groups: dict[tuple[Any, ...], list[dict[str, Any]]], before: Readings) -> Readings:
    """Every group with what its table said besides; a new one takes that of a table that is gone, else that of the first."""
    held = {tuple(r.get(name) for name in PLACE): r for r in before}
    gone = [r for place, r in held.items() if place not in groups]
    made = []
    for place, rows in groups.items():
        old = held.get(place) or (gone.pop(0) if gone else before[0] if before else {})
        rest = {name: value for name, value in old.items() if name not in (*PLACE, *OWN)}
        own = {name: [row[name] for row in rows if row[name] is not None] for name in OWN}
        made.append({
            **rest, **{name: value for name, value in zip(PLACE, place, strict=True) if value is not None},
            **{name: values for name, values in own.items() if values},
        })  # fmt: skip
    return made
