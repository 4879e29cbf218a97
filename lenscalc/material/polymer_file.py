"""One TOML file of polymers: a [source] and its [polymer.KEY] tables, checked key by key."""

from __future__ import annotations

import re
from datetime import date
from importlib.resources.abc import Traversable
from math import isfinite
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.material.polymer_form import FORMS
from lenscalc.material.polymer_record import Polymer, PolymerSource
from lenscalc.own_file import read_text, tables_in

BASES = ("air", "vacuum", "unknown")
PUBLISHED = {"authors": True, "title": True, "journal": False, "year": True, "doi": False, "read_in": True, "seen": False}  # key: required
MEASURED = {"measured_by": True, "measured_on": True, "method": True}
ENTRY = {
    "material": True, "form": True, "coefficients": True, "range_nm": True, "temperature_degC": False, "basis": True, "u_n": False,
    "u_n_from": False, "note": False,
}  # fmt: skip


def read_polymers(path: Path | Traversable, *, own: bool) -> list[Polymer]:
    """The polymers of one file; an own one must say who measured, when, how and with which u_n, or name the paper.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    InputError
        naming file, table and key.
    """
    name = str(path) if own else path.name
    data = tables_in(read_text(path, name), name)
    try:
        _check_keys("", data, {"source": True, "polymer": True})
        source = _source(_table("[source]", data["source"]))
        return [_entry(key, entry, source, own) for key, entry in _table("[polymer]", data["polymer"]).items()]
    except InputError as error:
        raise InputError(f"{name}: {error}", quantity=error.quantity, value=error.value, limits=error.limits, unit=error.unit) from None


def _source(table: dict[str, Any]) -> PolymerSource:
    if set(table) & set(MEASURED):
        _check_keys("[source]", table, MEASURED)
        on = table["measured_on"]
        try:
            day = on if type(on) is date else date.fromisoformat(on)
        except (TypeError, ValueError):
            raise InputError(f"[source] measured_on = {on!r}: must be a day, such as 2026-03-31") from None
        who, how = (_text(f"[source] {key}", table[key]) for key in ("measured_by", "method"))
        return PolymerSource(who, day.year, how, measured_on=day.isoformat())
    if not table:
        raise InputError("[source] is empty: give measured_by, measured_on and method, or authors, title, year and read_in of what is published")
    _check_keys("[source]", table, PUBLISHED)
    year = table["year"]
    if type(year) is not int or not 1800 <= year <= 2100:
        raise InputError(f"[source] year = {year!r}: must be a year, such as 2015")
    texts = {key: _text(f"[source] {key}", value) for key, value in table.items() if key != "year"}
    _choice("[source] seen", texts.setdefault("seen", "read"), ("read", "quoted"))
    return PolymerSource(year=year, **texts)


def _entry(key: str, value: Any, source: PolymerSource, own: bool) -> Polymer:
    where = f"[polymer.{key}]"
    if not re.fullmatch(r"[a-z0-9_]+", key):
        raise InputError(f"{where}: a key is of small letters, digits and _, such as copolymer_c_2026")
    table = _table(where, value)
    _check_keys(where, table, ENTRY)
    form = _choice(f"{where} form", table["form"], tuple(FORMS))
    lower, upper = _range(f"{where} range_nm", table["range_nm"])
    texts = {k: _text(f"{where} {k}", table[k]) if k in table else None for k in ("u_n_from", "note")}
    if source.measured_on and "u_n" not in table:
        raise InputError(f"{where} u_n is missing: an own measurement states its standard uncertainty")
    found = Polymer(
        key, _text(f"{where} material", table["material"]), form, MappingProxyType(_coefficients(where, table["coefficients"], form)), (lower, upper),
        _number(f"{where} temperature_degC", table["temperature_degC"], -100.0, 300.0, "°C") if "temperature_degC" in table else None,
        _choice(f"{where} basis", table["basis"], BASES),
        _number(f"{where} u_n", table["u_n"], 1e-7, 0.1) if "u_n" in table else None,
        texts["u_n_from"], texts["note"], source, own,
    )  # fmt: skip
    # a constant squared or in nm shows at once; between its ends as well, for a resonance may lie inside
    with np.errstate(all="ignore"):
        n = found.n(np.linspace(lower, upper, 200))
    bad = n[~((n >= 1.0) & (n <= 3.0))]
    if bad.size:
        raise InputError(f"{where} coefficients: they give n = {bad[0]:g} within the range; must be 1 to 3. L is in µm: {FORMS[form].formula}")
    return found


def _coefficients(where: str, value: Any, form: str) -> dict[str, tuple[float, ...]]:
    names = FORMS[form].coefficients
    table = _table(f"{where} coefficients", value)
    _check_keys(f"{where} coefficients", table, dict.fromkeys(names, True))
    for name in names:
        numbers = table[name]
        if not isinstance(numbers, list) or not 1 <= len(numbers) <= FORMS[form].most:
            raise InputError(f"{where} coefficients.{name} = {numbers!r}: must be a list of 1 to {FORMS[form].most} numbers")
        for i, x in enumerate(numbers):
            _number(f"{where} coefficients.{name}[{i + 1}]", x, -1e6, 1e6)
            if name == "powers" and type(x) is not int:
                raise InputError(f"{where} coefficients.powers[{i + 1}] = {x!r}: must be a whole number")
    if len({len(table[name]) for name in names}) > 1:
        raise InputError(f"{where} coefficients: {' and '.join(names)} must be of one length; there are {[len(table[name]) for name in names]}")
    return {name: tuple(float(x) for x in table[name]) for name in names}


def _range(where: str, value: Any) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise InputError(f"{where} = {value!r}: must be the two ends of the range in nm, such as [420.0, 1620.0]")
    lower, upper = (_number(f"{where}[{i + 1}]", x, 0.0, 1e6, "nm") for i, x in enumerate(value))
    if not 100.0 <= lower < upper <= 20000.0:
        hint = "; is it in µm? write it in nm" if upper < 100.0 else ""
        raise InputError(f"{where} = [{lower:g}, {upper:g}] nm: must rise, within 100 to 20000 nm{hint}")
    return lower, upper


def _check_keys(where: str, table: dict[str, Any], known: dict[str, bool]) -> None:
    start = f"{where} " if where else ""
    for key in table:
        if key not in known:
            raise InputError(f"{start}{UnknownNameError(key, known, what='key')}")
    for key, required in known.items():
        if required and key not in table:
            raise InputError(f"{start}{key} is missing" if where else f"[{key}] is missing")


def _table(where: str, value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise InputError(f"{where} must be a table of keys")
    return value


def _text(where: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"{where} = {value!r}: must be text")
    return value


def _choice(where: str, value: Any, choices: tuple[str, ...]) -> str:
    if value not in choices:
        raise InputError(f"{where} = {value!r}: must be {' or '.join(choices)}")
    return str(value)


def _number(where: str, value: Any, lower: float, upper: float, unit: str = "") -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise InputError(f"{where} = {value!r}: must be a number, without quotes and with a decimal point")
    if not lower <= value <= upper:
        raise InputError(f"{where} = {value:g}{f' {unit}' if unit else ''}: must be {lower:g} to {upper:g}{f' {unit}' if unit else ''}")
    return float(value)
