"""The form of a reading sheet: fields in the order in which somebody at the bench would tell it."""

from __future__ import annotations

from typing import Any

import streamlit as st

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC
from lenscalc.refractometer.schema import STATES
from lenscalc.web import sheet_quantities as of_sheet
from lenscalc.web.note import note
from lenscalc.web.readings_text import readings_as_text, readings_from
from lenscalc.web.sheet_state import seeded, sheet_choice, sheet_number, sheet_text, tables
from lenscalc.web.sheet_tables import FLAT, found, is_flat, put

KINDS = ("prism contact", "v-block", "minimum deviation")
BASES = ("air", "vacuum", "unknown")


def sheet_form() -> None:
    """All fields; they write into the tables of the session.

    Raises
    ------
    InputError
        for readings that are not numbers; the other fields have been drawn by then.
    """
    with st.expander("What was read", expanded=True):
        text = _readings()
    with st.expander("The lens that would be cut", expanded=True):
        _lens()
    with st.expander("From the bench to the eye"):
        _to_the_eye()
    with st.expander("The refractometer"):
        _refractometer()
    with st.expander("The specimen, and whose numbers these are"):
        sheet_text(("specimen", "material"), "Material")
        sheet_text(("specimen", "lot"), "Lot")
        sheet_text(("title",), "Title of the sheet")
        sheet_text(("provenance",), "Where the numbers come from", help="Who read them, when; or that they are invented.")
    put(tables(), ("reading", 0, "n"), readings_from(text))


def _readings() -> str:
    held = found(tables(), ("reading", 0, "n")) or []
    key = seeded(("reading", 0, "n"), readings_as_text(held))
    text = str(st.text_area("Readings of the index, one a line", key=key, height=140, help="Replicates on one specimen, each set down anew."))
    if len(text.split()) < 2 or found(tables(), ("reading", 0, "u_repeatability")) is not None:
        sheet_number(("reading", 0, "u_repeatability"), of_sheet.REPEATABILITY)
        sheet_number(("reading", 0, "dof_repeatability"), of_sheet.DOF_REPEATABILITY)
    sheet_number(("reading", 0, "wavelength_nm"), "reading_wavelength_nm")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        sheet_number(("reading", 0, "temperature_degC"), "reading_temperature_degC")
    with right:
        sheet_number(("reading", 0, "u_temperature_degC"), "u_reading_temperature_degC")
    sheet_choice(("specimen", "state"), "The specimen was read", STATES, help="The lens is wet in the eye.")
    return text


def _lens() -> None:
    for side in ("front", "back"):
        _surface(side, f"{side}_radius_mm")
    _with_u(("lens", "center_thickness_mm", "value"), ("lens", "center_thickness_mm", "u"), "center_thickness_mm")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        sheet_number(("lens", "optic_diameter_mm"), "optic_diameter_mm")
    with right:
        sheet_number(("lens", "labelled_power_D"), "labelled_power_D")
    _measured_as()


def _surface(side: str, name: str) -> None:
    path = ("lens", name)
    flat = st.checkbox(f"The {side} is plano", key=seeded((*path, "plano"), is_flat(tables(), name)))
    if flat:
        put(tables(), (*path, "value"), FLAT)
        which = "sag_mm" if found(tables(), (*path, "u_sag_mm")) is not None else "curvature_per_mm"
        sheet_number((*path, f"u_{which}"), f"u_{side}_{which}")
    elif found(tables(), (*path, "u_curvature_per_mm")) is None and found(tables(), (*path, "u_sag_mm")) is None:
        _with_u((*path, "value"), (*path, "u"), name)
    else:
        sheet_number((*path, "value"), name)


def _with_u(value: Any, u: Any, name: str) -> None:
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        sheet_number(value, name)
    with right:
        if found(tables(), ("lens", "dimensions")) != "exact":
            sheet_number(u, f"u_{name}")


def _measured_as() -> None:
    """State and temperature in which the lens was measured: one for all three dimensions, unless the sheet says otherwise."""
    names = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")
    held = {(found(tables(), ("lens", n, "state")), found(tables(), ("lens", n, "temperature_degC"))) for n in names}
    if len(held) > 1:
        note("The sheet says for each dimension in which state and at what temperature it was measured.")
    else:
        sheet_choice(("lens", names[0], "state"), "Its dimensions were measured", STATES[::-1])
        sheet_number(("lens", names[0], "temperature_degC"), of_sheet.MEASURED_AT)
        for name in names[1:]:
            for key in ("state", "temperature_degC"):
                put(tables(), ("lens", name, key), found(tables(), ("lens", names[0], key)))
    if any(found(tables(), ("lens", n, "state")) == "dry" for n in names):
        sheet_number(("lens", "linear_swelling"), of_sheet.SWELLING)
        sheet_number(("lens", "u_linear_swelling"), of_sheet.U_SWELLING)
    if any(found(tables(), ("lens", n, "temperature_degC")) != TEMPERATURE_IN_USE_DEGC for n in names):
        sheet_number(("lens", "linear_expansion_per_K"), of_sheet.EXPANSION)
        sheet_number(("lens", "u_linear_expansion_per_K"), of_sheet.U_EXPANSION)


def _to_the_eye() -> None:
    pairs = [(("dispersion", "abbe_d"), "abbe_d"), (("temperature", "dn_dt_per_K"), "dn_dt_per_K")]
    if found(tables(), ("specimen", "state")) == "dry":
        pairs.append((("hydration", "hydration_shift"), "hydration_shift"))
    for path, name in pairs:
        left, right = st.columns(2, vertical_alignment="bottom")
        with left:
            sheet_number(path, name)
        with right:
            sheet_number((path[0], f"u_{name}"), f"u_{name}")
    put(tables(), ("temperature", "state"), "hydrated")
    sheet_choice(("reading", 0, "basis"), "The index is relative to", BASES, help="Refractometers read relative to air.")


def _refractometer() -> None:
    kind = sheet_choice(("instrument", "kind"), "Kind", KINDS)
    sheet_number(("instrument", "u_calibration"), "u_calibration", label="u of its calibration")
    sheet_number(("instrument", "resolution"), of_sheet.RESOLUTION)
    if kind == "prism contact":
        liquid = sheet_number(("instrument", "n_contact_liquid"), "n_reading", label="index of the contact liquid")
        if liquid is None:
            sheet_text(("instrument", "no_contact_liquid_because"), "Without a contact liquid, because")
