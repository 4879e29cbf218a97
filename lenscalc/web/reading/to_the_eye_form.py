"""What brings a reading from the bench to the eye, line, water and temperature; and a medium that was measured."""

from __future__ import annotations

import streamlit as st

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.sheet_fields import field, pair, side_by_side
from lenscalc.web.reading.sheet_state import tables
from lenscalc.web.reading.sheet_tables import found, put
from lenscalc.web.shown.note import note


def to_the_eye_form() -> None:
    """All that `[dispersion]`, `[temperature]` and `[hydration]` may hold, and the basis of the readings."""
    pair("dispersion", "abbe_d")
    pair("temperature", "dn_dt_per_K")
    dry = found(tables(), ("specimen", "state")) == "dry"
    if dry:
        pair("hydration", "hydration_shift")
    _water(dry)
    folded("What else a sheet may say of this", _what_else)
    if tables().get("temperature"):
        put(tables(), ("temperature", "state"), "hydrated")
    if found(tables(), ("dispersion",)) and not set(tables()["dispersion"]) - {"abbe_from"}:
        tables().pop("dispersion")


def _what_else() -> None:
    basis = field("reading", 0, "basis")
    for i in range(1, len(tables()["reading"])):
        put(tables(), ("reading", i, "basis"), basis)
    side_by_side(("dispersion", "abbe_from"), ("dispersion", "form"))
    field("dispersion", "terms")
    pair("temperature", "volume_expansion_per_K")
    field("temperature", "glass_transition_degC")
    field("temperature", "across_glass_transition")


def _water(dry: bool) -> None:
    """The water content, from which an index read dry or a lens cut dry can be estimated."""
    cut_dry = any(found(tables(), ("lens", n, "state")) == "dry" for n in DIMENSIONS)
    if not (dry or cut_dry):
        return
    held = found(tables(), ("hydration", "dry_density_kg_per_m3")) is not None
    folded("Or by its water content: an estimate that no decision stands on", _water_content, unfolded=held)


def _water_content() -> None:
    pair("hydration", "water_mass_fraction_wet")
    st.markdown("or from weights")
    side_by_side(*(("hydration", key) for key in ("mass_wet_g", "mass_dry_g", "u_mass_g")))
    pair("hydration", "dry_density_kg_per_m3")


def medium_form() -> None:
    """All that `[medium]` may hold."""
    note("Only where a medium was measured. It gives a power of its own; a label is always decided at 1.336.")
    if "medium" not in tables():
        tables()["medium"] = {"wavelength_nm": WAVELENGTH_IN_USE_NM, "temperature_degC": TEMPERATURE_IN_USE_DEGC, "basis": "air"}
    field("medium", "name")
    pair("medium", "n_measured_medium")
    field("medium", "same_instrument")
    folded("Or as it was read", _medium_as_read)


def _medium_as_read() -> None:
    field("medium", "n")
    side_by_side(("medium", "wavelength_nm"), ("medium", "basis"))
    pair("medium", "temperature_degC")
    pair("medium", "abbe_d")
    pair("medium", "dn_dt_per_K")
    side_by_side(("medium", "u_repeatability"), ("medium", "dof_repeatability"))
