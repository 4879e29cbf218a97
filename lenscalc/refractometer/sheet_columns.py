"""From a sheet to the columns and sources of the chain: every list of readings corrected, then brought to one temperature and one line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lenscalc.conditions import WAVELENGTH_IN_USE_NM
from lenscalc.material import Dispersion, water_mass_fraction_wet_from_weights
from lenscalc.refractometer.corrected import corrected
from lenscalc.refractometer.index_in_use import Step
from lenscalc.refractometer.merged_readings import dispersion_of, fitted_at_green, over_directions, over_temperatures
from lenscalc.refractometer.raw_reading import is_away
from lenscalc.refractometer.sheet import ReadingSheet
from lenscalc.refractometer.sheet_calibration import basis_after_calibration
from lenscalc.refractometer.sheet_medium import medium_in_use
from lenscalc.refractometer.sheet_readings import Reading
from lenscalc.uncertainty import Source

Effects = dict[Source, dict[str, float]]

WATER = Source("water content", scope="lot")
SPECIMEN_TEMPERATURE = Source("temperature of the specimen", scope="instrument")
DENSITY = Source("density of the dry polymer", scope="lot")


@dataclass(frozen=True, eq=False)
class SheetColumns:
    """The row of the chain's table that a sheet makes, the sources of its errors, the steps that the sheet itself took, and what is to be said."""

    row: dict[str, Any]
    sources: Effects
    steps: tuple[Step, ...]
    remarks: tuple[str, ...]
    dispersion: Dispersion | None


def columns_of_sheet(sheet: ReadingSheet) -> SheetColumns:
    """Correct every list of readings, average directions, fit temperature and lines where there are several, and lay out the row.

    Raises
    ------
    SheetError
        where a calibration does not belong to a reading, or a fit cannot be made.
    """
    blocks, calibrations, told = corrected(sheet)
    blocks, told_directions = over_directions(blocks)
    blocks, slope, told_slope = over_temperatures(blocks)
    dispersion, blocks, told_dispersion = dispersion_of(sheet, blocks)
    lines = sorted(blocks, key=lambda b: abs(b.reading.wavelength_nm - WAVELENGTH_IN_USE_NM))
    first = lines[0]
    note = "brought here from readings at several temperatures" if slope is not None else ""
    calibrated = Step("calibrated", first.n, _calibrated_note(sheet, first.reading.wavelength_nm))
    steps = [Step(_where("reading", first.reading), first.shown, note), calibrated]
    told = (*told, *told_directions, *told_slope, *told_dispersion)
    row: dict[str, Any] = {
        "n_reading": float(first.n.value),
        "reading_wavelength_nm": first.reading.wavelength_nm,
        "reading_temperature_degC": first.reading.temperature_degC,
        "index_state": sheet.specimen["state"],
        "index_basis": basis_after_calibration(sheet.calibration, first.reading.basis),
    }
    of = {"n_reading": first.n}
    away = is_away(first.reading.wavelength_nm)
    if away and len(lines) == 2:
        row |= {"n_second_reading": float(lines[1].n.value), "second_wavelength_nm": lines[1].reading.wavelength_nm}
        of["n_second_reading"] = lines[1].n
    elif away and len(lines) != 1:
        assert dispersion is not None
        green, note = fitted_at_green(dispersion, blocks)
        steps.append(Step(f"at {WAVELENGTH_IN_USE_NM} nm", green, note))
        of["n_reading"] = green
        row |= {"n_reading": float(green.value), "reading_wavelength_nm": WAVELENGTH_IN_USE_NM}
        if dispersion.is_extrapolated(WAVELENGTH_IN_USE_NM):
            told = (*told, f"{WAVELENGTH_IN_USE_NM} nm lies outside the lines that were read: the dispersion is extrapolated")
    if slope is not None:
        row["dn_dt_per_K"], of["dn_dt_per_K"] = float(slope.value), slope
    sources: Effects = {}
    for name, e in of.items():
        for source, part in e.parts.items():
            sources.setdefault(source, {})[name] = sources.get(source, {}).get(name, 0.0) + float(part)
    sources[SPECIMEN_TEMPERATURE] = {"reading_temperature_degC": first.reading.u_temperature_degC}
    _given(sheet, row, sources)
    medium = medium_in_use(sheet, calibrations[first.reading.wavelength_nm])
    if medium is not None:
        n, said = medium
        row["n_measured_medium"] = float(n.value)
        for source, part in n.parts.items():
            sources.setdefault(source, {})["n_measured_medium"] = float(part)
        told = (*told, *said)
    return SheetColumns(row, sources, tuple(steps), told, dispersion)


def _where(what: str, r: Reading) -> str:
    return f"{what} at {r.wavelength_nm:g} nm, {r.temperature_degC:g} °C"


def _calibrated_note(sheet: ReadingSheet, wavelength_nm: float) -> str:
    c = sheet.calibration
    return f"{c.model} by {', '.join(r.name for r in c.at(wavelength_nm))}" if c and c.references else "no references: the scale as stated"


def _given(sheet: ReadingSheet, row: dict[str, Any], sources: Effects) -> None:
    """What the sheet states of dispersion, temperature and water, each with its u."""
    for table, name, label in (
        (sheet.dispersion, "abbe_d", "Abbe number"),
        (sheet.temperature, "dn_dt_per_K", "change of index with temperature"),
        (sheet.temperature, "volume_expansion_per_K", "volume expansion"),
        (sheet.hydration, "hydration_shift", "shift on hydration"),
    ):
        if table is not None and name in table:
            row[name] = table[name]
            sources[Source(label, scope="lot")] = {name: table[f"u_{name}"]}
    if sheet.temperature and not sheet.temperature.get("across_glass_transition") and "glass_transition_degC" in sheet.temperature:
        row["glass_transition_degC"] = sheet.temperature["glass_transition_degC"]
    if sheet.hydration and "dry_density_kg_per_m3" in sheet.hydration and sheet.specimen["state"] == "dry":
        w, u_w = water_content(sheet.hydration)
        row |= {"water_mass_fraction_wet": w, "dry_density_kg_per_m3": sheet.hydration["dry_density_kg_per_m3"]}
        sources[WATER] = {"water_mass_fraction_wet": u_w}
        sources[DENSITY] = {"dry_density_kg_per_m3": sheet.hydration["u_dry_density_kg_per_m3"]}


def water_content(hydration: dict[str, float]) -> tuple[float, float]:
    """Water mass fraction on the wet basis and its u: as given, or from the weights, w = (wet − dry)/wet.

    >>> w, u = water_content({"mass_wet_g": 0.500, "mass_dry_g": 0.310, "u_mass_g": 0.0005})
    >>> round(w, 4), round(u, 5)
    (0.38, 0.00118)
    """
    if "water_mass_fraction_wet" in hydration:
        return hydration["water_mass_fraction_wet"], hydration["u_water_mass_fraction_wet"]
    weighed = water_mass_fraction_wet_from_weights(hydration["mass_wet_g"], mass_dry_g=hydration["mass_dry_g"])
    both = (weighed.by_mass_wet * weighed.by_mass_wet + weighed.by_mass_dry * weighed.by_mass_dry) ** 0.5  # two weighings, independent
    return float(weighed.water_mass_fraction_wet), float(hydration["u_mass_g"] * both)
