"""The tables of a store, every column with its type. `rows` says which field of a record stands in which of them.

Names of columns are those used everywhere, with their units; one with a capital letter stands in double quotes in SQL ("power_D").
A number that does not apply is null; a plano radius and unlimited degrees of freedom are infinite.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, Date, DateTime, Double, ForeignKey, Integer, MetaData, String, Table, Text, UniqueConstraint

REVISION = "0002"  # the newest of the migrations, which make these tables
REVISION_TABLE = "lenscalc_revision"

metadata = MetaData()


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


# what a lab has: kept once, named by many records
materials = Table("materials", metadata, _key(), Column("name", Text, nullable=False, unique=True))
lots = Table(
    "lots", metadata, _key(), Column("material_id", Integer, ForeignKey("materials.id"), nullable=False), Column("name", Text, nullable=False),
    UniqueConstraint("material_id", "name"),
)  # fmt: skip
specimens = Table(
    "specimens", metadata, _key(), Column("material_id", Integer, ForeignKey("materials.id"), nullable=False),
    Column("lot_id", Integer, ForeignKey("lots.id")), *_texts("name"),
)  # fmt: skip
instruments = Table("instruments", metadata, _key(), *_texts("name"), Column("kind", Text, nullable=False))
reference_standards = Table(
    "reference_standards", metadata, _key(), Column("name", Text, nullable=False), Column("kind", Text, nullable=False),
    *_numbers("n_certified", "u_certified", "certified_temperature_degC", "mass_fraction", "u_mass_fraction", "dn_dt_per_K", "u_dn_dt_per_K"),
    *_texts("certified_basis"),
)  # fmt: skip
sheets = Table("sheets", metadata, Column("sha256", String(64), primary_key=True), Column("text", Text, nullable=False))
tolerance_tables = Table(
    "tolerance_tables", metadata, Column("sha256", String(64), primary_key=True), Column("edition", Text, nullable=False), *_texts("seen", "note"),
)  # fmt: skip
tolerance_bands = Table(
    "tolerance_bands", metadata, Column("tolerance_sha256", String(64), ForeignKey("tolerance_tables.sha256"), primary_key=True), _position(),
    *_numbers("up_to_D", "tolerance_D"),
)  # fmt: skip
stores = Table("stores", metadata, Column("id", String(32), primary_key=True), Column("began_at_utc", DateTime, nullable=False))

# a record, and what it follows
records = Table(
    "records", metadata, _key(), Column("hash", String(64), nullable=False, unique=True), Column("kind", Text, nullable=False),
    Column("store", String(32), nullable=False), Column("number", Integer, nullable=False), Column("added_at_utc", DateTime, nullable=False),
    Column("supersedes", String(64), index=True), *_texts("because", "sheet_name"),
    Column("sheet_sha256", String(64), ForeignKey("sheets.sha256"), nullable=False),
    Column("tolerance_sha256", String(64), ForeignKey("tolerance_tables.sha256")),
    *_texts("lenscalc", "python", "numpy", "scipy", "system", "machine", "processor"),
)  # fmt: skip
record_previous = Table(
    "record_previous", metadata, _of_record(), _position(), Column("previous", String(64), nullable=False, index=True),
)  # fmt: skip

# what was read
sessions = Table(
    "sessions", metadata, _of_record(), Column("specimen_id", Integer, ForeignKey("specimens.id"), nullable=False, index=True),
    Column("instrument_id", Integer, ForeignKey("instruments.id"), nullable=False, index=True), Column("read_on", Date),
    *_texts("title", "provenance", "state", "preparation", "equilibration_liquid"), *_numbers("equilibration_h", "u_specimen_to_lens"),
    *_numbers("resolution", "u_calibration", "u_operator", "n_contact_liquid", "n_prism", "scale_wavelength_nm", "compensation_per_K"),
    *_texts("calibration_model"), Column("calibrated_on", Date),
)  # fmt: skip
reading_lists = Table(
    "reading_lists", metadata, _of_record(), _position(), Column("purpose", Text, nullable=False),
    Column("reference_id", Integer, ForeignKey("reference_standards.id")),
    *_numbers("wavelength_nm", "temperature_degC", "u_wavelength_nm", "u_temperature_degC"), *_texts("basis", "direction"),
    *_numbers("u_repeatability", "dof_repeatability", "u_session", "dof_session"),
    *_numbers("n_shown", "u_n_shown", "n_corrected", "u_n_corrected", "n_true", "u_n_true", "shown_minus_true", "u_shown_minus_true"),
)  # fmt: skip
readings = Table(
    "readings", metadata, _of_record(), _position("list"), _position(), Column("n", Double, nullable=False),
    *_texts("mounting", "session", "operator"), *_numbers("minutes_after_mounting"),
)  # fmt: skip
corrections = Table("corrections", metadata, _of_record(), _position(), *_texts("stated_in", "name"), *_numbers("value", "u"))

# what came of it
index_results = Table(
    "index_results", metadata, _of_record(), *_numbers("n_lens", "u_n_lens", "dof_n_lens", "wavelength_nm", "temperature_degC"), *_texts("basis"),
    *_numbers("abbe_d", "u_abbe_d", "abbe_e", "u_abbe_e"),
)  # fmt: skip
index_steps = Table(
    "index_steps", metadata, _of_record(), _position(), *_texts("step"), *_numbers("n", "u", "share"), *_texts("note"),
)  # fmt: skip
budget_lines = Table(
    "budget_lines", metadata, _of_record(), Column("quantity", String(16), primary_key=True), _position(), *_texts("source"),
    *_numbers("part", "share"), *_texts("scope", "distribution"), *_numbers("dof"),
)  # fmt: skip
lens_dimensions = Table(
    "lens_dimensions", metadata, _of_record(), _position(), *_texts("name"), *_numbers("value_mm", "u_mm", "u_curvature_per_mm", "u_sag_mm"),
    *_texts("state"), *_numbers("temperature_degC"), *_texts("gauge"), *_numbers("u_scale_relative"),
)  # fmt: skip
lens_results = Table(
    "lens_results", metadata, _of_record(),
    *_numbers(
        "front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm", "power_D", "u_power_D", "u_power_common_D",
        "u_power_individual_D", "calibration_part_power_D", "dof_power", "interval_lower_D", "interval_upper_D", "front_vertex_power_D",
        "back_vertex_power_D", "back_focal_length_mm", "edge_thickness_mm", "d_power_d_n_lens", "n_measured_medium", "power_in_measured_medium_D",
        "u_power_in_measured_medium_D", "refraction_shift_D", "u_refraction_shift_D",
    ),
)  # fmt: skip
decisions = Table(
    "decisions", metadata, _of_record(),
    *_numbers(
        "labelled_power_D", "tolerance_D", "required_probability", "lower_limit_D", "upper_limit_D", "acceptance_lower_D", "acceptance_upper_D",
        "conformance_probability", "lot_off_probability", "expected_yield", "largest_u_n_lens",
    ),
    *_texts("edition", "verdict", "rule"),
)  # fmt: skip
remarks = Table("remarks", metadata, _of_record(), _position(), *_texts("sentence"))
