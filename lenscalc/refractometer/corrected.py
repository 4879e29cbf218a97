"""Every list of readings of a sheet, with the instrument's errors taken off and their uncertainty put on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lenscalc.refractometer.as_read import as_read, as_shown, calibration_at
from lenscalc.refractometer.calibration import Calibration
from lenscalc.refractometer.lamp import light_at, through_prism
from lenscalc.refractometer.sheet import ReadingSheet
from lenscalc.refractometer.sheet_readings import Reading
from lenscalc.refractometer.zero_drift import zero_drift
from lenscalc.uncertainty import Estimate, Source, combine, errors_only


@dataclass(frozen=True, eq=False)
class Block:
    """One list of replicates on its way: as shown and as corrected."""

    reading: Reading
    shown: Estimate
    n: Estimate


def corrected(sheet: ReadingSheet) -> tuple[list[Block], dict[float, Calibration], tuple[str, ...]]:
    """Every list: mean → as shown without the instrument's own tricks → calibrated → with what is common to all of the sheet."""
    told: list[str] = []
    calibrations: dict[float, Calibration] = {}
    lights: dict[float, Estimate] = {}
    for w in dict.fromkeys(r.wavelength_nm for r in sheet.readings):
        temperatures = [r.temperature_degC for r in sheet.readings if r.wavelength_nm == w]
        lights[w] = light_at(sheet.readings, w)
        calibrations[w], said = calibration_at(
            w, temperatures, sheet.calibration, sheet.instrument, sheet.readings[0].basis, "specimen", lights[w]
        )
        told += said
    drift, said = zero_drift(sheet.calibration)
    told += said
    common = {
        Source("operator", "instrument"): sheet.instrument.get("u_operator"),
        Source("specimen against lens", "lot"): sheet.specimen.get("u_specimen_to_lens"),
    }
    shared = errors_only({s: u for s, u in common.items() if u})
    blocks = []
    for r in sheet.readings:
        mean = as_read(r, sheet.instrument["resolution"])
        told += mean.remarks
        calibration = calibrations[r.wavelength_nm]
        shown = through_prism(as_shown(mean.n, r, sheet.instrument), r.wavelength_nm, sheet.instrument, lights[r.wavelength_nm])
        n = calibration.corrected(shown)
        if np.isfinite(calibration.lowest) and not calibration.covers(float(n.value)):
            one = calibration.lowest == calibration.highest
            span = f"{calibration.lowest:.4f}" + ("" if one else f" to {calibration.highest:.4f}")
            told.append(
                f"{n.value:.4f} lies {'far from the reference' if one else 'outside the references'} at {r.wavelength_nm:g} nm, {span}: "
                "the calibration is extrapolated" + ("" if calibration.u_slope else ", and an error of slope is not in the budget")
            )
        terms = [(1.0, n), (1.0, shared)]
        value = n.value
        if drift is not None:
            terms.append((1.0, drift))
            value = value + drift.value
        blocks.append(Block(r, mean.n, combine(value, terms)))
    return blocks, calibrations, tuple(told)
