"""From checked columns to estimates: every input with the sources of its uncertainty."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.chain.table import DIMENSIONS, UNCERTAINTIES, Columns
from lenscalc.conditions import N_MEDIUM_IN_USE, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens import edge_thickness_mm, why_not
from lenscalc.lens.geometry import ROUNDING_mm
from lenscalc.quantities import FloatArray, quantity, remark
from lenscalc.refractometer import IndexInUse, RawReading, cannot_be_carried, carry_to_use
from lenscalc.refractometer.raw_reading import is_away
from lenscalc.uncertainty import Estimate, Source

_READ = ("n_lens", "n_reading", "n_second_reading")  # what a calibration error acts on; a medium may have been read on another instrument
LOWEST_WET = 1.33  # water at 35 °C, 546 nm is 1.3328 (IAPWS R9-97): what is wet is not below it


@dataclass(frozen=True, eq=False)
class Inputs:
    """Estimates by quantity (surfaces by their curvature), and where one was taken as exact for want of an uncertainty."""

    of: dict[str, Estimate]
    index: IndexInUse | None
    exact: dict[str, Any]
    is_estimate: Any

    @property
    def is_exact(self) -> Any:
        """Rows in which something that was measured is taken as exact."""
        return np.logical_or.reduce(list(self.exact.values()))

    @property
    def dimensions_exact(self) -> Any:
        """Rows in which a dimension is taken as exact."""
        return np.logical_or.reduce([self.exact[name] for name in DIMENSIONS])


def inputs_of(
    columns: Columns, sources: Mapping[Source, Mapping[str, Any]], calibration: Source, taken_as_exact: Sequence[str] = ()
) -> Inputs:
    """Estimates of every input; problems of rows that contradict themselves are noted in `columns`."""
    _check_sources(sources)
    parts = _parts(columns, sources, calibration)
    told = {name for effects in sources.values() for name in effects} - set(taken_as_exact)
    plain = (*_READ, "n_measured_medium", "center_thickness_mm", "n_medium_behind")
    of = {name: Estimate(columns.number(name), parts.get(name, {})) for name in plain}
    medium = columns.number("n_medium")
    of["n_medium"] = Estimate(np.where(np.isnan(medium), N_MEDIUM_IN_USE, medium), parts.get("n_medium", {}))
    exact = {name: _without_u(columns, name, told) for name in DIMENSIONS}
    for side in ("front", "back"):
        of[f"{side}_curvature_per_mm"], exact[f"{side}_radius_mm"] = _curvature(columns, side, parts, told)
    index, n_exact, is_estimate = _index(columns, of, parts, told)
    if index:
        raw = ~np.isnan(columns.number("n_reading"))
        of["n_lens"] = _either(raw, index.n, of["n_lens"])
    exact["index"] = n_exact
    if "optic_diameter_mm" in columns.numbers:
        _refuse_impossible(columns)
    columns.refuse(
        ~np.isnan(columns.number("n_measured_medium")) & _without_u(columns, "n_measured_medium", told),
        "u_n_measured_medium is missing beside n_measured_medium: a measured index has an uncertainty",
    )
    return Inputs(of, index, exact, is_estimate)


def _check_sources(sources: Mapping[Source, Mapping[str, Any]]) -> None:
    """A source acts on quantities that the chain knows, by finite amounts; anything else would be lost in silence."""
    targets = [name[2:] for name in UNCERTAINTIES if name != "u_calibration"]
    for source, effects in sources.items():
        for name, part in effects.items():
            if name not in targets:
                raise UnknownNameError(name, targets, what=f"quantity in the source {source.name!r}")
            if not np.all(np.isfinite(np.asarray(part, dtype=np.float64))):
                raise InputError(f"the part of {source.name!r} in {name} is not a finite number", quantity=name)


def _parts(columns: Columns, sources: Mapping[Source, Mapping[str, Any]], calibration: Source) -> dict[str, dict[Source, Any]]:
    parts: dict[str, dict[Source, Any]] = {}

    def add(name: str, source: Source, part: Any) -> None:
        of = parts.setdefault(name, {})
        of[source] = of[source] + part if source in of else part

    for name in columns.numbers:
        if name.startswith("u_") and name != "u_calibration":
            q = quantity(name[2:])
            add(q.name, Source(q.label, scope=q.scope), np.nan_to_num(columns.numbers[name]))
    if "u_calibration" in columns.numbers:
        for name in _READ:
            add(name, calibration, np.nan_to_num(columns.numbers["u_calibration"]))
    for source, effects in sources.items():
        for name, part in effects.items():
            add(name, source, np.broadcast_to(np.asarray(part, dtype=np.float64), columns.size))
    return parts


def _without_u(columns: Columns, name: str, told: Set[str]) -> Any:
    """Rows in which nobody has told an uncertainty of a quantity; an explicit 0 is one."""
    if name in told:
        return np.zeros(columns.size, dtype=bool)
    return np.isnan(columns.number(f"u_{name}"))


def _curvature(columns: Columns, side: str, parts: Mapping[str, Mapping[Source, Any]], told: Set[str]) -> tuple[Estimate, Any]:
    """A surface's error as an error of its curvature c = 1/R: from u of the radius (dc = −dR/R²), of the curvature, or of the sag."""
    radius = f"{side}_radius_mm"
    R = columns.number(radius)
    flat = np.isinf(R)
    c = np.where(flat, 0.0, 1.0 / R)
    u_R = columns.number(f"u_{radius}")
    columns.refuse(
        flat & ~np.isnan(u_R), f"u_{radius} is given for a plano surface, whose radius has none: give u_{side}_curvature_per_mm or u_{side}_sag_mm"
    )
    columns.refuse(
        ~flat & (u_R > np.abs(R) / 5.0),
        f"u_{radius} is more than a fifth of {radius}: give u_{side}_curvature_per_mm or u_{side}_sag_mm for a nearly flat surface",
    )
    merged: dict[Source, Any] = {}

    def add(source: Source, part: Any) -> None:
        merged[source] = merged[source] + part if source in merged else part

    for source, part in parts.get(radius, {}).items():
        add(source, -part * c * c)
    for source, part in parts.get(f"{side}_curvature_per_mm", {}).items():
        add(source, part)
    sag_parts = parts.get(f"{side}_sag_mm", {})
    u_sag = columns.number(f"u_{side}_sag_mm")
    if sag_parts:
        h = columns.number("optic_diameter_mm") / 2.0
        p = 1.0 + np.nan_to_num(columns.number(f"{side}_conic"))
        told_here = ~np.isnan(u_sag) | np.any(list(sag_parts.values()), axis=0)
        columns.refuse(told_here & np.isnan(h), f"optic_diameter_mm is missing beside u_{side}_sag_mm: a sag is taken at a height")
        # s = h²c/(1 + √(1 − (1 + k)h²c²)): ds/dc = h²/(√(1 − (1 + k)h²c²)·(1 + √(1 − (1 + k)h²c²)))
        with np.errstate(invalid="ignore"):
            root = (1.0 - p * h * h * c * c) ** 0.5
            slope = np.nan_to_num(root * (1.0 + root) / (h * h))
        for source, part in sag_parts.items():
            add(source, part * slope)
    given = [f"u_{radius}", f"u_{side}_curvature_per_mm", f"u_{side}_sag_mm"]
    columns.refuse(
        sum((~np.isnan(columns.number(name))).astype(int) for name in given) > 1,
        f"more than one of {', '.join(given)} is given: one of them is the uncertainty of this surface",
    )
    without = np.logical_and.reduce([_without_u(columns, name[2:], told) for name in given])
    return Estimate(c, merged), without


