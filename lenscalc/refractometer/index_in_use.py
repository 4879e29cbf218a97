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
from lenscalc.material import air_index, by_abbe_number, by_second_reading, hydration_of, lorentz_lorenz_dn_dt, water_density, water_index
from lenscalc.refractometer.raw_reading import RawReading, is_away
from lenscalc.uncertainty import Estimate, Source, budget, combine

FORM = Source("form of the dispersion", scope="lot", distribution="rectangular")
MIXING = Source("mixing rule of water and polymer", scope="lot", distribution="rectangular")
EXPANSION_LAW = Source("dn/dT estimated from the expansion", scope="lot", distribution="rectangular")
BASIS = Source("basis of the index unknown (air or vacuum)", scope="lot", distribution="rectangular")


@dataclass(frozen=True, eq=False)
class Step:
    """One step on the way: what was done, and the index after it."""

    name: str
    n: Estimate
    note: str = ""


@dataclass(frozen=True, eq=False)
class IndexInUse:
    """The index in use with its conditions and the way to it. Serves a lens and a measured medium alike.

    `is_extrapolated`: rows whose step to the wavelength in use leaves the range in which their dispersion is known.
    """

    n: Estimate
    wavelength_nm: float
    temperature_degC: float
    basis: str
    steps: tuple[Step, ...]
    is_extrapolated: Any

    def shares(self, case: int = 0) -> tuple[float, ...]:
        """For every step the share of the final u² that entered with it; they add up to 1."""
        at_end = {line.source: line.share for line in budget(self.n, case)}
        shares, seen = [], set[str]()
        for step in self.steps:
            # in the order of the budget, not of a set: the last bit of a sum depends on it
            new = [name for name in dict.fromkeys(source.name for source, part in step.n.parts.items() if np.any(part)) if name not in seen]
            seen.update(new)
            shares.append(sum(at_end.get(name, 0.0) for name in new))
        return tuple(shares)


def carry_to_use(raw: RawReading) -> IndexInUse:
    """The index in use, step by step. Rows that cannot be carried (`cannot_be_carried`) come out as nan or wrong: ask first.

    Dispersion by the two-parameter Cauchy form, with half the spread to three other forms as a rectangular line; temperature by a constant wet dn/dT;
    an unknown basis keeps its value (taken relative to air) and gets a rectangular line as wide as the difference.
    """
    read = Step("reading", raw.n)
    away = np.any(is_away(raw.wavelength_nm))
    at_green, beyond = _to_green(raw)
    green = Step(f"at {WAVELENGTH_IN_USE_NM} nm", at_green, "two-parameter Cauchy form" if away else "")

    wet = Step("hydrated", _hydrated(raw, green.n), "by the mixing rule of Lorentz and Lorenz: an estimate" if np.any(raw.is_estimate) else "")

    warming = TEMPERATURE_IN_USE_DEGC - raw.temperature_degC.value
    expands = np.any(np.isnan(raw.dn_dt_per_K.value) & ~np.isnan(raw.volume_expansion_per_K.value))
    slope = _slope(raw, wet.n)
    warm = Step(
        f"at {TEMPERATURE_IN_USE_DEGC:g} °C",
        combine(
            wet.n.value + slope.value * warming,
            [(1.0, wet.n), (warming, slope), (-slope.value, raw.temperature_degC)],
        ),
        "dn/dT, hydrated, estimated from the volume expansion" if expands else "dn/dT, hydrated",
    )

    n_air = air_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC)
    factor = np.where(raw.basis == "vacuum", 1.0 / n_air, 1.0)
    doubt = _only(raw.basis == "unknown", warm.n.value * (n_air - 1.0) / 3.0**0.5)
    final = combine(warm.n.value * factor, [(factor, warm.n), (1.0, Estimate(warm.n.value, _if_any(BASIS, doubt)))])
    steps = (read, green, wet, warm, Step("relative to air", final))
    return IndexInUse(final, WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC, "relative to air", steps, beyond)


