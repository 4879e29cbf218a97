"""Every list of readings of a sheet, with each single reading: of the specimen, of the references, of the check piece, of the medium."""

from __future__ import annotations

from typing import Any

from lenscalc.refractometer import Reading, ReadingSheet, corrected, medium_reading, reference_as_read
from lenscalc.refractometer.lamp import light_at
from lenscalc.uncertainty import combine

Rows = list[dict[str, Any]]
_OF_A_LIST = ("wavelength_nm", "temperature_degC", "u_wavelength_nm", "u_temperature_degC", "basis", "direction", "u_repeatability",
              "dof_repeatability", "u_session", "dof_session")  # fmt: skip
_REFERENCE = ("n_certified", "u_certified", "certified_temperature_degC", "certified_basis", "mass_fraction", "u_mass_fraction", "dn_dt_per_K",
              "u_dn_dt_per_K")  # fmt: skip


def lists_and_readings(sheet: ReadingSheet) -> tuple[Rows, Rows]:
    """The lists, and the single readings that name their list by its position.

    `shown_minus_true` of a reference is what the instrument shows too much, as the calibration takes it.
    """
    lists: Rows = []
    readings: Rows = []

    def add(purpose: str, reading: Reading | None, n: tuple[float, ...], **more: Any) -> None:
        of_list = {key: getattr(reading, key) for key in _OF_A_LIST} if reading else {}
        lists.append({"position": len(lists) + 1, "purpose": purpose, **of_list, **more})
        readings.extend(_singles(len(lists), n, reading))

    blocks, _, _ = corrected(sheet)
    for block in blocks:
        shown, n = block.shown, block.n
        add("specimen", block.reading, block.reading.n, n_shown=float(shown.value), u_n_shown=float(shown.u), n_corrected=float(n.value),
            u_n_corrected=float(n.u))  # fmt: skip
    if sheet.medium and "n" in sheet.medium:
        reading = medium_reading(sheet.medium)
        add("medium", reading, reading.n)
    if sheet.calibration:
        for r in sheet.calibration.references:
            reference, _ = reference_as_read(r, sheet.instrument, sheet.readings[0].basis, light_at(sheet.readings, r.reading.wavelength_nm))
            shown, true = reference.read, reference.true
            error = combine(shown.value - true.value, [(1.0, shown), (-1.0, true)])
            add(
                "reference", r.reading, r.reading.n, reference_name=r.name, reference_kind=r.kind,
                **{f"reference_{key}": r.about.get(key) for key in _REFERENCE},
                n_shown=float(shown.value), u_n_shown=float(shown.u), n_true=float(true.value), u_n_true=float(true.u),
                shown_minus_true=float(error.value), u_shown_minus_true=float(error.u),
            )  # fmt: skip
        for purpose, checks in (("check before", sheet.calibration.check_before), ("check after", sheet.calibration.check_after)):
            if checks:
                add(purpose, None, checks)
    return lists, readings


def _singles(position: int, n: tuple[float, ...], reading: Reading | None) -> Rows:
    labels: dict[str, Any] = {}
    if reading is not None:
        labels = {"mounting": reading.mounting, "minutes_after_mounting": reading.minutes_after_mounting}
        labels |= dict(zip(reading.session_parts, zip(*reading.session, strict=True), strict=True)) if reading.session else {}
    given = {name: values for name, values in labels.items() if values}
    return [
        {"list": position, "position": i + 1, "n": value, **{name: _label(values[i]) for name, values in given.items()}} for i, value in enumerate(n)
    ]


def _label(value: Any) -> Any:
    return value if isinstance(value, float) else str(value)
