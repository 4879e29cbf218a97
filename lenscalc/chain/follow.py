"""One reading sheet, followed all the way: reading → index in use → power → in the eye → decision."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isinf
from typing import Any

import numpy as np

from lenscalc.chain.back_sign import back_sign_told, other_back_sign_D
from lenscalc.chain.evaluate import Evaluation, evaluate
from lenscalc.chain.table import as_text
from lenscalc.decision import ToleranceTable, shipped_tolerance_table
from lenscalc.errors import InputError, SheetError
from lenscalc.lens import Dimension, dimension_in_use
from lenscalc.material import linear_swelling_of, water_density
from lenscalc.refractometer import IndexInUse, LensDimensions, ReadingSheet, SheetColumns, columns_of_sheet
from lenscalc.refractometer.sheet_columns import DENSITY, SPECIMEN_TEMPERATURE, WATER, Effects, water_content
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.uncertainty import Estimate, Source, decimals_for, estimate, through
from lenscalc.uncertainty.rounding import signed

SWELLING = Source("linear swelling", scope="lot")
EXPANSION = Source("linear thermal expansion", scope="lot")


@dataclass(frozen=True, eq=False)
class Followed:
    """A sheet and what came of it: the table of one row that it made, the sources of its errors, the evaluation."""

    sheet: ReadingSheet
    read: SheetColumns
    evaluation: Evaluation
    tolerances: ToleranceTable

    @property
    def row(self) -> Mapping[str, Any]:
        """The row of the chain's table."""
        return self.read.row

    @property
    def sources(self) -> Mapping[Source, Mapping[str, float]]:
        """What acts on the row's quantities, and by how much."""
        return self.read.sources

    @property
    def index(self) -> IndexInUse:
        """The index in use with its steps, from the reading as it was shown."""
        use = self.evaluation.index
        assert use is not None  # a sheet always holds a reading
        named = {s.name for s in self.read.steps}
        own = [replace(s, n=_as_column(s.n)) for s in self.read.steps]
        return replace(use, steps=(*own, *(s for s in use.steps[1:] if s.name not in named)))

    @property
    def warnings(self) -> list[str]:
        """Everything possible but unusual, in the sheet and on the way."""
        return [*self.sheet.remarks, *self.read.remarks, *self.evaluation.warnings_of(), *self._of_back_sign()]

    def _of_back_sign(self) -> list[str]:
        lens, power_D = self.sheet.lens, self.evaluation.only("power_D")
        if lens is None or power_D is None:
            return []
        other_D = other_back_sign_D(self.row, n_lens=float(np.atleast_1d(self.index.n.value)[0]), power_D=power_D)
        return [] if other_D is None else [back_sign_told(float(lens.dimensions["back_radius_mm"]["value"]), other_D)]

    @property
    def tolerance_from(self) -> str:
        """Where the tolerance comes from: the sheet says, or the edition of the table."""
        block = self.sheet.lens.block if self.sheet.lens else {}
        return str(block.get("tolerance_from", self.tolerances.edition))


def _as_column(n: Estimate) -> Estimate:
    return Estimate(np.array([n.value]), {source: np.array([part]) for source, part in n.parts.items()})


def follow(sheet: ReadingSheet, *, tolerance_table: ToleranceTable | None = None) -> Followed:
    """Follow a sheet that has a lens block all the way to the decision, by the shipped tolerance table or one of one's own.

    Raises
    ------
    SheetError
        if there is no [lens], a correction is missing, or the lens cannot exist.
    """
    if sheet.lens is None:
        raise SheetError("[lens] is missing: without dimensions there is no power; `lenscalc index` needs none")
    read = columns_of_sheet(sheet)
    _lens_part(sheet, sheet.lens, read.row, read.sources)
    return _evaluated(sheet, read, tolerance_table)


def follow_index(sheet: ReadingSheet) -> Followed:
    """Follow a sheet to its index in use alone; a thin flat plate stands in for the lens."""
    read = columns_of_sheet(sheet)
    read.row.update({"front_radius_mm": np.inf, "back_radius_mm": np.inf, "center_thickness_mm": 0.0})
    return _evaluated(sheet, read)


def _evaluated(sheet: ReadingSheet, read: SheetColumns, tolerance_table: ToleranceTable | None = None) -> Followed:
    row, sources, tolerances = read.row, read.sources, tolerance_table or shipped_tolerance_table()
    more = ("*", "largest_u_n_lens") if "labelled_power_D" in row else ()
    exact = DIMENSIONS if sheet.lens and sheet.lens.block.get("dimensions") == "exact" else ()
    table = {name: [value] for name, value in row.items()}
    evaluation = evaluate(table, compute=more, sources=sources, exact=exact, tolerance_table=tolerances)
    if evaluation.problems[0]:
        raise SheetError(str(evaluation.problems[0]))
    return Followed(sheet, read, evaluation, tolerances)


def _lens_part(sheet: ReadingSheet, lens: LensDimensions, row: dict[str, Any], sources: Effects) -> None:
    block = lens.block
    swelling = _swelling_by_water(sheet, row) or _correction(block, "linear_swelling", SWELLING)
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


def _swelling_by_water(sheet: ReadingSheet, row: Mapping[str, Any]) -> Estimate | None:
    """Linear swelling from the water content, whose error moves index, radii and thickness together; so does that of the temperature, a little."""
    hydration = sheet.hydration
    if hydration is None or "dry_density_kg_per_m3" not in hydration:
        return None
    w, u_w = water_content(hydration)
    T, u_T = row["reading_temperature_degC"], max(r.u_temperature_degC for r in sheet.readings)
    if not 0.0 <= T <= 40.0:
        raise SheetError(
            f"[hydration] the swelling follows from the density of water, known here from 0 to 40 °C, and the specimen was read at {T:g} °C: "
            "give [lens] linear_swelling with its u, or measure the lens hydrated"
        )

    rho, u_rho = hydration["dry_density_kg_per_m3"], hydration["u_dry_density_kg_per_m3"]
    swelling = through(lambda w, rho: linear_swelling_of(w, rho, water_density(T)), w=estimate(w, u_w, WATER), rho=estimate(rho, u_rho, DENSITY))
    cold, hot = max(T - 0.5, 0.0), min(T + 0.5, 40.0)
    by_T = (linear_swelling_of(w, rho, water_density(hot)) - linear_swelling_of(w, rho, water_density(cold))) / (hot - cold)
    return Estimate(swelling.value, {**swelling.parts, SPECIMEN_TEMPERATURE: by_T * u_T})


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


def back_focus_in_words(followed: Followed) -> str:
    """The back focal length with no more digits than u of the power leaves it: both are uncertain by all but the same part of themselves."""
    only = followed.evaluation.only
    focus_mm, power_D, u_D = only("back_focal_length_mm"), only("power_D"), only("u_power_D")
    if focus_mm is None or isinf(focus_mm):
        return "at infinity"
    return f"{signed(focus_mm, min(3, decimals_for(abs(focus_mm / power_D) * u_D)) if u_D else 3)} mm"
