"""The question of a determination that comes first: what was read, with what, and what else the sheet states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lenscalc.report.as_written import shown
from lenscalc.report.tree import Column, Figure, Group, Section, Table, printable
from lenscalc.report.words import WORDS

PLACES = ("mounting", "session", "operator")
_STATED = (
    ("specimen", "The specimen"),
    ("instrument", "The refractometer"),
    ("calibration", "Its calibration"),
    ("dispersion", "Dispersion, as stated"),
    ("temperature", "Temperature, as stated"),
    ("hydration", "Hydration, as stated"),
    ("medium", "A measured medium"),
)


def what_was_read(data: Mapping[str, Any]) -> Section:
    """Specimen, instrument, calibration, readings and what the sheet states, as written."""
    groups = [Group(heading, figures_as_written(data[table], table)) for table, heading in _STATED if table in data]
    tables = [
        Table(
            "The readings, as the refractometer showed them",
            (
                Column("reading_wavelength_nm", "wavelength", True), Column("reading_temperature_degC", "temperature", True),
                Column("index_basis", "relative to"), Column("n_reading", "readings"),
            ),
            tuple(_reading(r) for r in data["reading"]),
        ),
        *_prisms(data["instrument"].get("prism", [])),
        *_references(data.get("calibration", {}).get("reference", [])),
    ]  # fmt: skip
    return Section("What was read, and with what?", groups=tuple(g for g in groups if g.figures), tables=tuple(tables))


def figures_as_written(table: Mapping[str, Any], schema: str) -> tuple[Figure, ...]:
    """The keys of a table that hold one value each, in the order of the print, a u beside its value."""
    words = WORDS[schema]
    lists = [k for k, v in table.items() if isinstance(v, dict) or (isinstance(v, list) and v and isinstance(v[0], dict))]
    with_own_line = [k for k in words if k in table and k not in lists]
    return tuple(Figure(key, words[key][0], _with_its_u(table, key, words[key][1])) for key in with_own_line)


def _with_its_u(table: Mapping[str, Any], key: str, unit: str) -> str:
    u = f"u_{key}"
    return shown(table[key], unit) + (f", u {shown(table[u], unit)}" if u in table else "")


def _reading(r: Mapping[str, Any]) -> tuple[str, ...]:
    return _with_its_u(r, "wavelength_nm", "nm"), _with_its_u(r, "temperature_degC", "°C"), shown(r["basis"]), _replicates(r)


def _replicates(r: Mapping[str, Any]) -> str:
    """The readings in words, together where they were taken together, then what is known of their history."""
    named = [k for k in PLACES if k in r]
    minutes = r.get("minutes_after_mounting")
    numbers = [shown(n) + (f" ({shown(minutes[i])} min)" if minutes else "") for i, n in enumerate(r["n"])]
    together: dict[str, list[str]] = {}
    for i, number in enumerate(numbers):
        together.setdefault(", ".join(f"{k} {shown(r[k][i])}" for k in named), []).append(number)
    lines = [f"{place}: {', '.join(of)}" if place else ", ".join(of) for place, of in together.items()]
    if "direction" in r:
        lines.insert(0, f"direction {shown(r['direction'])}")
    words = WORDS["reading"]
    lines += [f"{words[k][0]} {shown(r[k])}" for k in ("u_repeatability", "dof_repeatability", "u_session", "dof_session") if k in r]
    return "; ".join(lines)


def _prisms(entries: Iterable[Mapping[str, Any]]) -> list[Table]:
    rows = tuple((shown(e["wavelength_nm"], "nm"), _with_its_u(e, "n_prism", "")) for e in entries)
    columns = Column("wavelength_nm", "wavelength", True), Column("n_prism", "index of the prism", True)
    return [Table("The prism, by wavelength", columns, rows)] if rows else []


def _references(entries: Iterable[Mapping[str, Any]]) -> list[Table]:
    rows = tuple(
        (
            printable(e["name"]), shown(e["kind"]), _with_its_u(e, "wavelength_nm", "nm"), _with_its_u(e, "temperature_degC", "°C"),
            _replicates(e), _truly(e),
        )
        for e in entries
    )  # fmt: skip
    columns = (
        Column("", "reference"), Column("", "kind"), Column("reading_wavelength_nm", "wavelength", True),
        Column("reading_temperature_degC", "temperature", True), Column("n_reading", "readings"), Column("n_certified", "known by"),
    )  # fmt: skip
    return [Table("The references, as read", columns, rows)] if rows else []


def _truly(e: Mapping[str, Any]) -> str:
    """What a reference is known by."""
    if e["kind"] == "water":
        return "the index of water"
    if e["kind"] == "sucrose":
        return f"mass fraction {_with_its_u(e, 'mass_fraction', '')}"
    u = f", u {shown(e['u_certified'])}" if "u_certified" in e else ""
    slope = f"; per kelvin {_with_its_u(e, 'dn_dt_per_K', '1/K')}" if "dn_dt_per_K" in e else ""
    abbe = f"; Abbe number {shown(e['abbe_d'])}" if "abbe_d" in e else ""
    return f"{shown(e['n_certified'])}{u} at {shown(e['certified_temperature_degC'], '°C')}, relative to {shown(e['certified_basis'])}{slope}{abbe}"
