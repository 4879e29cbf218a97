"""A reading sheet as nested tables while it is being filled in: look up, set, and what of it is in use."""

from __future__ import annotations

from copy import deepcopy
from itertools import pairwise
from typing import Any

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC
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
    if found(sheet, ("specimen", "state")) != "dry":
        sheet.pop("hydration", None)
    if found(sheet, ("instrument", "kind")) != "prism contact":
        for key in ("n_contact_liquid", "n_prism", "no_contact_liquid_because"):
            put(sheet, ("instrument", key), None)
    if found(sheet, ("temperature", "dn_dt_per_K")) is None and found(sheet, ("temperature", "u_dn_dt_per_K")) is None:
        sheet.pop("temperature", None)
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
    unused = [] if any(d.get("state") == "dry" for d in dimensions) else ["linear_swelling"]
    unused += [] if any(d.get("temperature_degC") != TEMPERATURE_IN_USE_DEGC for d in dimensions) else ["linear_expansion_per_K"]
    for name in unused:
        lens.pop(name, None)
        lens.pop(f"u_{name}", None)
    for d in dimensions:
        if d.get("value") == FLAT:
            d.pop("u", None)


def is_flat(tables: dict[str, Any], surface: str) -> bool:
    """Whether a surface of the sheet's lens is plano (written so, or as inf)."""
    value = found(tables, ("lens", surface, "value"))
    return bool(value == FLAT or value == float("inf"))


def kept_in_words(tables: dict[str, Any]) -> list[str]:
    """What the sheet holds and the form has no field for, a sentence each."""
    told = []
    second = found(tables, ("reading", 1))
    if second:
        told.append(f"A second reading at {second['wavelength_nm']:g} nm: {', '.join(f'{n:g}' for n in second['n'])}; it gives the dispersion.")
    medium = tables.get("medium")
    if medium:
        same = "on the same refractometer" if medium.get("same_instrument") else "on another instrument"
        told.append(
            f"A measured medium ({medium.get('name', 'unnamed')}): index {medium['n_measured_medium']:g}, "
            f"u {medium['u_n_measured_medium']:g}, read {same}."
        )
    lens = tables.get("lens", {})
    for name, gauge in lens.get("gauge", {}).items():
        users = [d.removesuffix("_mm").replace("_", " ") for d in DIMENSIONS if found(lens, (d, "instrument")) == name]
        told.append(f"The scale of the {name} (relative u {gauge['u_scale_relative']:g}) is shared by: {', '.join(users) or 'nothing'}.")
    if "tolerance_D" in lens:
        told.append(f"A tolerance of its own: ±{lens['tolerance_D']:g} D, from {lens.get('tolerance_from', 'nobody knows where')}.")
    if "required_probability" in lens:
        told.append(f"A required probability of its own: {lens['required_probability']:g}.")
    if found(tables, ("instrument", "n_prism")):
        told.append(f"Index of the prism: {tables['instrument']['n_prism']:g}.")
    if found(tables, ("specimen", "preparation")):
        told.append(f"Preparation of the specimen: {tables['specimen']['preparation']}.")
    for name in DIMENSIONS:
        for key, unit in (("u_sag_mm", "mm"), ("u_curvature_per_mm", "1/mm")):
            if found(lens, (name, key)) is not None and not is_flat(tables, name):
                told.append(f"The u of the {name.removesuffix('_mm').replace('_', ' ')} is given by its {key[2:5]}: {lens[name][key]:g} {unit}.")
    if lens.get("dimensions") == "exact":
        told.append("The dimensions are taken as exact, as they stand on a drawing: there is no decision.")
    return told
