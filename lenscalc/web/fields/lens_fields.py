"""The dimensions of one lens as fields; the pages of a lecture share them, so that a lens goes along from page to page."""

from __future__ import annotations

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.geometry import why_not
from lenscalc.quantities import complaint, impossible, quantity
from lenscalc.web.fields.choice_field import switch_field
from lenscalc.web.fields.number_field import number_field

START = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0, "n_lens": 1.49}


def lens_fields() -> dict[str, float | None]:
    """Fields of radii, thickness, diameter and index."""
    lens: dict[str, float | None] = {}
    for side in ("front", "back"):
        if switch_field(f"The {side} is plano", key=f"{side}_plano"):
            lens[f"{side}_radius_mm"] = np.inf
        else:
            lens[f"{side}_radius_mm"] = field(f"{side}_radius_mm", START[f"{side}_radius_mm"])
    for name in ("center_thickness_mm", "optic_diameter_mm", "n_lens"):
        lens[name] = field(name, START[name])
    return lens


def field(name: str, value: float) -> float | None:
    """One field whose value the address carries."""
    return number_field(name, value=value, in_address=True)


def whole(given: dict[str, float | None]) -> dict[str, float]:
    """The values, none of them empty or outside its limits.

    Raises
    ------
    InputError
        naming the first that is.
    """
    values: dict[str, float] = {}
    for name, value in given.items():
        q = quantity(name)
        if value is None:
            raise InputError(f"{name} is missing: give the {q.label}, {q.limits_text}", quantity=name)
        if impossible(q, np.array([value])).any():
            raise InputError(str(complaint(q, value)), quantity=name, value=value, limits=(q.lower, q.upper), unit=q.unit)
        values[name] = value
    return values


def whole_lens(given: dict[str, float | None]) -> dict[str, float]:
    """The values of a lens that can exist.

    Raises
    ------
    InputError
        for a value that is missing or impossible, and for a lens whose surfaces cross.
    """
    lens = whole(given)
    sentence = why_not(lens["front_radius_mm"], lens["back_radius_mm"], lens["center_thickness_mm"], lens["optic_diameter_mm"])
    if sentence:
        raise InputError(sentence, quantity="center_thickness_mm" if sentence.startswith("edge") else "optic_diameter_mm")
    return lens
