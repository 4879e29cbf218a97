"""One reading sheet, followed all the way: reading → index in use → power → in the eye → decision."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.chain.evaluate import CALIBRATION, Evaluation, evaluate
from lenscalc.chain.table import as_text
from lenscalc.decision import TOLERANCE_EDITION
from lenscalc.errors import InputError, SheetError
from lenscalc.lens import Dimension, dimension_in_use
from lenscalc.refractometer import IndexInUse, LensDimensions, Reading, ReadingSheet, mean_of
from lenscalc.refractometer.sheet import DIMENSIONS
from lenscalc.uncertainty import Estimate, Source, estimate

Effects = dict[Source, dict[str, float]]

SWELLING = Source("linear swelling", scope="lot")
EXPANSION = Source("linear thermal expansion", scope="lot")


@dataclass(frozen=True, eq=False)
class Followed:
    """A sheet and what came of it: the table of one row that it made, the sources of its errors, the evaluation."""

    sheet: ReadingSheet
    row: Mapping[str, Any]
    sources: Mapping[Source, Mapping[str, float]]
    evaluation: Evaluation

    @property
    def index(self) -> IndexInUse:
        """The index in use with its steps."""
        assert self.evaluation.index is not None  # a sheet always holds a reading
        return self.evaluation.index

    @property
    def warnings(self) -> list[str]:
        """Everything possible but unusual, in the sheet and on the way."""
        return [*self.sheet.remarks, *self.evaluation.warnings_of()]

    @property
    def tolerance_from(self) -> str:
        """Where the tolerance comes from: the sheet says, or the built-in table's edition."""
        block = self.sheet.lens.block if self.sheet.lens else {}
        return str(block.get("tolerance_from", TOLERANCE_EDITION))


def follow(sheet: ReadingSheet) -> Followed:
    """Follow a sheet that has a lens block all the way to the decision.

    Raises
    ------
    SheetError
        if there is no [lens], a correction is missing, or the lens cannot exist.
    """
    if sheet.lens is None:
        raise SheetError("[lens] is missing: without dimensions there is no power; `lenscalc index` needs none")
    row, sources = _index_part(sheet)
    _lens_part(sheet.lens, row, sources)
    return _evaluated(sheet, row, sources)


def follow_index(sheet: ReadingSheet) -> Followed:
    """Follow a sheet to its index in use alone; a thin flat plate stands in for the lens."""
    row, sources = _index_part(sheet)
    row |= {"front_radius_mm": np.inf, "back_radius_mm": np.inf, "center_thickness_mm": 0.0}
    return _evaluated(sheet, row, sources)


def _evaluated(sheet: ReadingSheet, row: dict[str, Any], sources: Effects) -> Followed:
    more = ("*", "largest_u_n_lens") if "labelled_power_D" in row else ()
    exact = DIMENSIONS if sheet.lens and sheet.lens.block.get("dimensions") == "exact" else ()
    evaluation = evaluate({name: [value] for name, value in row.items()}, compute=more, sources=sources, exact=exact)
    if evaluation.problems[0]:
        raise SheetError(str(evaluation.problems[0]))
    return Followed(sheet, row, sources, evaluation)


def _index_part(sheet: ReadingSheet) -> tuple[dict[str, Any], Effects]:
    first = sheet.readings[0]
    row: dict[str, Any] = {
        "n_reading": float(np.mean(first.n)),
        "reading_wavelength_nm": first.wavelength_nm,
        "reading_temperature_degC": first.temperature_degC,
        "index_state": sheet.specimen["state"],
        "index_basis": first.basis,
    }
    u_calibration = sheet.instrument["u_calibration"]
    sources: Effects = {CALIBRATION: {"n_reading": u_calibration}}
    _read_part("n_reading", first, sheet, sources)
    sources[Source("temperature of the specimen", scope="instrument")] = {"reading_temperature_degC": first.u_temperature_degC}
    if len(sheet.readings) == 2:
        second = sheet.readings[1]
        row |= {"n_second_reading": float(np.mean(second.n)), "second_wavelength_nm": second.wavelength_nm}
        sources[CALIBRATION]["n_second_reading"] = u_calibration
        _read_part("n_second_reading", second, sheet, sources)
    for table, name, label in (
        (sheet.dispersion, "abbe_d", "Abbe number"),
        (sheet.temperature, "dn_dt_per_K", "change of index with temperature"),
        (sheet.hydration, "hydration_shift", "shift on hydration"),
    ):
        if table is not None:
            row[name] = table[name]
            sources[Source(label, scope="lot")] = {name: table[f"u_{name}"]}
    if sheet.medium is not None:
        row["n_measured_medium"] = sheet.medium["n_measured_medium"]
        sources[Source("measured medium, its own", scope="instrument")] = {"n_measured_medium": sheet.medium["u_n_measured_medium"]}
        if sheet.medium.get("same_instrument"):
            sources[CALIBRATION]["n_measured_medium"] = u_calibration
    return row, sources