def _index(
    columns: Columns, of: Mapping[str, Estimate], parts: Mapping[str, Mapping[Source, Any]], told: Set[str]
) -> tuple[IndexInUse | None, Any, Any]:
    n_lens = columns.number("n_lens")
    given = ~np.isnan(n_lens)
    if "n_reading" not in columns.numbers:
        columns.refuse_missing(~given, "n_lens", "n_lens is missing")
        return None, given & _without_u(columns, "n_lens", told), np.zeros(columns.size, dtype=bool)
    raw = ~np.isnan(columns.number("n_reading"))
    columns.refuse(raw & given, "both n_reading and n_lens are given: a raw reading or an index in use, not both")
    columns.refuse(raw & ~np.isnan(columns.number("u_n_lens")), "u_n_lens is given beside n_reading: its uncertainty is u_n_reading")
    columns.refuse_missing(~raw & ~given, "n_reading", "n_reading is missing, and so is n_lens")

    def part_of(name: str) -> Estimate:
        return Estimate(columns.number(name), parts.get(name, {}))

    reading = RawReading(
        n=of["n_reading"],
        wavelength_nm=columns.number("reading_wavelength_nm"),
        temperature_degC=part_of("reading_temperature_degC"),
        state=columns.text("index_state"),
        basis=columns.text("index_basis"),
        second=of["n_second_reading"],
        second_wavelength_nm=columns.number("second_wavelength_nm"),
        abbe_d=part_of("abbe_d"),
        dn_dt_per_K=part_of("dn_dt_per_K"),
        hydration_shift=part_of("hydration_shift"),
        water_mass_fraction_wet=part_of("water_mass_fraction_wet"),
        dry_density_kg_per_m3=part_of("dry_density_kg_per_m3"),
        volume_expansion_per_K=part_of("volume_expansion_per_K"),
        glass_transition_degC=columns.number("glass_transition_degC"),
    )
    for rows, sentence in cannot_be_carried(reading):
        columns.refuse_missing(raw & rows, sentence.partition(" ")[0], sentence)
    away = is_away(reading.wavelength_nm)
    second = ~np.isnan(reading.second.value)
    elsewhere = reading.temperature_degC.value != TEMPERATURE_IN_USE_DEGC
    expands = ~np.isnan(reading.volume_expansion_per_K.value)
    used = {
        "n_reading": raw,
        "n_second_reading": raw & away & second,
        "abbe_d": raw & away & ~second,
        "dn_dt_per_K": raw & elsewhere & ~expands,  # at 35 °C its value acts on u(T) alone
        "volume_expansion_per_K": raw & elsewhere & expands,
        "reading_temperature_degC": raw,
        "hydration_shift": raw & (reading.state == "dry") & ~reading.is_estimate,
        "water_mass_fraction_wet": raw & reading.is_estimate,
        "dry_density_kg_per_m3": raw & reading.is_estimate,
    }
    exact = given & _without_u(columns, "n_lens", told)
    for name, rows in used.items():
        exact |= rows & _without_u(columns, name, told)
    index = carry_to_use(reading)
    columns.warn(
        raw & index.is_extrapolated,
        f"the step to {WAVELENGTH_IN_USE_NM} nm extrapolates: an Abbe number tells of F to C (486 to 656 nm), two readings of what lies between them",
    )
    for row in np.flatnonzero(raw & (index.n.value < LOWEST_WET)):
        text = f"n_lens = {index.n.value[row]:.4f} after the steps: lower than water's own index; look at the hydration and dn_dt_per_K"
        columns.problems.setdefault(int(row), []).append(text)
    return index, exact, raw & reading.is_estimate


