"""What every record has, whoever made it: a hash says that nothing was changed, not that there is anything to show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lenscalc.records.canonical import Content
from lenscalc.records.record import WITHDRAWAL

_ALWAYS = {
    "record": ("sheet_name", "lenscalc", "numpy", "system", "machine"),
    "session": ("material", "title", "provenance", "instrument_kind"),
    "index": ("n_lens", "u_n_lens", "wavelength_nm", "temperature_degC"),
    "steps": ("step", "n", "u", "share"),
    "lists": ("purpose",),
    "readings": ("n",),
}
_WHERE_THERE = {
    "budget": ("quantity", "source", "part", "share"),
    "lens": ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "power_D", "u_power_D"),
    "decision": ("labelled_power_D", "lower_limit_D", "upper_limit_D", "required_probability"),
    "remarks": ("sentence",),
}
_BAND = ("up_to_D", "tolerance_D")
_WATER = ("wavelength_nm", "temperature_degC", "shown_minus_true", "u_shown_minus_true")


def lacking(content: Content) -> str:
    """The first field that a record lacks although every record has it, as `session.title`; empty where it is whole.

    >>> lacking({"record": {"kind": "withdrawal", "because": "a course"}})
    'record.supersedes'
    """
    return next(_lacking(content), "")


def _lacking(content: Content) -> Iterator[str]:
    if content["record"].get("kind") == WITHDRAWAL:
        yield from _of("record", content["record"], ("supersedes", "because"))
        return
    for name, fields in (_ALWAYS | _WHERE_THERE).items():
        section = content.get(name)
        if not section and name in _ALWAYS:
            yield name
        for row in [section] if isinstance(section, Mapping) else section or []:
            yield from _of(name, row, fields)
    for row in content.get("lists", []):
        if row.get("reference_kind") == "water":
            yield from _of("lists", row, _WATER)
        elif "wavelength_nm" in row and row["wavelength_nm"] is not None:
            yield from _of("lists", row, ("temperature_degC",))
    read = {row.get("list") for row in content.get("readings", [])}
    if not any(row["purpose"] == "specimen" and row.get("position") in read for row in content.get("lists", [])):
        yield "readings of the specimen"
    if content.get("tolerance"):
        yield from _of("tolerance", content["tolerance"], ("edition",))
        for band in content["tolerance"].get("bands") or [{}]:
            yield from _of("bands", band, _BAND)
    if content.get("decision") and not content.get("tolerance"):
        yield "tolerance"


def _of(name: str, row: Mapping[str, Any], fields: tuple[str, ...]) -> Iterator[str]:
    yield from (f"{name}.{field}" for field in fields if row.get(field) is None)
