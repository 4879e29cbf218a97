"""The lens block of a sheet: dimensions as written, each with its state, its uncertainty and the gauge that measured it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isinf
from typing import Any

from lenscalc.errors import SheetError
from lenscalc.refractometer.checked_table import checked_table

DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")


@dataclass(frozen=True, eq=False)
class LensDimensions:
    """The lens block of a sheet, as written; each dimension is a dict with value, u, state, temperature_degC, instrument."""

    block: dict[str, Any]
    dimensions: dict[str, dict[str, Any]]
    gauges: dict[str, float]


def lens_of(table: Any) -> LensDimensions:
    """The checked `[lens]` with its tables.

    Raises
    ------
    SheetError
        naming the table and the key.
    """
    nested = (*DIMENSIONS, "gauge")
    if not isinstance(table, dict):
        raise SheetError("[lens] must be a table of keys")
    block = checked_table("lens", {k: v for k, v in table.items() if k not in nested}, "lens")
    if not isinstance(table.get("gauge", {}), dict):
        raise SheetError("[lens] gauge must be tables, for example [lens.gauge.profilometer] with u_scale_relative")
    gauges = {
        name: checked_table(f"lens.gauge.{name}", g, "lens.gauge")["u_scale_relative"] for name, g in dict(table.get("gauge", {})).items()
    }
    dimensions = {}
    for name in DIMENSIONS:
        if name not in table:
            raise SheetError(f"[lens.{name}] is missing: a table with value, u, state and temperature_degC")
        d = checked_table(f"lens.{name}", table[name], f"lens.{name}")
        _check_dimensional_u(name, d, exact=block.get("dimensions") == "exact")
        if "instrument" in d and d["instrument"] not in gauges:
            raise SheetError(
                f"[lens.{name}] instrument = {d['instrument']!r}: give [lens.gauge.{d['instrument']}] u_scale_relative, "
                "the scale error that all it measures share"
            )
        dimensions[name] = d
    for key in ("linear_swelling", "linear_expansion_per_K"):
        if key in block and f"u_{key}" not in block:
            raise SheetError(f"[lens] u_{key} is missing beside {key}: a correction has an uncertainty")
    if "linear_swelling" in block and all(d["state"] == "hydrated" for d in dimensions.values()):
        raise SheetError("[lens] linear_swelling is given, but every dimension was measured hydrated: one of the two is wrong")
    if "tolerance_D" in block and "tolerance_from" not in block:
        raise SheetError("[lens] tolerance_from is missing beside tolerance_D: say where the tolerance comes from")
    return LensDimensions(block, dimensions, gauges)


def gauges_without_use(lens: LensDimensions) -> tuple[str, ...]:
    """What is to be said of a gauge that no dimension names: its scale error counts for none."""
    used = {d.get("instrument") for d in lens.dimensions.values()}
    return tuple(
        f"the gauge {name} is named by no dimension as its instrument, and its scale error is not in the budget"
        for name in lens.gauges if name not in used and lens.block.get("dimensions") != "exact"
    )  # fmt: skip


def _check_dimensional_u(name: str, d: dict[str, Any], *, exact: bool) -> None:
    given = [k for k in ("u", "u_curvature_per_mm", "u_sag_mm") if k in d]
    if exact:
        if given:
            raise SheetError(f"[lens.{name}] {given[0]} is given, but [lens] dimensions = 'exact': one of the two is wrong")
        return
    if len(given) > 1:
        raise SheetError(f"[lens.{name}] {' and '.join(given)} are both given: one of them is the uncertainty of this surface")
    if not given:
        raise SheetError(
            f"[lens.{name}] u is missing: a dimension has an uncertainty; where it is only wanted as it stands on the drawing, "
            "write [lens] dimensions = 'exact', and there is no decision"
        )
    if "u_sag_mm" in d and d["state"] == "dry":
        raise SheetError(f"[lens.{name}] u_sag_mm belongs to the optic as it is used: measure it hydrated, or give u or u_curvature_per_mm")
    if "u" in d and name != "center_thickness_mm" and d["u"] > abs(d["value"]) / 5:
        raise SheetError(f"[lens.{name}] u is more than a fifth of the radius: give u_curvature_per_mm or u_sag_mm for a nearly flat surface")
    if "u" in d and isinf(d["value"]):
        raise SheetError(f"[lens.{name}] is plano: its radius has no u; give u_curvature_per_mm or u_sag_mm")
