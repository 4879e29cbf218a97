"""Revision 0001: the store."""

from __future__ import annotations

from typing import Any

from alembic import op
from sqlalchemy import Column, Date, DateTime, Double, ForeignKey, Integer, String, Text, UniqueConstraint

from lenscalc.records.migrations.locks import statements

revision = "0001"
down_revision = None

TABLES = (
    "materials", "lots", "specimens", "instruments", "reference_standards", "sheets", "tolerance_tables", "tolerance_bands", "stores", "records",
    "record_previous", "sessions", "reading_lists", "readings", "corrections", "index_results", "index_steps", "budget_lines", "lens_dimensions",
    "lens_results", "decisions", "remarks",
)  # fmt: skip


def _numbers(*names: str) -> list[Column[Any]]:
    return [Column(name, Double) for name in names]


def _texts(*names: str) -> list[Column[Any]]:
    return [Column(name, Text) for name in names]


def _key() -> Column[Any]:
    return Column("id", Integer, primary_key=True)


def _of_record() -> Column[Any]:
    return Column("record_id", Integer, ForeignKey("records.id"), primary_key=True)


def _position(name: str = "position") -> Column[Any]:
    return Column(name, Integer, primary_key=True, autoincrement=False)


def upgrade() -> None:
    """Create the tables and lock them."""
    # what a lab has: kept once, named by many records
    op.create_table("materials", _key(), Column("name", Text, nullable=False, unique=True))
    op.create_table(
        "lots", _key(), Column("material_id", Integer, ForeignKey("materials.id"), nullable=False), Column("name", Text, nullable=False),
        UniqueConstraint("material_id", "name"),
    )  # fmt: skip
    op.create_table(
        "specimens", _key(), Column("material_id", Integer, ForeignKey("materials.id"), nullable=False),
        Column("lot_id", Integer, ForeignKey("lots.id")), *_texts("name"),
    )  # fmt: skip
    op.create_table("instruments", _key(), *_texts("name"), Column("kind", Text, nullable=False))
    op.create_table(
        "reference_standards", _key(), Column("name", Text, nullable=False), Column("kind", Text, nullable=False),
        *_numbers("n_certified", "u_certified", "certified_temperature_degC", "mass_fraction", "u_mass_fraction", "dn_dt_per_K", "u_dn_dt_per_K"),
        *_texts("certified_basis"),
    )  # fmt: skip
    op.create_table("sheets", Column("sha256", String(64), primary_key=True), Column("text", Text, nullable=False))
    op.create_table(
        "tolerance_tables", Column("sha256", String(64), primary_key=True), Column("edition", Text, nullable=False), *_texts("seen", "note"),
    )  # fmt: skip
    op.create_table(
        "tolerance_bands", Column("tolerance_sha256", String(64), ForeignKey("tolerance_tables.sha256"), primary_key=True), _position(),
        *_numbers("up_to_D", "tolerance_D"),
    )  # fmt: skip
    op.create_table("stores", Column("id", String(32), primary_key=True), Column("began_at_utc", DateTime, nullable=False))

    # a record, and what it follows
    op.create_table(
        "records", _key(), Column("hash", String(64), nullable=False, unique=True), Column("kind", Text, nullable=False),
        Column("store", String(32), nullable=False), Column("number", Integer, nullable=False), Column("added_at_utc", DateTime, nullable=False),
        Column("supersedes", String(64), index=True), *_texts("because", "sheet_name"),
        Column("sheet_sha256", String(64), ForeignKey("sheets.sha256"), nullable=False),
        Column("tolerance_sha256", String(64), ForeignKey("tolerance_tables.sha256")),
        *_texts("lenscalc", "python", "numpy", "system", "machine"),
    )  # fmt: skip
    op.create_table("record_previous", _of_record(), _position(), Column("previous", String(64), nullable=False, index=True))

    # what was read
    op.create_table(
        "sessions", _of_record(), Column("specimen_id", Integer, ForeignKey("specimens.id"), nullable=False, index=True),
        Column("instrument_id", Integer, ForeignKey("instruments.id"), nullable=False, index=True), Column("read_on", Date),
        *_texts("title", "provenance", "state", "preparation", "equilibration_liquid"), *_numbers("equilibration_h", "u_specimen_to_lens"),
        *_numbers("resolution", "u_calibration", "u_operator", "n_contact_liquid", "n_prism", "scale_wavelength_nm", "compensation_per_K"),
        *_texts("calibration_model"), Column("calibrated_on", Date),
    )  # fmt: skip
    op.create_table(
        "reading_lists", _of_record(), _position(), Column("purpose", Text, nullable=False),
        Column("reference_id", Integer, ForeignKey("reference_standards.id")),
        *_numbers("wavelength_nm", "temperature_degC", "u_wavelength_nm", "u_temperature_degC"), *_texts("basis", "direction"),
        *_numbers("u_repeatability", "dof_repeatability", "u_session", "dof_session"),
        *_numbers("n_shown", "u_n_shown", "n_corrected", "u_n_corrected", "n_true", "u_n_true", "shown_minus_true", "u_shown_minus_true"),
    )  # fmt: skip
    op.create_table(
        "readings", _of_record(), _position("list"), _position(), Column("n", Double, nullable=False),
        *_texts("mounting", "session", "operator"), *_numbers("minutes_after_mounting"),
    )  # fmt: skip
    op.create_table("corrections", _of_record(), _position(), *_texts("stated_in", "name"), *_numbers("value", "u"))

    # what came of it
    op.create_table(
        "index_results", _of_record(), *_numbers("n_lens", "u_n_lens", "dof_n_lens", "wavelength_nm", "temperature_degC"), *_texts("basis"),
        *_numbers("abbe_d", "u_abbe_d", "abbe_e", "u_abbe_e"),
    )  # fmt: skip
    op.create_table(
        "index_steps", _of_record(), _position(), *_texts("step"), *_numbers("n", "u", "share"), *_texts("note"),
    )  # fmt: skip
    op.create_table(
        "budget_lines", _of_record(), Column("quantity", String(16), primary_key=True), _position(), *_texts("source"),
        *_numbers("part", "share"), *_texts("scope", "distribution"), *_numbers("dof"),
    )  # fmt: skip
    op.create_table(
        "lens_dimensions", _of_record(), _position(), *_texts("name"), *_numbers("value_mm", "u_mm", "u_curvature_per_mm", "u_sag_mm"),
        *_texts("state"), *_numbers("temperature_degC"), *_texts("gauge"), *_numbers("u_scale_relative"),
    )  # fmt: skip
    op.create_table(
        "lens_results", _of_record(),
        *_numbers(
            "front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm", "power_D", "u_power_D", "u_power_common_D",
            "u_power_individual_D", "calibration_part_power_D", "dof_power", "interval_lower_D", "interval_upper_D", "front_vertex_power_D",
            "back_vertex_power_D", "back_focal_length_mm", "edge_thickness_mm", "d_power_d_n_lens", "n_measured_medium", "power_in_measured_medium_D",
            "u_power_in_measured_medium_D", "refraction_shift_D", "u_refraction_shift_D",
        ),
    )  # fmt: skip
    op.create_table(
        "decisions", _of_record(),
        *_numbers(
            "labelled_power_D", "tolerance_D", "required_probability", "lower_limit_D", "upper_limit_D", "acceptance_lower_D", "acceptance_upper_D",
            "conformance_probability", "lot_off_probability", "expected_yield", "largest_u_n_lens",
        ),
        *_texts("edition", "verdict", "rule"),
    )  # fmt: skip
    op.create_table("remarks", _of_record(), _position(), *_texts("sentence"))
    for statement in statements(op.get_bind().dialect.name, TABLES):
        op.execute(statement)
