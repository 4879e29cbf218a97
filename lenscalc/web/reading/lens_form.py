"""The lens that would be cut: its dimensions with their state and u, its label, and what its decision stands on."""

from __future__ import annotations

from typing import Any

import streamlit as st

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.web.reading.edited_table import edited_table
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.reading.sheet_fields import field, number, pair, side_by_side
from lenscalc.web.reading.sheet_quantities import MEASURED_AT
from lenscalc.web.reading.sheet_state import KEPT, seeded, tables
from lenscalc.web.reading.sheet_tables import FLAT, found, is_flat, put
from lenscalc.web.reading.sheet_words import GAUGE_HEADS, LENS_PARTS
from lenscalc.web.shown.note import note

GAUGES = "gauges"
US = ("u", "u_curvature_per_mm", "u_sag_mm")


def lens_form() -> None:
    """All that `[lens]` may hold; the four numbers that a lens is ordered by stand together and first."""
    radii = st.columns(2, vertical_alignment="bottom")
    side_by_side(("lens", "center_thickness_mm", "value"), ("lens", "labelled_power_D"))
    flats, us, others = (st.columns(2, vertical_alignment="bottom") for _ in range(3))
    for name, *places in zip(DIMENSIONS[:2], radii, flats, us, strict=True):
        _radius(name, *places)
    with others[0]:
        _u_of("center_thickness_mm")
    with others[1]:
        field("lens", "optic_diameter_mm")
    _measured_as()
    folded("Its tolerance, its gauges, and what else a sheet may say", _what_else)


def _what_else() -> None:
    side_by_side(("lens", "tolerance_D"), ("lens", "tolerance_from"))
    side_by_side(("lens", "required_probability"), ("lens", "dimensions"))
    for side in DIMENSIONS[:2]:
        if not is_flat(tables(), side):
            _kind_of_u(side)
    _gauges()


def _radius(name: str, radius: Any, flat: Any, u: Any) -> None:
    """A surface: its radius, whether it is plano, and its u, each at its place."""
    path, side = ("lens", name), name.removesuffix("_radius_mm")
    with flat:
        is_plano = st.checkbox(f"The {side} is plano", key=seeded((*path, "plano"), is_flat(tables(), name)), persist_state=KEPT)
    with radius:
        if is_plano:
            put(tables(), (*path, "value"), FLAT)
            note(f"{LENS_PARTS[name]} radius: plano")
        else:
            number((*path, "value"), name)
    with u:
        _u_of(name, is_plano=is_plano)


def _u_of(name: str, *, is_plano: bool = False) -> None:
    """The u of a dimension; of a plano surface that of its curvature or its sag. None where the dimensions are taken as exact."""
    if found(tables(), ("lens", "dimensions")) == "exact":
        return
    path, side = ("lens", name), name.removesuffix("_radius_mm")
    which = next((u for u in US[:0:-1] if found(tables(), (*path, u)) is not None), US[1] if is_plano else "u")
    number((*path, which), f"u_{name}" if which == "u" else which.replace("u_", f"u_{side}_", 1))


def _kind_of_u(name: str) -> None:
    """A nearly flat radius has a useless u; its curvature's or its sag's can be given in its place."""
    path, side = ("lens", name), name.removesuffix("_radius_mm")
    held = next((u for u in US if found(tables(), (*path, u)) is not None), "u")
    words = {"u": "its radius", "u_curvature_per_mm": "its curvature", "u_sag_mm": "its sag"}
    key = seeded((*path, "kind of u"), held)
    chosen = st.selectbox(f"The u of the {side} is that of", US, format_func=words.__getitem__, key=key, persist_state=KEPT)
    if chosen != held:
        number((*path, chosen), f"u_{name}" if chosen == "u" else chosen.replace("u_", f"u_{side}_", 1))
        if found(tables(), (*path, chosen)) is not None:
            put(tables(), (*path, held), None)


def _measured_as() -> None:
    """State and temperature in which the lens was measured: one for all three dimensions, unless they differ."""
    states = {(found(tables(), ("lens", n, "state")), found(tables(), ("lens", n, "temperature_degC"))) for n in DIMENSIONS}
    differ = st.checkbox("The three were not all measured in one state", key=seeded(("lens", "differ"), len(states) > 1), persist_state=KEPT)
    for name in DIMENSIONS if differ else DIMENSIONS[:1]:
        left, right = st.columns(2, vertical_alignment="bottom")
        of = f"{LENS_PARTS[name]}: " if differ else "Its dimensions were "
        with left:
            key = seeded(("lens", name, "state"), found(tables(), ("lens", name, "state")) or "hydrated")
            put(tables(), ("lens", name, "state"), st.selectbox(f"{of}measured", ("hydrated", "dry"), key=key, persist_state=KEPT))
        with right:
            number(("lens", name, "temperature_degC"), MEASURED_AT, f"{of}measured at")
    if not differ:
        for name in DIMENSIONS[1:]:
            for what in ("state", "temperature_degC"):
                put(tables(), ("lens", name, what), found(tables(), ("lens", DIMENSIONS[0], what)))
    if any(found(tables(), ("lens", n, "state")) == "dry" for n in DIMENSIONS):
        pair("lens", "linear_swelling")
    if any(found(tables(), ("lens", n, "temperature_degC")) != TEMPERATURE_IN_USE_DEGC for n in DIMENSIONS):
        pair("lens", "linear_expansion_per_K")


def _gauges() -> None:
    """A scale error that all dimensions of one gauge share."""
    gauges = found(tables(), ("lens", "gauge")) or {}
    held = [{"name": name, **row} for name, row in zip(gauges, rows_of_tables(list(gauges.values()), "lens.gauge"), strict=True)]
    rows = edited_table(GAUGES, lambda: held, GAUGE_HEADS)
    named = [(str(row["name"] or "").strip(), tables_of_rows([row], "lens.gauge")) for row in rows]
    put(tables(), ("lens", "gauge"), {name: made[0] for name, made in named if name and made} or None)
    for name in DIMENSIONS:
        path = ("lens", name, "instrument")
        said = st.text_input(f"{LENS_PARTS[name]}: gauge that measured it", key=seeded(path, found(tables(), path) or ""), persist_state=KEPT)
        put(tables(), path, str(said or "").strip() or None)
