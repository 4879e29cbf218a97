"""The refractometer and its calibration."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from lenscalc.refractometer.schema import SCHEMA, Text
from lenscalc.web.reading.edited_table import edited_table
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.reading.sheet_fields import field, side_by_side
from lenscalc.web.reading.sheet_state import tables
from lenscalc.web.reading.sheet_tables import Path, found, put
from lenscalc.web.reading.sheet_words import PRISM_HEADS, REFERENCE_HEADS
from lenscalc.web.shown.note import note

PRISM, REFERENCES = "prism", "references"


def refractometer_form() -> None:
    """All that `[instrument]` may hold."""
    kind = field("instrument", "kind")
    side_by_side(("instrument", "u_calibration"), ("instrument", "resolution"))
    side_by_side(("instrument", "u_operator"), *([("instrument", "n_contact_liquid")] if kind == "prism contact" else []))
    if kind == "prism contact" and found(tables(), ("instrument", "n_contact_liquid")) is None:
        field("instrument", "no_contact_liquid_because")
    folded("Its scale and its prism, where it is read at other lines", _scale_and_prism)
    folded("A temperature compensation", _compensation)


def calibration_form() -> None:
    """All that `[calibration]` may hold.

    Raises
    ------
    InputError
        for a cell that is no number.
    """
    note("References as they were read, one a row. Without any, the u of the calibration stands under “The refractometer”.")
    _table(REFERENCES, ("calibration", "reference"), "calibration.reference", REFERENCE_HEADS)
    if len(found(tables(), ("calibration", "reference")) or []) > 0:
        field("calibration", "model")
    folded("Its age, and a check piece before and after", _age_and_check_piece)


def _scale_and_prism() -> None:
    contact = found(tables(), ("instrument", "kind")) == "prism contact"
    side_by_side(("instrument", "n_prism"), *([("instrument", "scale_wavelength_nm")] if contact else []))
    field("instrument", "prism_apex_deg")
    field("instrument", "angle_measured_inside")
    field("instrument", "white_light_compensated")
    _table(PRISM, ("instrument", "prism"), "instrument.prism", PRISM_HEADS)


def _compensation() -> None:
    compensates = (field("instrument", "temperature_compensation") or "none") != "none"
    for key in ("compensation_per_K", "u_compensation_per_K", "compensation_to_degC"):
        if compensates:
            field("instrument", key)
        else:
            put(tables(), ("instrument", key), None)


def _age_and_check_piece() -> None:
    side_by_side(("calibration", "date"), ("calibration", "interval_days"))
    field("calibration", "within_K")
    field("calibration", "check_before")
    field("calibration", "check_after")


def _table(name: str, path: Path, schema: str, heads: Mapping[str, str]) -> None:
    held = found(tables(), path) or []
    rows = edited_table(name, lambda: rows_of_tables(held, schema), {key: _column(schema, key, head) for key, head in heads.items()})
    put(tables(), path, tables_of_rows(rows, schema) or None)


def _column(schema: str, key: str, head: str) -> Any:
    kind = SCHEMA[schema][key]
    return st.column_config.SelectboxColumn(head, options=list(kind.choices)) if isinstance(kind, Text) and kind.choices else head
