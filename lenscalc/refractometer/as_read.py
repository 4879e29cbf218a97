"""One list of replicates as an estimate: what the instrument showed, and what it shows when its own errors are taken off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.conditions import LINES_NM, SAME_LINE_NM
from lenscalc.errors import InputError, SheetError
from lenscalc.material import air_index, sucrose_index, u_water_index, water_index
from lenscalc.quantities import Scope, counted
from lenscalc.refractometer.calibration import INCONSISTENT, Calibration, Reference, calibrate, stated_calibration
from lenscalc.refractometer.drift import Drift, drift_on_prism
from lenscalc.refractometer.lamp import slope_of_reference, through_prism, told_of_light
from lenscalc.refractometer.mixed_readings_told import told_of_mixed_readings
from lenscalc.refractometer.replicates import nested_mean, nested_weights
from lenscalc.refractometer.scale import index_at_line, without_compensation
from lenscalc.refractometer.sheet_calibration import CalibrationTable, ReferenceReading
from lenscalc.refractometer.sheet_instrument import prism_at
from lenscalc.refractometer.sheet_readings import Reading
from lenscalc.uncertainty import Estimate, Source, combine, errors_only
from lenscalc.uncertainty.rounding import percent

FEW_DOF = 2.0
FAR_OFF = 0.001  # a scale that is out by more is adjusted, not corrected (common practice, no source)
U_SUCROSE_TABLE = 1e-5 / 12.0**0.5  # the international table is printed to five decimals


class AsRead(NamedTuple):
    """A mean with its sources, and sentences on how it came about."""

    n: Estimate
    remarks: tuple[str, ...]


def as_read(reading: Reading, resolution: float, what: str = "") -> AsRead:
    """Mean of the replicates with type A, drift and resolution as sources; `what` names a reference in them."""
    at = f"{f'{what}, ' if what else ''}{reading.wavelength_nm:g} nm, {reading.temperature_degC:g} °C"
    if reading.direction is not None:
        at += f", direction {reading.direction}"
    whose: Scope = "instrument" if what else "lot"
    parts: dict[Source, float] = {}
    n, remarks = list(reading.n), []
    weights = nested_weights(len(n), reading.mounting, reading.session)
    if reading.minutes_after_mounting is not None:
        drift = _drift(reading, resolution, at)
        n = list(drift.at_start)
        minutes = float(np.dot(weights.readings, reading.minutes_after_mounting))
        parts[Source(f"drift on the prism at {at}", whose, drift.dof, "t")] = drift.u_slope_per_min * minutes
        seen = "is seen" if drift.chance < 0.05 else "is not seen beyond scatter"
        remarks.append(f"at {at} a drift of {drift.slope_per_min:+.1e} per minute on the prism {seen}; the readings are carried back to the start")
    remarks += told_of_mixed_readings(reading, n, resolution, at)
    if reading.u_repeatability is not None:
        value = n[0] + float(np.dot(weights.readings, np.subtract(n, n[0])))
        u, dof = reading.u_repeatability * float(np.linalg.norm(weights.mountings)), float(reading.dof_repeatability or np.inf)
        parts[Source(f"repeatability at {at}, pooled", whose, dof, "t")] = u
        if reading.u_session is not None:
            u_days = reading.u_session * float(np.linalg.norm(weights.sessions))
            parts[Source("sessions, pooled", "instrument", float(reading.dof_session or np.inf), "t")] = u_days
    else:
        mean = nested_mean(n, reading.mounting, reading.session)
        value = mean.value
        alone = reading.mounting is None and mean.level == "mountings"
        name, units = ("replicates", "readings") if alone else (mean.level, mean.level)
        parts[Source(f"{name} at {at}", whose, mean.dof, "t")] = mean.u
        if mean.dof <= FEW_DOF and not what:  # a reference's few degrees of freedom are told by its line in the budget
            remarks.append(
                f"{mean.dof + 1:.0f} {units} at {at} tell little of their own scatter "
                f"({counted(round(mean.dof), 'degree of freedom', 'degrees of freedom')}): "
                "if earlier lots have told it better, give the u of one reading, pooled (u_repeatability)"
            )
    parts[Source(f"resolution at {at}", "instrument", distribution="rectangular")] = resolution / 12.0**0.5
    return AsRead(Estimate(value, parts), tuple(remarks))


def _drift(reading: Reading, resolution: float, at: str) -> Drift:
    labels = list(zip(reading.mounting, reading.session or reading.mounting, strict=True)) if reading.mounting else None
    try:
        return drift_on_prism(reading.n, reading.minutes_after_mounting or (), labels, resolution=resolution)
    except InputError as error:
        raise SheetError(f"[reading] at {at}: {error}") from None


def as_shown(n: Estimate, reading: Reading, instrument: dict[str, Any]) -> Estimate:
    """The estimate with a temperature compensation taken off, and moved from the scale's line to the reading's."""
    if instrument.get("temperature_compensation", "none") != "none":
        per_K, to = instrument["compensation_per_K"], instrument["compensation_to_degC"]
        value = without_compensation(n.value, reading.temperature_degC, per_K=per_K, to_degC=to)
        u = instrument["u_compensation_per_K"] * (to - reading.temperature_degC)
        n = combine(value, [(1.0, n), (1.0, errors_only({Source("temperature compensation taken off", "instrument"): -u}))])
    scale = instrument.get("scale_wavelength_nm")
    if scale is None or abs(reading.wavelength_nm - scale) <= SAME_LINE_NM:
        return n
    here, there = prism_at(instrument, scale), prism_at(instrument, reading.wavelength_nm)
    if here is None or there is None:  # the readings have been checked, a reference may lie just beside their line
        raise SheetError(
            f"[instrument] the scale is made for {scale:g} nm and {reading.wavelength_nm:g} nm was read: give [[instrument.prism]] for both lines, "
            "or write the same wavelength for reference, reading and scale"
        )
    apex = instrument.get("prism_apex_deg")
    N_scale, N_line, h = here["n_prism"], there["n_prism"], 1e-6

    def moved(x: float, a: float, b: float) -> float:
        return float(index_at_line(x, n_prism_scale=a, n_prism_line=b, apex_deg=apex))

    value = float(n.value)
    try:
        carried = moved(value, N_scale, N_line)
    except InputError as error:
        raise SheetError(f"[[instrument.prism]] {error}") from None
    by_n = (moved(value + h, N_scale, N_line) - moved(value - h, N_scale, N_line)) / (2 * h)
    by_scale = (moved(value, N_scale + h, N_line) - moved(value, N_scale - h, N_line)) / (2 * h)
    by_line = (moved(value, N_scale, N_line + h) - moved(value, N_scale, N_line - h)) / (2 * h)
    prism = errors_only(
        {
            Source(f"prism's index at {here['wavelength_nm']:g} nm", "instrument"): by_scale * here["u_n_prism"],
            Source(f"prism's index at {there['wavelength_nm']:g} nm", "instrument"): by_line * there["u_n_prism"],
        }
    )
    return combine(carried, [(by_n, n), (1.0, prism)])


def calibration_at(
    wavelength_nm: float,
    temperatures: Sequence[float],
    table: CalibrationTable | None,
    instrument: dict[str, Any],
    basis: str,
    what: str,
    light: Estimate,
) -> tuple[Calibration, tuple[str, ...]]:
    """The calibration for one line, from the references read at it or as stated; with what is to be said of it.

    `basis` is the scale's: references are known relative to air, and a vacuum scale shows them larger by the index of air. `light` is the error of
    the wavelength [nm] that they share with the specimen.
    """
    u_stated = instrument.get("u_calibration", 0.0)
    if table is None or not table.references:
        return stated_calibration(u_stated), told_of_light(instrument, (), light)
    references = table.at(wavelength_nm)
    if not references:
        lines = ", ".join(f"{w:g}" for w in sorted({r.reading.wavelength_nm for r in table.references}))
        raise SheetError(
            f"[calibration] the references were read at {lines} nm, the {what} at {wavelength_nm:g} nm: a calibration belongs to its wavelength; "
            "read a reference at this line"
        )
    for r in references:
        far = max(abs(r.reading.temperature_degC - T) for T in temperatures)
        if far > table.within_K:
            raise SheetError(
                f"[calibration] reference {r.name} was read at {r.reading.temperature_degC:g} °C, {far:g} K from the {what}: a calibration belongs "
                f"to its temperature; read it nearer, or state how far it holds with within_K (now {table.within_K:g})"
            )
    told: list[str] = []
    read = []
    for r in references:
        reference, said = reference_as_read(r, instrument, basis, light)
        told += said
        read.append(reference)
    told += told_of_light(instrument, references, light)
    if basis == "unknown":
        told.append("basis unknown: the references are relative to air, and what is calibrated against them is so too; no doubt about it is added")
    try:
        calibration = calibrate(read, model=table.model, u_stated=u_stated)
    except InputError as error:
        raise SheetError(f"[calibration] {error}") from None
    if calibration.chance < INCONSISTENT:
        other = ", or fit offset and slope" if table.model == "offset" else ""
        told.append(
            f"the references at {wavelength_nm:g} nm disagree by more than their uncertainties (chance {percent(calibration.chance)}): "
            f"look for the one that is wrong{other}"
        )
    if abs(calibration.offset) > FAR_OFF:
        told.append(
            f"the scale shows {calibration.offset:+.4f} too much at {wavelength_nm:g} nm: that is taken off, but look first whether each reference "
            "is what the sheet says it is"
        )
    return calibration, tuple(told)


def reference_as_read(
    r: ReferenceReading, instrument: dict[str, Any], basis: str, light: Estimate
) -> tuple[Reference, tuple[str, ...]]:
    """A reference as the instrument shows it under its light, and as it truly is, on the scale's basis; with what is to be said of its mean."""
    mean = as_read(r.reading, instrument["resolution"], r.name)
    true = true_index(r)
    if basis == "vacuum":
        n_air = float(air_index(r.reading.wavelength_nm, r.reading.temperature_degC))
        true = combine(true.value * n_air, [(n_air, true)])
    shown = as_shown(mean.n, r.reading, instrument)
    if light.parts:
        shown = combine(shown.value, [(1.0, shown), (slope_of_reference(r, float(true.value)), light)])
        shown = through_prism(shown, r.reading.wavelength_nm, instrument, light)
    return Reference(r.name, shown, true), mean.remarks


