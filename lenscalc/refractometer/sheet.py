"""The reading sheet: one specimen's readings and the lens that is to be cut, as TOML."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import FileError, SheetError
from lenscalc.refractometer.contact import contact_liquid_problem, contact_liquid_remark
from lenscalc.refractometer.replicates import mean_of
from lenscalc.refractometer.schema import checked_table


@dataclass(frozen=True, eq=False)
class Reading:
    """Replicate readings at one wavelength and temperature."""

    wavelength_nm: float
    temperature_degC: float
    u_temperature_degC: float
    basis: str
    n: tuple[float, ...]
    u_repeatability: float | None
    dof_repeatability: float | None


@dataclass(frozen=True, eq=False)
class LensDimensions:
    """The lens block of a sheet, as written; each dimension is a dict with value, u, state, temperature_degC, instrument."""

    block: dict[str, Any]
    dimensions: dict[str, dict[str, Any]]
    gauges: dict[str, float]


@dataclass(frozen=True, eq=False)
class ReadingSheet:
    """A checked reading sheet: tables as written, numbers as floats; `remarks` are what is possible but unusual in it."""

    title: str
    provenance: str
    specimen: dict[str, Any]
    instrument: dict[str, Any]
    readings: tuple[Reading, ...]
    dispersion: dict[str, float] | None
    temperature: dict[str, Any] | None
    hydration: dict[str, float] | None
    medium: dict[str, Any] | None
    lens: LensDimensions | None
    remarks: tuple[str, ...]


DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")
_TABLES = ("specimen", "instrument", "reading", "dispersion", "temperature", "hydration", "medium", "lens")


def read_sheet(path: str | Path) -> ReadingSheet:
    """The reading sheet in a TOML file.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    SheetError
        naming the table and the key that cannot be used.
    """
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise FileError(f"{path}: {error.strerror or error}") from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{path}: not UTF-8 text; save the sheet as UTF-8") from None
    return sheet_from_text(text, str(path))


def sheet_from_text(text: str, name: str = "sheet") -> ReadingSheet:
    """The reading sheet in a TOML text; `name` stands in the messages.

    Raises
    ------
    SheetError
        naming the table and the key that cannot be used.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SheetError(f"{name}: not a TOML file: {error}") from None
    if not data:
        raise SheetError(f"{name}: the sheet is empty; `lenscalc demo` copies one out to start from")
    return sheet_from_data(data, name)


def sheet_from_data(data: dict[str, Any], name: str = "sheet") -> ReadingSheet:
    """The reading sheet in tables that are read already (a form's, or those of a TOML file).

    Raises
    ------
    SheetError
        naming the table and the key that cannot be used.
    """
    try:
        return _sheet(data)
    except SheetError as error:
        raise SheetError(f"{name}: {error}", quantity=error.quantity, value=error.value, limits=error.limits, unit=error.unit) from None


def _sheet(data: dict[str, Any]) -> ReadingSheet:
    top = checked_table("", {k: v for k, v in data.items() if k not in _TABLES}, "")
    tables = {name: checked_table(name, data[name], name) for name in _TABLES if name in data and name not in ("reading", "lens")}
    for name in ("specimen", "instrument"):
        if name not in tables:
            raise SheetError(f"[{name}] is missing")
    readings = _readings(data.get("reading"))
    temperature = tables.get("temperature")
    if temperature and temperature["state"] != "hydrated":
        raise SheetError("[temperature] state = 'dry': the step to 35 °C is taken wet; give dn_dt_per_K of the hydrated polymer")
    if "dispersion" in tables and len(readings) == 2:
        raise SheetError("[dispersion] is given beside two readings: the dispersion comes from one of them")
    if "hydration" in tables and tables["specimen"]["state"] == "hydrated":
        raise SheetError("[hydration] is given, but [specimen] state is hydrated already: one of the two is wrong")
    _check_medium(tables.get("medium"))
    return ReadingSheet(
        title=top.get("title", tables["specimen"]["material"]),
        provenance=top["provenance"],
        specimen=tables["specimen"],
        instrument=tables["instrument"],
        readings=readings,
        dispersion=tables.get("dispersion"),
        temperature=temperature,
        hydration=tables.get("hydration"),
        medium=tables.get("medium"),
        lens=_lens(data["lens"]) if "lens" in data else None,
        remarks=(*_contact(tables["instrument"], readings), *_scatter(readings)),
    )