def _hydrated(raw: RawReading, dry: Estimate) -> Estimate:
    """By the measured shift; where there is none, by the mixing rule from the water content (bulk water at the reading's temperature, 546.07 nm)."""
    shifted = ~np.isnan(raw.hydration_shift.value)
    mixed = raw.is_estimate
    shift = _only(shifted, raw.hydration_shift.value)
    if not np.any(mixed):
        return combine(dry.value + shift, [(1.0, dry), (_only(shifted, 1.0), _filled(raw.hydration_shift))])
    T, w, rho = np.clip(raw.temperature_degC.value, 0.0, 40.0), raw.water_mass_fraction_wet.value, raw.dry_density_kg_per_m3.value
    cold, hot = np.maximum(T - 0.5, 0.0), np.minimum(T + 0.5, 40.0)
    h, *ends = (hydration_of(w, dry.value, rho, water_index(WAVELENGTH_IN_USE_NM, t), water_density(t)) for t in (T, cold, hot))
    by_temperature = (ends[1].n_hydrated - ends[0].n_hydrated) / (hot - cold)  # a wrong temperature takes the wrong water
    rule = Estimate(dry.value, _if_any(MIXING, _only(mixed, np.abs(h.half_spread) / 3.0**0.5)))
    return combine(
        np.where(mixed, h.n_hydrated, dry.value + shift),
        [
            (np.where(mixed, h.by_n_dry, 1.0), dry),
            (_only(shifted, 1.0), _filled(raw.hydration_shift)),
            (_only(mixed, h.by_water), _filled(raw.water_mass_fraction_wet)),
            (_only(mixed, h.by_density), _filled(raw.dry_density_kg_per_m3)),
            (_only(mixed, by_temperature), _filled(raw.temperature_degC)),
            (1.0, rule),
        ],
    )


def _slope(raw: RawReading, wet: Estimate) -> Estimate:
    """dn/dT as given; where only the volume expansion is, the Lorentz–Lorenz slope.

    Its half-width is its distance from the line through many polymers. That line, dn/dT = −0.56·α − 3.7e-6 /K, is read in the abstract of
    Zhang et al. 2006 (Polymer), its sign by context.
    """
    given = ~np.isnan(raw.dn_dt_per_K.value)
    alpha = raw.volume_expansion_per_K.value
    expands = ~given & ~np.isnan(alpha)
    value = _only(given, raw.dn_dt_per_K.value)
    if not np.any(expands):
        return combine(value, [(1.0, _filled(raw.dn_dt_per_K))])
    by_alpha = _only(expands, lorentz_lorenz_dn_dt(wet.value, 1.0))
    law = by_alpha * _only(expands, alpha)
    half = _only(expands, np.abs(law - (-0.56 * alpha - 3.7e-6)))
    doubt = Estimate(wet.value, {EXPANSION_LAW: half / 3.0**0.5})
    # the law is −α·(n³ + n − 2/n)/6, so that an error of the index turns the slope
    by_n = _only(expands, -alpha * (3.0 * wet.value * wet.value + 1.0 + 2.0 / (wet.value * wet.value)) / 6.0)
    return combine(
        np.where(expands, law, value),
        [(1.0, _filled(raw.dn_dt_per_K)), (by_alpha, _filled(raw.volume_expansion_per_K)), (by_n, _filled(wet)), (1.0, doubt)],
    )


def _to_green(raw: RawReading) -> tuple[Estimate, Any]:
    away = is_away(raw.wavelength_nm)
    two = away & ~np.isnan(raw.second.value)
    one = away & ~two
    with np.errstate(divide="ignore", invalid="ignore"):
        a = by_abbe_number(raw.n.value, raw.wavelength_nm, raw.abbe_d.value, WAVELENGTH_IN_USE_NM)
        b = by_second_reading(raw.n.value, raw.wavelength_nm, raw.second.value, raw.second_wavelength_nm, WAVELENGTH_IN_USE_NM)

    def pick(if_one: Any, if_two: Any, otherwise: Any) -> Any:
        return np.where(one, if_one, np.where(two, if_two, otherwise))

    form = Estimate(raw.n.value, _if_any(FORM, pick(a.half_spread, b.half_spread, 0.0) / 3.0**0.5))
    green = combine(
        pick(a.n, b.n, raw.n.value),
        [
            (pick(a.by_reading, b.by_reading, 1.0), raw.n),
            (pick(0.0, b.by_second, 0.0), _filled(raw.second)),
            (pick(a.by_abbe, 0.0, 0.0), _filled(raw.abbe_d)),
            (1.0, form),
        ],
    )
    return green, pick(a.is_extrapolated, b.is_extrapolated, False).astype(bool)


def _only(rows: Any, x: Any) -> Any:
    """What is given in these rows, 0 in the others."""
    return np.where(rows, x, 0.0)


def _filled(e: Estimate) -> Estimate:
    """The estimate with 0 for a missing part, so that a row without it keeps clean sums."""
    return Estimate(e.value, {s: _only(~np.isnan(p), p) for s, p in e.parts.items()})


def _if_any(source: Source, part: Any) -> Mapping[Source, Any]:
    return {source: part} if np.any(part) else {}
