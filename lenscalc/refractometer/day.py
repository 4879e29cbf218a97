"""A day's readings of many specimens: one CSV, a line a reading, beside one TOML of what all of them share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from lenscalc.errors import FEW, InputError, SheetError, UnknownNameError
from lenscalc.own_file import read_text
from lenscalc.own_table import column_names, rows_of
from lenscalc.quantities import counted, how_to_write
from lenscalc.refractometer.checked_table import checked_value
from lenscalc.refractometer.schema import SCHEMA, Labels, Minutes, Number, Numbers, Text
from lenscalc.refractometer.sheet import ReadingSheet, sheet_from_data

OF_A_READING = ("n", "mounting", "session", "operator", "minutes_after_mounting")
OF_A_PLACE = ("wavelength_nm", "temperature_degC", "direction", "u_temperature_degC", "u_wavelength_nm", "basis", "u_repeatability",
              "dof_repeatability", "u_session", "dof_session")  # fmt: skip
OF_A_SPECIMEN = {
    "specimen": ("material", "lot", "state", "preparation", "u_specimen_to_lens"),
    "dispersion": ("abbe_d", "u_abbe_d"),
    "temperature": ("dn_dt_per_K", "u_dn_dt_per_K"),
    "hydration": ("hydration_shift", "u_hydration_shift", "water_mass_fraction_wet", "u_water_mass_fraction_wet", "dry_density_kg_per_m3",
                  "u_dry_density_kg_per_m3", "mass_wet_g", "mass_dry_g", "u_mass_g"),
    "lens": ("labelled_power_D",),
}  # fmt: skip
COLUMNS = ("specimen", *OF_A_READING, *OF_A_PLACE, *(key for keys in OF_A_SPECIMEN.values() for key in keys))
_KINDS = {key: SCHEMA[table][key] for table, keys in {"reading": (*OF_A_READING, *OF_A_PLACE), **OF_A_SPECIMEN}.items() for key in keys}
_NUMBERS = {key for key, kind in _KINDS.items() if not isinstance(kind, Text | Labels)}


@dataclass(frozen=True, eq=False)
class DaySpecimen:
    """One specimen of the day: its lines in the file, and its sheet, or what is wrong with it."""

    name: str
    lines: tuple[int, ...]
    sheet: ReadingSheet | None
    problem: str


def read_day(path: str | Path, shared: Mapping[str, Any]) -> tuple[DaySpecimen, ...]:
    """The specimens of a day, in the order of the file. A specimen that cannot be read keeps its place and carries its message.

    `shared` holds the tables of a sheet that all specimens have in common; its `[reading]` is one table of common keys. What stands in a column does
    not stand in `shared` as well.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    SheetError
        for a file without lines, an unknown column, or one that is given twice.
    """
    text = read_text(path, kind="CSV UTF-8")
    try:
        return day_from_text(text, shared)
    except InputError as error:
        raise SheetError(f"{path}: {error}") from None


def day_from_text(text: str, shared: Mapping[str, Any]) -> tuple[DaySpecimen, ...]:
    """The specimens of a day in a CSV text; see `read_day`.

    >>> shared = {"provenance": "invented", "specimen": {"material": "copolymer A", "state": "hydrated"},
    ...     "instrument": {"kind": "v-block", "resolution": 1e-5, "u_calibration": 2e-5},
    ...     "reading": {"wavelength_nm": 546.07, "temperature_degC": 35.0, "u_temperature_degC": 0.1, "basis": "air"},
    ...     "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"}}
    >>> day = day_from_text("specimen,n\\nA1,1.4901\\nA1,1.4902\\nA2,14.90\\nA2,1.4912\\n", shared)
    >>> [(d.name, d.lines, d.problem) for d in day]  # doctest: +ELLIPSIS
    [('A1', (2, 3), ''), ('A2', (4, 5), 'line 4, n: n_reading = 14.9: must be 1 to 3; is the decimal point one place off?')]
    """
    specimens, torn = lines_of(text, shared)
    return tuple(_specimen(name, lines, shared, torn.get(name, "")) for name, lines in specimens.items())


def lines_of(text: str, shared: Mapping[str, Any]) -> tuple[dict[str, list[tuple[int, dict[str, str]]]], dict[str, str]]:
    """The lines of each specimen, with their numbers, in the order of the file; and what is wrong with a line that is torn, by specimen."""
    _check_shared(shared)
    rows = rows_of(text, COLUMNS.__contains__, _NUMBERS.__contains__, error=SheetError)
    if len(rows) < 2:
        raise SheetError("no readings: a line of column names and a line a reading")
    header = column_names(rows[0][1])
    _check_header(header, shared)
    specimens: dict[str, list[tuple[int, dict[str, str]]]] = {}
    torn: dict[str, str] = {}
    spelled: dict[str, str] = {}
    at_specimen = header.index("specimen")
    for number, row in rows[1:]:
        name = row[at_specimen].strip() if len(row) > at_specimen else ""
        if not name:
            raise SheetError(f"line {number}: specimen is empty: whose reading is it? write the name in every line of it")
        if len(row) < len(header) or any(cell.strip() for cell in row[len(header) :]):
            hint = "; is it a decimal comma? write the decimals with a point" if row[len(header) :] else ""
            torn.setdefault(name, f"line {number} has {counted(len(row), 'entry', 'entries')}, the line of names has {len(header)}{hint}")
        cells = {key: cell.strip() for key, cell in zip(header, row, strict=False) if cell.strip()}
        other = spelled.setdefault("".join(name.casefold().split()), name)
        if other != name:
            raise SheetError(f"line {number}: specimen {name!r} and {other!r} differ in capitals or blanks alone: is it one? write it one way")
        specimens.setdefault(name, []).append((number, cells))
    return specimens, torn


def _check_shared(shared: Mapping[str, Any]) -> None:
    """What lines are put into must be a table; the rest of `shared` is checked with every specimen's sheet."""
    for table in ("reading", *OF_A_SPECIMEN):
        if table in shared and not isinstance(shared[table], Mapping):
            hint = "; here it holds what all readings have in common, in single brackets" if table == "reading" else ""
            raise SheetError(f"the shared [{table}] must be one table of keys{hint}")


