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
    if found(sheet, ("specimen", "state")) != "dry" and found(sheet, ("hydration", "dry_density_kg_per_m3")) is None:
        sheet.pop("hydration", None)
    if found(sheet, ("instrument", "kind")) != "prism contact":
        for key in ("n_contact_liquid", "n_prism", "no_contact_liquid_because", "scale_wavelength_nm"):
            put(sheet, ("instrument", key), None)
    if set(sheet.get("temperature", {})) <= {"state"}:
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


def _listed(readings: list[float]) -> str:
    return ", ".join(f"{n:g}" for n in readings)


def _readings_in_words(tables: dict[str, Any]) -> list[str]:
    told = []
    for r in (found(tables, ("reading",)) or [])[1:]:
        direction = f", direction {r['direction']}" if "direction" in r else ""
        told.append(f"A further reading at {r['wavelength_nm']:g} nm and {r['temperature_degC']:g} °C{direction}: {_listed(r['n'])}.")
    if found(tables, ("reading", 0, "mounting")):
        told.append("The mounting of each reading: re-reads of one mounting do not shrink what the mounting added.")
    if found(tables, ("reading", 0, "minutes_after_mounting")):
        told.append("The minutes after mounting of each reading: they are carried back to the start.")
    return told


def _references_in_words(tables: dict[str, Any]) -> list[str]:
    references = found(tables, ("calibration", "reference")) or []
    told = [f"A calibration by {', '.join(str(r['name']) for r in references)}."] if references else []
    if found(tables, ("calibration", "check_before")):
        told.append("A check piece before and after: half of what the zero moved is taken off.")
    return told


def kept_in_words(tables: dict[str, Any]) -> list[str]:
    """What the sheet holds and the form has no field for, a sentence each."""
    told = [*_readings_in_words(tables), *_references_in_words(tables)]
    medium = tables.get("medium")
    if medium:
        same = "on the same refractometer" if medium.get("same_instrument") else "on another instrument"
        shown = f"readings {_listed(medium['n'])}" if "n" in medium else f"index {medium['n_measured_medium']:g}, u {medium['u_n_measured_medium']:g}"
        told.append(f"A measured medium ({medium.get('name', 'unnamed')}): {shown}, read {same}.")
    water = tables.get("hydration", {})
    if "dry_density_kg_per_m3" in water:
        told.append("A water content with the density of the dry polymer: it moves index, radii and thickness together.")
    if found(tables, ("temperature", "glass_transition_degC")) is not None:
        told.append(f"A glass transition at {tables['temperature']['glass_transition_degC']:g} °C.")
    for table, key, words in (
        ("specimen", "u_specimen_to_lens", "u between specimen and lens"),
        ("instrument", "u_operator", "u between operators"),
        ("reading", "u_session", "u between sessions"),
    ):
        value = found(tables, ("reading", 0, key) if table == "reading" else (table, key))
        if value is not None:
            told.append(f"A {words}: {value:g}.")
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
