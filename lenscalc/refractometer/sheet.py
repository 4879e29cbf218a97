"""The reading sheet: one specimen's readings and the lens that is to be cut, as TOML."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import SheetError
from lenscalc.own_file import read_text, tables_in
from lenscalc.refractometer.checked_table import checked_table
from lenscalc.refractometer.raw_reading import is_away
from lenscalc.refractometer.sheet_calibration import CalibrationTable, calibration_of
from lenscalc.refractometer.sheet_instrument import check_contact, check_scale, instrument_of
from lenscalc.refractometer.sheet_lens import LensDimensions, gauges_without_use, lens_of
from lenscalc.refractometer.sheet_readings import Reading, medium_reading, readings_of, remarks_on


@dataclass(frozen=True, eq=False)
class ReadingSheet:
    """A checked reading sheet: tables as written, numbers as floats; `remarks` are what is possible but unusual in it."""

    title: str
    provenance: str
    date: date | None
    specimen: dict[str, Any]
    instrument: dict[str, Any]
    readings: tuple[Reading, ...]
    calibration: CalibrationTable | None
    dispersion: dict[str, Any] | None
    temperature: dict[str, Any] | None
    hydration: dict[str, float] | None
    medium: dict[str, Any] | None
    lens: LensDimensions | None
    remarks: tuple[str, ...]


_TABLES = ("specimen", "instrument", "calibration", "reading", "dispersion", "temperature", "hydration", "medium", "lens")


def read_sheet(path: str | Path) -> ReadingSheet:
    """The reading sheet in a TOML file.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    SheetError
        naming the table and the key that cannot be used.
    """
    return sheet_from_text(read_text(path), str(path))


def sheet_from_text(text: str, name: str = "sheet") -> ReadingSheet:
    """The reading sheet in a TOML text; `name` stands in the messages.

    Raises
    ------
    SheetError
        naming the table and the key that cannot be used.
    """
    data = tables_in(text, name, error=SheetError)
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
    for name in ("specimen", "instrument"):
        if name not in data:
            raise SheetError(f"[{name}] is missing")
    plain = ("specimen", "dispersion", "temperature", "hydration", "medium")
    tables = {name: checked_table(name, data[name], name) for name in plain if name in data}
    specimen, instrument = tables["specimen"], instrument_of(data["instrument"])
    readings = readings_of(data.get("reading"))
    calibration = calibration_of(data["calibration"], top.get("date")) if "calibration" in data else None
    if "u_calibration" not in instrument and not (calibration and calibration.references):
        raise SheetError("[instrument] u_calibration is missing: how well the scale is known; or give references in [calibration]")
    lens = lens_of(data["lens"]) if "lens" in data else None
    _check_dispersion(tables.get("dispersion"), readings)
    _check_temperature(tables.get("temperature"), readings, specimen["state"])
    _check_hydration(tables.get("hydration"), specimen["state"], lens)
    _check_medium(tables.get("medium"), instrument)
    return ReadingSheet(
        title=top.get("title", specimen["material"]),
        provenance=top["provenance"],
        date=top.get("date"),
        specimen=specimen,
        instrument=instrument,
        readings=readings,
        calibration=calibration,
        dispersion=tables.get("dispersion"),
        temperature=tables.get("temperature"),
        hydration=tables.get("hydration"),
        medium=tables.get("medium"),
        lens=lens,
        remarks=(
            *check_contact(instrument, readings, specimen["state"]), *check_scale(instrument, readings),
            *remarks_on(readings, instrument["resolution"]), *(calibration.remarks if calibration else ()),
            *(gauges_without_use(lens) if lens else ()), *_forced(tables.get("temperature"), readings), *_left_out(specimen, instrument, readings),
        ),
    )  # fmt: skip


def _check_dispersion(table: dict[str, Any] | None, readings: tuple[Reading, ...]) -> None:
    if table is None:
        return
    lines = len({r.wavelength_nm for r in readings})
    if "abbe_d" in table and "u_abbe_d" not in table:
        raise SheetError("[dispersion] u_abbe_d is missing beside abbe_d: an Abbe number has an uncertainty, a compensator's too")
    if "abbe_d" in table and lines > 1:
        raise SheetError(f"[dispersion] abbe_d is given beside {lines} lines: the dispersion comes from one of them")
    if "form" in table and lines < 3:
        raise SheetError(f"[dispersion] form = {table['form']!r} is fitted to three lines or more, and the sheet has {lines}")
    if "abbe_d" not in table and "form" not in table:
        raise SheetError("[dispersion] abbe_d is missing (or form, where three lines or more were read)")
    if "terms" in table and "form" not in table:
        raise SheetError("[dispersion] terms is given without form")
    if "terms" in table and table["terms"] != int(table["terms"]):
        raise SheetError(f"[dispersion] terms = {table['terms']:g}: must be a whole number")


def _check_temperature(table: dict[str, Any] | None, readings: tuple[Reading, ...], state: str) -> None:
    """The step to 35 °C is taken wet: the slope of a dry specimen is another one."""
    temperatures = {r.temperature_degC for r in readings}
    are_several = len(temperatures) > 1
    if table and table["state"] != "hydrated":
        raise SheetError("[temperature] state = 'dry': the step to 35 °C is taken hydrated; give dn_dt_per_K of the hydrated polymer")
    if are_several and state == "dry":
        raise SheetError(
            "[[reading]] stands at several temperatures for a dry specimen: its slope is not that of the hydrated lens; read it hydrated, "
            "or at one temperature with dn_dt_per_K of the hydrated polymer"
        )
    if table is None:
        return
    given = [k for k in ("dn_dt_per_K", "volume_expansion_per_K") if k in table]
    for key in given:
        if f"u_{key}" not in table:
            raise SheetError(f"[temperature] u_{key} is missing beside {key}: a correction has an uncertainty")
        if are_several:
            raise SheetError(f"[temperature] {key} is given beside readings at {len(temperatures)} temperatures: the slope comes from one of them")
    if len(given) > 1:
        raise SheetError("[temperature] dn_dt_per_K and volume_expansion_per_K are both given: the slope comes from one of them")
    if not given and not are_several and "glass_transition_degC" not in table:
        raise SheetError("[temperature] dn_dt_per_K is missing (or volume_expansion_per_K, for an estimate)")
    if "across_glass_transition" in table and "glass_transition_degC" not in table:
        raise SheetError("[temperature] across_glass_transition is given without glass_transition_degC")
    broken = _across_the_transition(table, readings)
    if broken and not table.get("across_glass_transition"):
        raise SheetError(
            f"[temperature] {broken}; read on the side of {TEMPERATURE_IN_USE_DEGC:g} °C, or force it with across_glass_transition = true"
        )


def _across_the_transition(table: dict[str, Any], readings: tuple[Reading, ...]) -> str:
    temperatures, Tg = [*(r.temperature_degC for r in readings), TEMPERATURE_IN_USE_DEGC], table.get("glass_transition_degC")
    if Tg is None or not min(temperatures) < Tg < max(temperatures):
        return ""
    return f"glass_transition_degC = {Tg:g} lies between {min(temperatures):g} and {max(temperatures):g} °C: the slope breaks there"


def _forced(table: dict[str, Any] | None, readings: tuple[Reading, ...]) -> tuple[str, ...]:
    broken = _across_the_transition(table, readings) if table else ""
    return (f"{broken}; carried across by one slope all the same, as the sheet wants it, and what that costs is not in the budget",) if broken else ()


def _check_hydration(table: dict[str, Any] | None, state: str, lens: LensDimensions | None) -> None:
    if table is None:
        return
    shift, water, weights = ("hydration_shift" in table), ("water_mass_fraction_wet" in table), ("mass_wet_g" in table or "mass_dry_g" in table)
    if shift + water + weights != 1:
        raise SheetError(
            "[hydration] must hold one of: hydration_shift (measured), water_mass_fraction_wet (wet basis), "
            "or mass_wet_g with mass_dry_g and u_mass_g"
        )
    if "u_mass_g" in table and not weights:
        raise SheetError("[hydration] u_mass_g is given without mass_wet_g and mass_dry_g: it says nothing by itself")
    if shift and "dry_density_kg_per_m3" in table:
        raise SheetError("[hydration] dry_density_kg_per_m3 is given beside hydration_shift: it belongs to a water content, and nothing needs it")
    if shift and state == "hydrated":
        raise SheetError("[hydration] is given, but [specimen] state is hydrated already: one of the two is wrong")
    for key in ("hydration_shift", "water_mass_fraction_wet"):
        if key in table and f"u_{key}" not in table:
            raise SheetError(f"[hydration] u_{key} is missing beside {key}: a correction has an uncertainty")
    if shift:
        return
    cut_dry = lens is not None and any(d["state"] == "dry" for d in lens.dimensions.values())
    if state == "hydrated" and not cut_dry:
        raise SheetError("[hydration] is given, but [specimen] state is hydrated already, and no dimension was measured dry: nothing needs it")
    if weights:
        for key in ("mass_wet_g", "mass_dry_g", "u_mass_g"):
            if key not in table:
                raise SheetError(f"[hydration] {key} is missing: a water content from weights needs both, and their uncertainty")
        if not table["mass_wet_g"] >= table["mass_dry_g"]:
            wet, dry = table["mass_wet_g"], table["mass_dry_g"]
            raise SheetError(f"[hydration] mass_wet_g = {wet:g} is below mass_dry_g = {dry:g}: are the two exchanged?")
    for key in ("dry_density_kg_per_m3", "u_dry_density_kg_per_m3"):
        if key not in table:
            raise SheetError(f"[hydration] {key} is missing: the water's share of the volume follows from the densities")
    if lens is not None and "linear_swelling" in lens.block:
        raise SheetError("[lens] linear_swelling is given beside a water content, from which the swelling follows: one of the two")


def _check_medium(medium: dict[str, Any] | None, instrument: dict[str, Any]) -> None:
    """A stated medium stands at the conditions in use; one that was read brings what carries it there."""
    if medium is None:
        return
    if ("n" in medium) == ("n_measured_medium" in medium):
        raise SheetError("[medium] n_measured_medium is missing: the index in use with its u; or n, the readings as the refractometer showed them")
    for key in ("n_measured_medium", "abbe_d", "dn_dt_per_K"):
        if key in medium and f"u_{key}" not in medium:
            raise SheetError(f"[medium] u_{key} is missing beside {key}: a measured value has an uncertainty")
    if "n" in medium:
        if not medium.get("same_instrument"):
            raise SheetError(
                "[medium] n holds readings as shown: they can be corrected only where same_instrument = true; else state n_measured_medium"
            )
        check_scale(instrument, (medium_reading(medium),), "medium")
        return
    for key in ("u_temperature_degC", "u_repeatability", "abbe_d", "dn_dt_per_K"):
        if key in medium:
            raise SheetError(
                f"[medium] {key} is given beside n_measured_medium: it belongs to a medium given by its readings, and what is stated has its own u"
            )
    in_use = not is_away(medium["wavelength_nm"]) and medium["temperature_degC"] == TEMPERATURE_IN_USE_DEGC
    if not in_use or medium["basis"] != "air":
        raise SheetError(
            f"[medium] must be stated at {WAVELENGTH_IN_USE_NM} nm, {TEMPERATURE_IN_USE_DEGC:g} °C and relative to air, where the lens is: "
            "between 20 and 35 °C the index of water falls by 0.0017; or give the readings n with abbe_d and dn_dt_per_K, and they are carried there"
        )


def _left_out(specimen: dict[str, Any], instrument: dict[str, Any], readings: tuple[Reading, ...]) -> tuple[str, ...]:
    """What stands between specimen and lens, and between one day and the next, is in the budget only where the sheet says it."""
    out = []
    if "u_specimen_to_lens" not in specimen:
        out.append("u_specimen_to_lens (how far a lens may differ from its specimen)")
    if "u_operator" not in instrument and not any(r.session or r.u_session is not None for r in readings):
        out.append("u_operator, or sessions (what another day or operator would read)")
    return (f"not in the budget, because the sheet does not say: {'; '.join(out)}",) if out else ()
