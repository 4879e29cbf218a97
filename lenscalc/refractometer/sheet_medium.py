"""The measured medium of a sheet: stated in use, or read on a refractometer and carried there like the lens."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import SheetError
from lenscalc.refractometer.as_read import as_read, as_shown, calibration_at
from lenscalc.refractometer.calibration import Calibration
from lenscalc.refractometer.index_in_use import carry_to_use
from lenscalc.refractometer.lamp import light_at, through_prism
from lenscalc.refractometer.raw_reading import RawReading, cannot_be_carried
from lenscalc.refractometer.sheet import ReadingSheet
from lenscalc.refractometer.sheet_calibration import basis_after_calibration
from lenscalc.refractometer.sheet_readings import medium_reading
from lenscalc.refractometer.zero_drift import zero_drift
from lenscalc.uncertainty import Estimate, Source, combine

OWN = Source("measured medium, its own", scope="instrument")


def medium_in_use(sheet: ReadingSheet, calibration: Calibration) -> tuple[Estimate, tuple[str, ...]] | None:
    """The medium at 546.07 nm, 35 °C, relative to air; None where the sheet has none.

    Read on the lens's instrument it shares the sources of the calibration: in n_lens − n_medium the offset cancels, the slope does not.
    """
    medium = sheet.medium
    if medium is None:
        return None
    if "n" in medium:
        return _carried(sheet, medium)
    n = medium["n_measured_medium"]
    own = Estimate(n, {OWN: medium["u_n_measured_medium"]})
    if not medium.get("same_instrument"):
        return own, ()
    shared = calibration.corrected(Estimate(n, {}))
    return combine(n, [(1.0, own), (1.0, shared)]), ()


def _carried(sheet: ReadingSheet, medium: dict[str, Any]) -> tuple[Estimate, tuple[str, ...]]:
    reading = medium_reading(medium)
    mean = as_read(reading, sheet.instrument["resolution"], "medium")
    instrument = sheet.instrument
    nm, light = reading.wavelength_nm, light_at(sheet.readings, reading.wavelength_nm)
    calibration, told = calibration_at(nm, [reading.temperature_degC], sheet.calibration, instrument, reading.basis, "medium", light)
    n = calibration.corrected(through_prism(as_shown(mean.n, reading, instrument), nm, instrument, light))
    drift, _ = zero_drift(sheet.calibration)
    if drift is not None:  # the medium was read between the two checks like the specimen
        n = combine(n.value + drift.value, [(1.0, n), (1.0, drift)])

    def column(name: str, label: str) -> Estimate:
        value, u = medium.get(name, np.nan), medium.get(f"u_{name}", np.nan)
        return Estimate(np.array([value]), {Source(label, "instrument"): np.array([u])})

    nothing = Estimate(np.array([np.nan]), {})
    raw = RawReading(
        n=Estimate(np.array([n.value]), {s: np.array([p]) for s, p in n.parts.items()}),
        wavelength_nm=np.array([reading.wavelength_nm]),
        temperature_degC=Estimate(
            np.array([reading.temperature_degC]), {Source("temperature of the medium", "instrument"): np.array([reading.u_temperature_degC])}
        ),
        state=np.array(["hydrated"], dtype=object),
        basis=np.array([basis_after_calibration(sheet.calibration, reading.basis)], dtype=object),
        second=nothing,
        second_wavelength_nm=np.array([np.nan]),
        abbe_d=column("abbe_d", "Abbe number of the medium"),
        dn_dt_per_K=column("dn_dt_per_K", "change of the medium's index with temperature"),
        hydration_shift=nothing,
        water_mass_fraction_wet=nothing,
        dry_density_kg_per_m3=nothing,
        volume_expansion_per_K=nothing,
        glass_transition_degC=np.array([np.nan]),
    )
    for rows, sentence in cannot_be_carried(raw):
        if np.any(rows):
            raise SheetError(f"[medium] {sentence}")
    use = carry_to_use(raw).n
    step = f"medium read at {reading.wavelength_nm:g} nm, {reading.temperature_degC:g} °C"
    place = f"{use.value.item():.5f} at {WAVELENGTH_IN_USE_NM} nm, {TEMPERATURE_IN_USE_DEGC:g} °C"
    carried = Estimate(use.value.item(), {s: p.item() for s, p in use.parts.items()})
    return carried, (*mean.remarks, *told, f"{step}, carried to {place}")
