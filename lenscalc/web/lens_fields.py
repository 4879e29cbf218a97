"""The dimensions of one lens as fields; the pages of a lecture share them, so that a lens goes along from page to page."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.errors import InputError
from lenscalc.lens.geometry import why_not
from lenscalc.quantities import complaint, impossible, quantity
from lenscalc.web.number_field import number_field

START = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0, "n_lens": 1.49}


def lens_fields(slots: dict[str, Any]) -> dict[str, float | None]:
    """Fields of radii, thickness, diameter and index; below each stands a slot for what is wrong with it."""
    lens: dict[str, float | None] = {}
    for side in ("front", "back"):
        if st.checkbox(f"The {side} is plano", key=f"{side}_plano", bind="query-params", persist_state="session"):
            lens[f"{side}_radius_mm"] = np.inf
        else:
            lens[f"{side}_radius_mm"] = field(f"{side}_radius_mm", START[f"{side}_radius_mm"], slots)
    for name in ("center_thickness_mm", "optic_diameter_mm", "n_lens"):
        lens[name] = field(name, START[name], slots)
    return lens


def field(name: str, value: float, slots: dict[str, Any]) -> float | None:
    """One field whose value the address carries, and the slot below it."""
    given = number_field(name, value=value, in_address=True)
    slots[name] = st.empty()
    return given


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