def _check_medium(medium: dict[str, Any] | None) -> None:
    """A measured medium is not carried anywhere: it must stand at the conditions in use already."""
    if medium is None:
        return
    in_use = abs(medium["wavelength_nm"] - WAVELENGTH_IN_USE_NM) <= 0.05 and medium["temperature_degC"] == TEMPERATURE_IN_USE_DEGC
    if not in_use or medium["basis"] != "air":
        raise SheetError(
            f"[medium] must be stated at {WAVELENGTH_IN_USE_NM} nm, {TEMPERATURE_IN_USE_DEGC:g} °C and relative to air, where the lens is: "
            "between 20 and 35 °C the index of water falls by 0.0017"
        )


def _readings(entries: Any) -> tuple[Reading, ...]:
    if not isinstance(entries, list) or not entries:
        raise SheetError("[[reading]] is missing: give at least one, with wavelength_nm, temperature_degC and n")
    if len(entries) > 2:
        raise SheetError(f"[[reading]] stands {len(entries)} times: one or two wavelengths are taken")
    readings = []
    for i, entry in enumerate(entries, 1):
        where = "reading" if len(entries) == 1 else f"reading {i}"
        t = checked_table(where, entry, "reading")
        if "n" not in t:
            raise SheetError(f"[{where}] n is missing: a list of readings, for example [1.4901, 1.4902]")
        if len(t["n"]) == 1 and "u_repeatability" not in t:
            raise SheetError(f"[{where}] n holds one reading, which has no spread of its own: read again, or give a pooled u_repeatability")
        if "u_repeatability" in t and "dof_repeatability" not in t:
            raise SheetError(f"[{where}] dof_repeatability is missing beside u_repeatability: the number of earlier readings less the number of sets")
        readings.append(
            Reading(
                t["wavelength_nm"], t["temperature_degC"], t["u_temperature_degC"], t["basis"], tuple(t["n"]),
                t.get("u_repeatability"), t.get("dof_repeatability"),
            )
        )
    if len(readings) == 2:
        a, b = readings
        if a.temperature_degC != b.temperature_degC or a.basis != b.basis:
            raise SheetError("[reading 2] temperature_degC and basis must be those of the first: dispersion is taken at one temperature")
        if abs(a.wavelength_nm - b.wavelength_nm) < 10:
            raise SheetError("[reading 2] wavelength_nm lies less than 10 nm from the first: the two tell nothing about dispersion")
    return tuple(readings)


def _scatter(readings: tuple[Reading, ...]) -> tuple[str, ...]:
    """Replicates that scatter much more than the history they are said to belong to."""
    told = []
    for r in readings:
        if r.u_repeatability is not None and len(r.n) > 1:
            s = mean_of(r.n).u * len(r.n) ** 0.5
            if s > 2 * r.u_repeatability:
                told.append(f"replicates at {r.wavelength_nm:g} nm scatter by {s:.1g}, more than twice their u_repeatability {r.u_repeatability:g}")
    return tuple(told)