def _either(first: Any, a: Estimate, b: Estimate) -> Estimate:
    """Row by row the one or the other, each with its own parts."""
    parts: dict[Source, Any] = {}
    for source in (*a.parts, *(s for s in b.parts if s not in a.parts)):
        parts[source] = np.where(first, a.parts.get(source, 0.0), b.parts.get(source, 0.0))
    return Estimate(np.where(first, a.value, b.value), parts)


def _refuse_impossible(columns: Columns) -> None:
    R1, R2, t, D = (columns.number(n) for n in (*DIMENSIONS, "optic_diameter_mm"))
    conics: dict[str, Any] = {name: np.nan_to_num(columns.number(name)) for name in ("front_conic", "back_conic")}
    usable: FloatArray = ~(np.isnan(R1) | np.isnan(R2) | np.isnan(t) | np.isnan(D))  # type: ignore[assignment]
    wrong = usable & ~(edge_thickness_mm(R1, R2, t, D, **conics) >= -ROUNDING_mm)
    wrong |= usable & np.any(list(conics.values()), axis=0)  # two conics may cross between centre and edge
    for row in np.flatnonzero(wrong):
        of_row: dict[str, Any] = {name: float(k[row]) for name, k in conics.items()}
        sentence = why_not(float(R1[row]), float(R2[row]), float(t[row]), float(D[row]), **of_row)
        if sentence:  # an unusual dimension is the likely reason, and its unit may be another
            values = {**dict(zip(DIMENSIONS, (R1[row], R2[row], t[row]), strict=True)), "optic_diameter_mm": D[row]}
            odd = [told for name, value in values.items() if (told := remark(quantity(name), float(value)))]
            columns.problems.setdefault(int(row), []).append("; ".join([sentence, *odd]))
