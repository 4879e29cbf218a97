"""What was read, row by row, and what is missing for the way to the conditions in use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty import Estimate

SAME_WAVELENGTH_NM = 0.05  # the e line, 546.0740, is the wavelength in use: 4e-3 nm are worth 2e-7


def is_away(wavelength_nm: Any) -> Any:
    """Whether a wavelength is another than the one in use, so that an index has a step to go; nan is not."""
    return np.abs(wavelength_nm - WAVELENGTH_IN_USE_NM) > SAME_WAVELENGTH_NM


@dataclass(frozen=True, eq=False)
class RawReading:
    """What was read, as estimates of equal length; `state` is "dry" or "hydrated", `basis` "air", "vacuum" or "unknown", row by row.

    Optional values are estimates with nan where they are not given.
    """

    n: Estimate
    wavelength_nm: FloatArray
    temperature_degC: Estimate
    state: Any
    basis: Any
    second: Estimate
    second_wavelength_nm: FloatArray
    abbe_d: Estimate
    dn_dt_per_K: Estimate
    hydration_shift: Estimate
    water_mass_fraction_wet: Estimate
    dry_density_kg_per_m3: Estimate
    volume_expansion_per_K: Estimate
    glass_transition_degC: FloatArray

    @property
    def is_estimate(self) -> Any:
        """Rows whose hydrated index comes from a mixing rule, not from a hydrated reading: no decision stands on them."""
        return (self.state == "dry") & np.isnan(self.hydration_shift.value) & ~np.isnan(self.water_mass_fraction_wet.value)


def cannot_be_carried(raw: RawReading) -> list[tuple[Any, str]]:
    """What is missing for the way to the conditions in use: (rows, sentence) pairs."""
    away = is_away(raw.wavelength_nm)
    second = ~np.isnan(raw.second.value)
    T, Tg = raw.temperature_degC.value, raw.glass_transition_degC
    known_T, expands = ~np.isnan(T), ~np.isnan(raw.volume_expansion_per_K.value)
    return [
        (np.isnan(raw.wavelength_nm), "reading_wavelength_nm is missing: a reading without its wavelength is not an index"),
        (np.isnan(raw.temperature_degC.value), "reading_temperature_degC is missing: a reading without its temperature is not an index"),
        (
            ~np.isin(raw.state, ("dry", "hydrated")),
            "index_state must say in which state the specimen was read: dry or hydrated",
        ),
        (
            ~np.isin(raw.basis, ("air", "vacuum", "unknown")),
            "index_basis must be air (refractometers read so), vacuum or unknown",
        ),
        (
            away & ~second & np.isnan(raw.abbe_d.value),
            f"abbe_d is missing: read away from {WAVELENGTH_IN_USE_NM} nm, give it with u_abbe_d, or a second reading at another wavelength",
        ),
        (second & np.isnan(raw.second_wavelength_nm), "second_wavelength_nm is missing beside n_second_reading"),
        (
            second & (np.abs(raw.second_wavelength_nm - raw.wavelength_nm) < 10.0),
            "the two wavelengths lie less than 10 nm apart: they tell nothing about dispersion",
        ),
        (
            second & ((raw.second.value - raw.n.value) * (raw.second_wavelength_nm - raw.wavelength_nm) >= 0),
            "the index must fall with the wavelength: are the two readings exchanged?",
        ),
        (second & ~np.isnan(raw.abbe_d.value), "abbe_d and a second reading are both given: the dispersion comes from one of them"),
        (
            (raw.state == "dry") & np.isnan(raw.hydration_shift.value) & np.isnan(raw.water_mass_fraction_wet.value),
            "hydration_shift is missing: read dry, and the lens is hydrated in the eye; give the measured one with its u, or read it hydrated",
        ),
        (
            (raw.state == "hydrated") & ~np.isnan(raw.hydration_shift.value),
            "hydration_shift is given, but the specimen was read hydrated already: one of the two is wrong",
        ),
        (
            (raw.state == "hydrated") & ~np.isnan(raw.water_mass_fraction_wet.value),
            "water_mass_fraction_wet is given, but the specimen was read hydrated already: one of the two is wrong",
        ),
        (
            ~np.isnan(raw.hydration_shift.value) & ~np.isnan(raw.water_mass_fraction_wet.value),
            "hydration_shift and water_mass_fraction_wet are both given: the step to the hydrated polymer comes from one of them",
        ),
        (
            ~np.isnan(raw.water_mass_fraction_wet.value) & np.isnan(raw.dry_density_kg_per_m3.value),
            "dry_density_kg_per_m3 is missing beside water_mass_fraction_wet: the water's share of the volume follows from it",
        ),
        (
            raw.is_estimate & known_T & ~((T >= 0) & (T <= 40)),
            "read dry outside 0 to 40 °C: water's index and density are not known here, so no mixing rule can be used",
        ),
        (
            known_T & ((T != TEMPERATURE_IN_USE_DEGC) | (raw.temperature_degC.u > 0)) & np.isnan(raw.dn_dt_per_K.value) & ~expands,
            f"dn_dt_per_K is missing: read away from {TEMPERATURE_IN_USE_DEGC:g} °C, or at a temperature with a u; give the wet polymer's with its u",
        ),
        (
            ~np.isnan(raw.dn_dt_per_K.value) & expands,
            "dn_dt_per_K and volume_expansion_per_K are both given: the slope comes from one of them",
        ),
        (
            (T - Tg) * (TEMPERATURE_IN_USE_DEGC - Tg) < 0,
            f"glass_transition_degC lies between the reading and {TEMPERATURE_IN_USE_DEGC:g} °C: the slope breaks there; read beyond it",
        ),
    ]
