"""A reading sheet as nested tables while it is being filled in: look up, set, and what of it is in use."""

from __future__ import annotations

from copy import deepcopy
from itertools import pairwise
from typing import Any

from lenscalc.refractometer.sheet_lens import DIMENSIONS

Path = tuple[str | int, ...]
FLAT = "plano"


def found(tables: dict[str, Any], path: Path) -> Any:
    """What stands at a path; None where nothing does.

    >>> found({"reading": [{"n": [1.49]}]}, ("reading", 0, "n"))
    [1.49]
    """
    at: Any = tables
    for step in path:
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            return None
    return at


def put(tables: dict[str, Any], path: Path, value: Any) -> None:
    """Set what stands at a path, making the tables on the way; None takes the key out."""
    if value is None and found(tables, path) is None:
        return
    at: Any = tables
    for step, following in pairwise(path):
        at = at[step] if isinstance(step, int) else at.setdefault(step, [{}] if isinstance(following, int) else {})
    if value is None:
        at.pop(path[-1], None)
    else:
        at[path[-1]] = value


def in_use(tables: dict[str, Any]) -> dict[str, Any]:
    """The sheet without what its own choices leave unused: a shift on hydration beside a wet reading, swelling of a lens measured wet and the like.

    >>> in_use({"specimen": {"state": "hydrated"}, "hydration": {"hydration_shift": -0.04}, "dispersion": {}})
    {'specimen': {'state': 'hydrated'}}
    """
    sheet = deepcopy(tables)
    if found(sheet, ("specimen", "state")) != "dry" and found(sheet, ("hydration", "dry_density_kg_per_m3")) is None:
        sheet.pop("hydration", None)
    if found(sheet, ("instrument", "kind")) != "prism contact":
        for key in ("n_contact_liquid", "scale_wavelength_nm"):
            put(sheet, ("instrument", key), None)
    at = {r.get("temperature_degC") for r in sheet.get("reading", [])}
    if len(at) < 2 and set(sheet.get("temperature", {})) <= {"state"}:
        sheet.pop("temperature", None)
    if set(sheet.get("medium", {})) <= {"wavelength_nm", "temperature_degC", "basis"}:
        sheet.pop("medium", None)
    _lens_in_use(sheet)
    return {name: table for name, table in sheet.items() if table != {}}


def _lens_in_use(sheet: dict[str, Any]) -> None:
    lens = sheet.get("lens")
    if lens is None:
        return
    dimensions = [lens.get(name, {}) for name in DIMENSIONS]
    if all(d.get("value") is None for d in dimensions):
        del sheet["lens"]
        return
    if not any(d.get("state") == "dry" for d in dimensions):
        lens.pop("linear_swelling", None)
        lens.pop("u_linear_swelling", None)
    exact = lens.get("dimensions") == "exact"
    for d in dimensions:
        for u in ("u", "u_curvature_per_mm", "u_sag_mm") if exact else ("u",) if d.get("value") == FLAT else ():
            d.pop(u, None)


def is_flat(tables: dict[str, Any], surface: str) -> bool:
    """Whether a surface of the sheet's lens is plano (written so, or as inf)."""
    value = found(tables, ("lens", surface, "value"))
    return bool(value == FLAT or value == float("inf"))