def _contact(instrument: dict[str, Any], readings: tuple[Reading, ...]) -> tuple[str, ...]:
    liquid = instrument.get("n_contact_liquid")
    if instrument["kind"] != "prism contact":
        if liquid is not None:
            raise SheetError(f"[instrument] n_contact_liquid belongs to prism contact, not to kind = {instrument['kind']!r}")
        return ()
    if liquid is None:
        if "no_contact_liquid_because" in instrument:
            return (f"read without a contact liquid: {instrument['no_contact_liquid_because']}",)
        raise SheetError(
            "[instrument] n_contact_liquid is missing: a solid sits on the prism with a liquid of higher index; "
            "where none is used, say so with no_contact_liquid_because"
        )
    highest = max(max(r.n) for r in readings)
    problem = contact_liquid_problem(highest, liquid, instrument.get("n_prism"))
    if problem:
        raise SheetError(f"[instrument] {problem}")
    remark = contact_liquid_remark(highest, liquid)
    return (remark,) if remark else ()


def _lens(table: Any) -> LensDimensions:
    nested = (*DIMENSIONS, "gauge")
    if not isinstance(table, dict):
        raise SheetError("[lens] must be a table of keys")
    block = checked_table("lens", {k: v for k, v in table.items() if k not in nested}, "lens")
    if not isinstance(table.get("gauge", {}), dict):
        raise SheetError("[lens] gauge must be tables, for example [lens.gauge.profilometer] with u_scale_relative")
    gauges = {
        name: checked_table(f"lens.gauge.{name}", g, "lens.gauge")["u_scale_relative"] for name, g in dict(table.get("gauge", {})).items()
    }
    dimensions = {}
    for name in DIMENSIONS:
        if name not in table:
            raise SheetError(f"[lens.{name}] is missing: a table with value, u, state and temperature_degC")
        d = checked_table(f"lens.{name}", table[name], f"lens.{name}")
        _check_dimensional_u(name, d, exact=block.get("dimensions") == "exact")
        if "instrument" in d and d["instrument"] not in gauges:
            raise SheetError(
                f"[lens.{name}] instrument = {d['instrument']!r}: give [lens.gauge.{d['instrument']}] u_scale_relative, "
                "the scale error that all it measures share"
            )
        dimensions[name] = d
    for key in ("linear_swelling", "linear_expansion_per_K"):
        if key in block and f"u_{key}" not in block:
            raise SheetError(f"[lens] u_{key} is missing beside {key}: a correction has an uncertainty")
    if "linear_swelling" in block and all(d["state"] == "hydrated" for d in dimensions.values()):
        raise SheetError("[lens] linear_swelling is given, but every dimension was measured hydrated: one of the two is wrong")
    if "tolerance_D" in block and "tolerance_from" not in block:
        raise SheetError("[lens] tolerance_from is missing beside tolerance_D: say where the tolerance comes from")
    return LensDimensions(block, dimensions, gauges)


def _check_dimensional_u(name: str, d: dict[str, Any], *, exact: bool) -> None:
    given = [k for k in ("u", "u_curvature_per_mm", "u_sag_mm") if k in d]
    if exact:
        if given:
            raise SheetError(f"[lens.{name}] {given[0]} is given, but [lens] dimensions = 'exact': one of the two is wrong")
        return
    if len(given) > 1:
        raise SheetError(f"[lens.{name}] {' and '.join(given)} are both given: one of them is the uncertainty of this surface")
    if not given:
        raise SheetError(
            f"[lens.{name}] u is missing: a dimension has an uncertainty; where it is only wanted as it stands on the drawing, "
            "write [lens] dimensions = 'exact', and there is no decision"
        )
    if "u_sag_mm" in d and d["state"] == "dry":
        raise SheetError(f"[lens.{name}] u_sag_mm belongs to the optic as it is used: measure it hydrated, or give u or u_curvature_per_mm")
    if "u" in d and abs(d["value"]) < 1e300 and name != "center_thickness_mm" and d["u"] > abs(d["value"]) / 5:
        raise SheetError(f"[lens.{name}] u is more than a fifth of the radius: give u_curvature_per_mm or u_sag_mm for a nearly flat surface")
    if "u" in d and abs(d["value"]) > 1e300:
        raise SheetError(f"[lens.{name}] is plano: its radius has no u; give u_curvature_per_mm or u_sag_mm")
