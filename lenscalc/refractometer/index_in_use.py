"""From the reading to the index that the lens has in the eye: 546.07 nm, 35 °C, wet, relative to air.

Vectorised: one case is a column of one, a nan is a missing value. The steps keep this order, and each is an estimate of its own:
reading → at 546.07 nm → hydrated → at 35 °C (wet dn/dT) → basis.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.material import air_index, by_abbe_number, by_second_reading
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty import Estimate, Source, combine

SAME_WAVELENGTH_NM = 0.05  # the e line, 546.0740, is the wavelength in use: 4e-3 nm are worth 2e-7

FORM = Source("form of the dispersion", scope="lot", distribution="rectangular")
BASIS = Source("basis of the index unknown (air or vacuum)", scope="lot", distribution="rectangular")


@dataclass(frozen=True, eq=False)
class Step:
    """One step on the way: what was done, and the index after it."""

    name: str
    n: Estimate
    note: str = ""


@dataclass(frozen=True, eq=False)
class IndexInUse:
    """The index in use with its conditions and the way to it. Serves a lens and a measured medium alike."""

    n: Estimate
    wavelength_nm: float
    temperature_degC: float
    basis: str
    steps: tuple[Step, ...]


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


def cannot_be_carried(raw: RawReading) -> list[tuple[Any, str]]:
    """What is missing for the way to the conditions in use: (rows, sentence) pairs."""
    away = np.abs(raw.wavelength_nm - WAVELENGTH_IN_USE_NM) > SAME_WAVELENGTH_NM
    second = ~np.isnan(raw.second.value)
    known_T = ~np.isnan(raw.temperature_degC.value)
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
            f"read away from {WAVELENGTH_IN_USE_NM} nm: give abbe_d with u_abbe_d, or a second reading at another wavelength",
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
            (raw.state == "dry") & np.isnan(raw.hydration_shift.value),
            "read dry, and the lens is wet in the eye: give the measured hydration_shift with its u, or read it hydrated",
        ),
        (
            (raw.state == "hydrated") & ~np.isnan(raw.hydration_shift.value),
            "hydration_shift is given, but the specimen was read hydrated already: one of the two is wrong",
        ),
        (
            known_T
            & ((raw.temperature_degC.value != TEMPERATURE_IN_USE_DEGC) | (raw.temperature_degC.u > 0))
            & np.isnan(raw.dn_dt_per_K.value),
            f"read away from {TEMPERATURE_IN_USE_DEGC:g} °C, or at a temperature with a u: give dn_dt_per_K (wet) with u_dn_dt_per_K",
        ),
    ]


def carry_to_use(raw: RawReading) -> IndexInUse:
    """The index in use, step by step. Rows that cannot be carried (`cannot_be_carried`) come out as nan or wrong: ask first.

    Dispersion by the two-parameter Cauchy form, with half the spread to three other forms as a rectangular line; temperature by a constant wet dn/dT;
    an unknown basis keeps its value (taken relative to air) and gets a rectangular line as wide as the difference.
    """
    read = Step("reading", raw.n)
    green = Step(f"at {WAVELENGTH_IN_USE_NM} nm", _to_green(raw), "two-parameter Cauchy form; spread between forms in the budget")

    dry = raw.state == "dry"
    shift = np.where(dry, raw.hydration_shift.value, 0.0)
    wet = Step("hydrated", combine(green.n.value + shift, [(1.0, green.n), (np.where(dry, 1.0, 0.0), _filled(raw.hydration_shift))]))

    warming = TEMPERATURE_IN_USE_DEGC - raw.temperature_degC.value
    moved = warming != 0
    slope = np.where(np.isnan(raw.dn_dt_per_K.value), 0.0, raw.dn_dt_per_K.value)
    warm = Step(
        f"at {TEMPERATURE_IN_USE_DEGC:g} °C",
        combine(
            wet.n.value + slope * np.where(moved, warming, 0.0),
            [(1.0, wet.n), (np.where(moved, warming, 0.0), _filled(raw.dn_dt_per_K)), (-slope, raw.temperature_degC)],
        ),
        "wet dn/dT",
    )

    n_air = air_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC)
    factor = np.where(raw.basis == "vacuum", 1.0 / n_air, 1.0)
    doubt = np.where(raw.basis == "unknown", warm.n.value * (n_air - 1.0) / 3.0**0.5, 0.0)
    final = combine(warm.n.value * factor, [(factor, warm.n), (1.0, Estimate(warm.n.value, _if_any(BASIS, doubt)))])
    return IndexInUse(
        final, WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC, "relative to air", (read, green, wet, warm, Step("relative to air", final))
    )


def _to_green(raw: RawReading) -> Estimate:
    away = np.abs(raw.wavelength_nm - WAVELENGTH_IN_USE_NM) > SAME_WAVELENGTH_NM
    two = away & ~np.isnan(raw.second.value)
    one = away & ~two
    with np.errstate(divide="ignore", invalid="ignore"):
        a = by_abbe_number(raw.n.value, raw.wavelength_nm, raw.abbe_d.value, WAVELENGTH_IN_USE_NM)
        b = by_second_reading(raw.n.value, raw.wavelength_nm, raw.second.value, raw.second_wavelength_nm, WAVELENGTH_IN_USE_NM)

    def pick(if_one: Any, if_two: Any, otherwise: Any) -> Any:
        return np.where(one, if_one, np.where(two, if_two, otherwise))

    form = Estimate(raw.n.value, _if_any(FORM, pick(a.half_spread, b.half_spread, 0.0) / 3.0**0.5))
    return combine(
        pick(a.n, b.n, raw.n.value),
        [
            (pick(a.by_reading, b.by_reading, 1.0), raw.n),
            (pick(0.0, b.by_second, 0.0), _filled(raw.second)),
            (pick(a.by_abbe, 0.0, 0.0), _filled(raw.abbe_d)),
            (1.0, form),
        ],
    )


def _filled(e: Estimate) -> Estimate:
    """The estimate with 0 for a missing part, so that a row without it keeps clean sums."""
    return Estimate(e.value, {s: np.where(np.isnan(p), 0.0, p) for s, p in e.parts.items()})


def _if_any(source: Source, part: Any) -> Mapping[Source, Any]:
    return {source: part} if np.any(part) else {}