def true_index(reference: ReferenceReading) -> Estimate:
    """What a reference truly is at its own temperature and line, relative to air."""
    r, about = reference.reading, reference.about
    T, u_T = r.temperature_degC, r.u_temperature_degC
    heat = Source(f"temperature of {reference.name}", "instrument")
    if reference.kind == "certified":
        warmed = T - about["certified_temperature_degC"]
        slope = about.get("dn_dt_per_K", 0.0)
        n = about["n_certified"]
        if about["certified_basis"] == "vacuum":
            n /= float(air_index(r.wavelength_nm, about["certified_temperature_degC"]))
        parts = {Source(f"certificate of {reference.name}", "instrument"): about["u_certified"], heat: slope * u_T}
        if warmed:
            parts[Source(f"dn/dT of {reference.name}", "instrument")] = about["u_dn_dt_per_K"] * warmed
        return Estimate(n + slope * warmed, parts)
    if not 0.5 <= T <= 39.5:
        raise SheetError(f"[calibration] reference {reference.name} at {T:g} °C: water and sugar solutions are known here from 0 to 40 °C")
    if reference.kind == "water":
        n = float(water_index(r.wavelength_nm, T))
        slope = float(water_index(r.wavelength_nm, T + 0.5) - water_index(r.wavelength_nm, T - 0.5))
        return Estimate(n, {Source("water, IAPWS R9-97", "instrument"): float(u_water_index(r.wavelength_nm, T)), heat: slope * u_T})
    if abs(r.wavelength_nm - LINES_NM["D"]) > SAME_LINE_NM:
        raise SheetError(f"[calibration] reference {reference.name}: the sucrose scale is known at the D line, not at {r.wavelength_nm:g} nm")
    w = about["mass_fraction"]
    try:
        n, more, less = (float(sucrose_index(x, T)) for x in (w, min(w + 5e-4, 0.85), max(w - 5e-4, 0.0)))
    except InputError as error:
        raise SheetError(f"[calibration] reference {reference.name}: {error}") from None
    # the slopes stay inside the scale, where the reference stands at its end
    above, below = min(T + 0.25, 30.0), max(T - 0.25, 10.0)
    by_T = (float(sucrose_index(min(w, 0.84), above)) - float(sucrose_index(min(w, 0.84), below))) / (above - below)
    by_w = (more - less) / (min(w + 5e-4, 0.85) - max(w - 5e-4, 0.0))
    return Estimate(
        n,
        {
            Source(f"mass fraction of {reference.name}", "instrument"): by_w * about["u_mass_fraction"],
            Source("sucrose table", "instrument", distribution="rectangular"): U_SUCROSE_TABLE,
            heat: by_T * u_T,
        },
    )