def _read_part(name: str, reading: Reading, sheet: ReadingSheet, sources: Effects) -> None:
    at = f"{reading.wavelength_nm:g} nm"
    count = len(reading.n)
    if reading.u_repeatability is not None:
        u, dof = reading.u_repeatability / count**0.5, float(reading.dof_repeatability or np.inf)
        sources[Source(f"repeatability at {at}, pooled", "lot", dof, "t")] = {name: u}
    else:
        mean = mean_of(reading.n)
        sources[Source(f"replicates at {at}", "lot", mean.dof, "t")] = {name: mean.u}
    sources[Source(f"resolution at {at}", "instrument", distribution="rectangular")] = {name: sheet.instrument["resolution"] / 12.0**0.5}


def _lens_part(lens: LensDimensions, row: dict[str, Any], sources: Effects) -> None:
    block = lens.block
    swelling = _correction(block, "linear_swelling", SWELLING)
    expansion = _correction(block, "linear_expansion_per_K", EXPANSION)
    for name in DIMENSIONS:
        d = lens.dimensions[name]
        length = _length(name, d, lens)
        if np.isinf(length.value):  # a plano surface stays plano when it swells or warms; warming is too little to change its u
            row[name], grown = np.inf, 1.0 + float(swelling.value) if swelling and d["state"] == "dry" else 1.0
        else:
            try:
                used = dimension_in_use(Dimension(name, length, d["state"], d["temperature_degC"]), swelling, expansion)
            except InputError as error:
                raise SheetError(str(error), quantity=error.quantity) from None
            row[name], grown = float(used.value), float(used.value / length.value) if length.value else 1.0
            for source, part in used.parts.items():
                sources.setdefault(source, {})[name] = float(part)
        side, own = name.removesuffix("_radius_mm"), sources.setdefault(Source(_own(name), "lens"), {})
        if "u_curvature_per_mm" in d:  # a curvature shrinks as the lens grows
            own[f"{side}_curvature_per_mm"] = d["u_curvature_per_mm"] / grown
        if "u_sag_mm" in d:
            own[f"{side}_sag_mm"] = d["u_sag_mm"]
    row["optic_diameter_mm"] = block["optic_diameter_mm"]
    for name in ("labelled_power_D", "tolerance_D", "required_probability"):
        if name in block:
            row[name] = block[name]


def _correction(block: Mapping[str, Any], name: str, source: Source) -> Estimate | None:
    return estimate(block[name], block[f"u_{name}"], source) if name in block else None


def _length(name: str, d: Mapping[str, Any], lens: LensDimensions) -> Estimate:
    """A dimension as measured: its own error, and its share of the scale error of the gauge that measured it."""
    parts: dict[Source, float] = {}
    if "u" in d:
        parts[Source(_own(name), "lens")] = d["u"]
    if "instrument" in d and np.isfinite(d["value"]):
        parts[Source(f"scale of the {d['instrument']}", "instrument")] = lens.gauges[d["instrument"]] * d["value"]
    return Estimate(d["value"], parts)


def _own(name: str) -> str:
    return {"front_radius_mm": "front radius", "back_radius_mm": "back radius", "center_thickness_mm": "centre thickness"}[name]


def lens_in_words(row: Mapping[str, Any]) -> str:
    """The lens in use in one line.

    >>> lens_in_words({"front_radius_mm": 15.0, "back_radius_mm": np.inf, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0})
    'radii 15 / plano mm, centre thickness 0.9 mm, optic diameter 6 mm'
    """
    R1, R2 = (as_text(float(f"{row[name]:.6g}")) for name in ("front_radius_mm", "back_radius_mm"))
    optic = f", optic diameter {row['optic_diameter_mm']:.6g} mm" if "optic_diameter_mm" in row else ""
    return f"radii {R1} / {R2} mm, centre thickness {row['center_thickness_mm']:.6g} mm{optic}"

