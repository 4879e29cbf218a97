"""A sheet computed and laid out as the sections of a record: what was read, with what, and what came of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lenscalc.chain import Followed, follow, follow_index
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, ToleranceTable
from lenscalc.records.reading_lists import lists_and_readings
from lenscalc.refractometer import ReadingSheet, sheet_from_text
from lenscalc.uncertainty import Estimate, budget

_LENS = (
    "power_D", "u_power_D", "u_power_common_D", "u_power_individual_D", "calibration_part_power_D", "dof_power", "interval_lower_D",
    "interval_upper_D", "front_vertex_power_D", "back_vertex_power_D", "back_focal_length_mm", "edge_thickness_mm", "d_power_d_n_lens",
    "power_in_measured_medium_D", "u_power_in_measured_medium_D", "refraction_shift_D", "u_refraction_shift_D",
)  # fmt: skip
_IN_USE = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm", "n_measured_medium")
_DECISION = (
    "lower_limit_D", "upper_limit_D", "acceptance_lower_D", "acceptance_upper_D", "conformance_probability", "lot_off_probability", "expected_yield",
    "largest_u_n_lens",
)  # fmt: skip


def computed(text: str, name: str, tolerance_table: ToleranceTable | None = None) -> tuple[ReadingSheet, dict[str, Any]]:
    """The sheet, followed as far as it goes, as the sections of a record: with a lens to its power and decision, without one to the index.

    Raises
    ------
    SheetError
        naming the table and the key that cannot be used.
    """
    sheet = sheet_from_text(text, name)
    followed = follow(sheet, tolerance_table=tolerance_table) if sheet.lens else follow_index(sheet)
    lists, readings = lists_and_readings(sheet)
    sections: dict[str, Any] = {
        "session": _session(sheet),
        "lists": lists,
        "readings": readings,
        "corrections": _corrections(sheet),
        "index": _index(followed),
        "steps": _steps(followed),
        "budget": _budget("n_lens", followed.index.n),
        "remarks": placed({"sentence": sentence} for sentence in followed.warnings),
    }
    if sheet.lens:
        sections["tolerance"] = _tolerance(followed.tolerances)
        sections["dimensions"] = _dimensions(sheet)
        sections["lens"] = _lens(followed)
        sections["budget"] = [*sections["budget"], *_budget("power_D", followed.evaluation.estimates["power_D"])]
        if "labelled_power_D" in followed.row:
            sections["decision"] = _decision(followed)
    return sheet, sections


def placed(rows: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The rows with their positions, counted from 1."""
    return [{"position": i, **row} for i, row in enumerate(rows, 1)]


def _session(sheet: ReadingSheet) -> dict[str, Any]:
    specimen, instrument, calibration = sheet.specimen, sheet.instrument, sheet.calibration
    return {
        "material": specimen["material"], "lot": specimen.get("lot"), "specimen": specimen.get("name"),
        "instrument": instrument.get("name"), "instrument_kind": instrument["kind"],
        "read_on": sheet.date.isoformat() if sheet.date else None, "title": sheet.title, "provenance": sheet.provenance,
        **{k: specimen.get(k) for k in ("state", "preparation", "equilibration_liquid", "equilibration_h", "u_specimen_to_lens")},
        **{k: instrument.get(k) for k in ("resolution", "u_calibration", "u_operator", "n_contact_liquid", "n_prism", "scale_wavelength_nm",
                                          "compensation_per_K")},
        "calibration_model": calibration.model if calibration and calibration.references else None,
        "calibrated_on": calibration.day.isoformat() if calibration and calibration.day else None,
    }  # fmt: skip


def _corrections(sheet: ReadingSheet) -> list[dict[str, Any]]:
    """What the sheet states of dispersion, temperature, water and medium, as numbers with their u."""
    tables = {"dispersion": sheet.dispersion, "temperature": sheet.temperature, "hydration": sheet.hydration, "medium": sheet.medium}
    return placed(
        {"stated_in": name, "name": key, "value": value, "u": table.get(f"u_{key}")}
        for name, table in tables.items() if table
        for key, value in table.items()
        if isinstance(value, float) and not key.startswith("u_")
    )  # fmt: skip


def _index(followed: Followed) -> dict[str, Any]:
    use, d = followed.index, followed.read.dispersion
    by_lines = d is not None and len(followed.sheet.readings) > 1
    return {
        "n_lens": float(use.n.value[0]), "u_n_lens": float(use.n.u[0]), "dof_n_lens": float(use.n.dof[0]),
        "wavelength_nm": use.wavelength_nm, "temperature_degC": use.temperature_degC, "basis": use.basis,
        **({k: _number(getattr(d, k)) for k in ("abbe_d", "u_abbe_d", "abbe_e", "u_abbe_e")} if by_lines else {}),
    }  # fmt: skip


def _steps(followed: Followed) -> list[dict[str, Any]]:
    use = followed.index
    return placed(
        {"step": s.name, "n": float(s.n.value[0]), "u": float(s.n.u[0]), "share": share, "note": s.note or None}
        for s, share in zip(use.steps, use.shares(), strict=True)
    )


def _budget(quantity: str, of: Estimate) -> list[dict[str, Any]]:
    return placed({"quantity": quantity, **line._asdict()} for line in budget(of))


def _dimensions(sheet: ReadingSheet) -> list[dict[str, Any]]:
    assert sheet.lens is not None
    gauges = sheet.lens.gauges
    return placed(
        {
            "name": name, "value_mm": d["value"], "u_mm": d.get("u"), "u_curvature_per_mm": d.get("u_curvature_per_mm"),
            "u_sag_mm": d.get("u_sag_mm"),
            "state": d["state"], "temperature_degC": d["temperature_degC"], "gauge": d.get("instrument"),
            "u_scale_relative": gauges[d["instrument"]] if "instrument" in d else None,
        }
        for name, d in sheet.lens.dimensions.items()
    )  # fmt: skip


def _lens(followed: Followed) -> dict[str, Any]:
    columns = followed.evaluation.columns
    return {
        **{name: _number(followed.row.get(name)) for name in _IN_USE},
        **{name: _number(columns[name][0]) if name in columns else None for name in _LENS},
    }


def _decision(followed: Followed) -> dict[str, Any]:
    columns, row = followed.evaluation.columns, followed.row
    label, upper = row["labelled_power_D"], float(columns["upper_limit_D"][0])
    return {
        "labelled_power_D": label,
        "tolerance_D": row["tolerance_D"] if "tolerance_D" in row else float(followed.tolerances.of(label)),
        "required_probability": row.get("required_probability", REQUIRED_PROBABILITY),
        **{name: _number(columns[name][0]) for name in _DECISION},
        "upper_limit_D": upper,
        "edition": followed.tolerance_from,
        "verdict": str(columns["verdict"][0]) or None,
        "rule": RULE,
    }


def _tolerance(table: ToleranceTable) -> dict[str, Any]:
    bands = placed({"up_to_D": up_to, "tolerance_D": half} for up_to, half in table.bands)
    return {"edition": table.edition, "seen": table.seen or None, "note": table.note or None, "bands": bands}


def tolerance_table_of(content: Mapping[str, Any]) -> ToleranceTable | None:
    """The tolerance table that a record was computed with; None where it has no lens."""
    kept = content.get("tolerance")
    if kept is None:
        return None
    return ToleranceTable(kept["edition"], tuple((b["up_to_D"], b["tolerance_D"]) for b in kept["bands"]), kept.get("seen", ""), kept.get("note", ""))


def _number(value: Any) -> float | None:
    if value is None:
        return None
    number = float(value)
    return None if number != number else number + 0.0