def _check_header(header: list[str], shared: Mapping[str, Any]) -> None:
    if not set(header) & set(COLUMNS):
        raise SheetError(f"the first line must name the columns, specimen and n among them; it holds {', '.join(map(repr, header[:FEW]))}")
    for name in header:
        if name not in COLUMNS:
            unknown = UnknownNameError(name, COLUMNS, what="column")
            hint = "" if unknown.suggestion else "; rename it if it is one that a day may have, else take it out"
            raise SheetError(f"{unknown}{hint}", quantity=name)
        if header.count(name) > 1:
            raise SheetError(f"column {name} stands twice")
    for name in ("specimen", "n"):
        if name not in header:
            raise SheetError(f"column {name} is missing")
    for table, keys in {"reading": (*OF_A_READING, *OF_A_PLACE), **OF_A_SPECIMEN}.items():
        for key in keys:
            if key in header and key in (shared.get(table) or {}):
                raise SheetError(f"{key} is a column and stands in the shared [{table}] too: one of the two")


def _specimen(name: str, lines: list[tuple[int, dict[str, str]]], shared: Mapping[str, Any], torn: str) -> DaySpecimen:
    numbers = tuple(number for number, _ in lines)
    try:
        if torn:
            raise SheetError(torn)
        return DaySpecimen(name, numbers, sheet_from_data(tables_of(name, lines, shared), f"specimen {name}"), "")
    except SheetError as error:
        return DaySpecimen(name, numbers, None, str(error))


def tables_of(name: str, lines: list[tuple[int, dict[str, str]]], shared: Mapping[str, Any], number: type = float) -> dict[str, Any]:
    """The tables of one specimen's sheet: what is shared, with what its lines say put in; its cells as numbers of this type, float or Decimal."""
    data: dict[str, Any] = {key: dict(value) if isinstance(value, Mapping) else value for key, value in shared.items() if key != "reading"}
    for table, keys in OF_A_SPECIMEN.items():
        for key in keys:
            told = {cells[key]: number for number, cells in lines if key in cells}
            if len(told) > 1:
                raise SheetError(f"line {list(told.values())[1]}, {key}: differs from line {next(iter(told.values()))} of the same specimen")
            if told:
                (cell, line), = told.items()
                data.setdefault(table, {})[key] = _value(line, key, cell, number)
    data.setdefault("specimen", {}).setdefault("material", name)
    data["specimen"].setdefault("name", name)
    data.setdefault("title", name)
    if "temperature" in data:
        data["temperature"].setdefault("state", "hydrated")  # the column is the wet slope by its name's meaning
    places: dict[tuple[Any, ...], dict[str, Any]] = {}
    common = shared.get("reading") or {}
    everywhere = [k for k in (*OF_A_READING, "wavelength_nm", "temperature_degC", "direction") if any(k in cells for _, cells in lines)]
    for line, cells in lines:
        for key in everywhere:
            if key not in cells:
                raise SheetError(f"line {line}: {key} is empty, and other lines of the same specimen have it")
        here = {key: _value(line, key, cells[key], number) for key in OF_A_PLACE if key in cells}
        place = tuple(here.get(key, common.get(key)) for key in ("wavelength_nm", "temperature_degC", "direction"))
        entry = places.setdefault(place, {**common, **here, "n": []})
        for key, told_before in here.items():
            if entry.get(key) != told_before:
                raise SheetError(f"line {line}, {key}: differs from an earlier line at the same wavelength and temperature")
        if "n" not in cells:
            raise SheetError(f"line {line}: n is empty")
        for key in OF_A_READING:
            if key in cells:
                entry.setdefault(key, []).append(_value(line, key, cells[key], number))
    data["reading"] = list(places.values())
    return data


def _value(line: int, key: str, cell: str, number: type) -> Any:
    """One cell as the schema wants it: a number, or text."""
    kind = one = _KINDS[key]
    if isinstance(kind, Numbers):
        one = Number(kind.quantity)
    elif isinstance(kind, Labels):
        one = Text()
    elif isinstance(kind, Minutes):
        one = kind.of_one
    where = f"line {line}, {key}"
    if isinstance(one, Text):
        return checked_value(where, cell, one)
    try:
        if "_" in cell or not cell.isascii():  # float() would take 1_5
            raise ValueError
        value: Any = float(cell)
    except ValueError:
        hint = how_to_write(cell)
        if "\n" in cell:
            cell, hint = cell.split("\n")[0] + " …", "; is a quotation mark above it not closed?"
        raise SheetError(f"{where} = {cell!r} is not a number{hint}") from None
    checked = checked_value(where, value, one)
    return Decimal(cell) if number is Decimal else checked
