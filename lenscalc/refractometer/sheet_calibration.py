"""The calibration table of a sheet: references as read, the lab's interval, and the check before and after."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from lenscalc.conditions import SAME_LINE_NM
from lenscalc.errors import SheetError
from lenscalc.quantities import counted
from lenscalc.refractometer.calibration import MODELS
from lenscalc.refractometer.checked_table import checked_table, refuse_u_alone
from lenscalc.refractometer.sheet_readings import Reading, reading_of

NEAR_K = 2.0  # a calibration serves readings within this of its own temperature unless the lab states more

_NEEDS = {
    "water": (),
    "sucrose": ("mass_fraction", "u_mass_fraction"),
    "certified": ("n_certified", "u_certified", "certified_temperature_degC", "certified_basis"),
}
_MAY = ("abbe_d", "dn_dt_per_K", "u_dn_dt_per_K")  # of a certified piece: those of water and sugar are known
_OWN = _NEEDS | {"certified": _NEEDS["certified"] + _MAY}


@dataclass(frozen=True, eq=False)
class ReferenceReading:
    """One reference: its kind, how it was read, and the keys that say what it truly is."""

    name: str
    kind: str
    reading: Reading
    about: dict[str, Any]


@dataclass(frozen=True, eq=False)
class CalibrationTable:
    """The checked calibration of a sheet."""

    references: tuple[ReferenceReading, ...]
    model: str
    within_K: float
    check_before: tuple[float, ...]
    check_after: tuple[float, ...]
    remarks: tuple[str, ...]
    day: date | None = None

    def at(self, wavelength_nm: float) -> tuple[ReferenceReading, ...]:
        """The references that were read at this line."""
        return tuple(r for r in self.references if abs(r.reading.wavelength_nm - wavelength_nm) <= SAME_LINE_NM)


def basis_after_calibration(table: CalibrationTable | None, basis: str) -> str:
    """References are known relative to air: an unknown basis is air's once the scale is calibrated against them."""
    return "air" if basis == "unknown" and table is not None and table.references else basis


def calibration_of(table: Any, day: date | None) -> CalibrationTable:
    """The checked `[calibration]`.

    Raises
    ------
    SheetError
        naming the table and the key.
    """
    if not isinstance(table, dict):
        raise SheetError("[calibration] must be a table of keys")
    block = checked_table("calibration", {k: v for k, v in table.items() if k != "reference"}, "calibration")
    entries = table.get("reference", [])
    if not isinstance(entries, list):
        raise SheetError("[calibration] reference must be tables [[calibration.reference]]")
    references = tuple(_reference(e, f"calibration.reference {i}") for i, e in enumerate(entries, 1))
    if len(references) > 1 and "model" not in block:
        raise SheetError(f"[calibration] model is missing beside {len(references)} references: {' or '.join(MODELS)}")
    seen: set[tuple[Any, ...]] = set()
    for i, r in enumerate(references, 1):
        named = r.name, r.reading.place
        if named in seen:
            raise SheetError(
                f"[calibration.reference {i}] {r.name} stands twice at {r.reading.wavelength_nm:g} nm and {r.reading.temperature_degC:g} °C: "
                "its replicates go into one list n, and another bottle gets a name of its own"
            )
        seen.add(named)
    if ("check_before" in block) != ("check_after" in block):
        raise SheetError("[calibration] check_before and check_after belong together: the same piece, before and after the readings")
    for key in ("check_before", "check_after"):
        if key in block and len(block[key]) < 2:
            raise SheetError(f"[calibration] {key} holds one reading, which has no spread of its own: read the check piece again")
    return CalibrationTable(
        references, block.get("model", "offset"), block.get("within_K", NEAR_K), tuple(block.get("check_before", ())),
        tuple(block.get("check_after", ())), _age(block, day), block.get("date"),
    )  # fmt: skip


def _reference(entry: Any, where: str) -> ReferenceReading:
    if not isinstance(entry, dict):
        raise SheetError(f"[{where}] must be a table of keys")
    t = checked_table(where, entry, "calibration.reference")
    for key in _NEEDS[t["kind"]]:
        if key not in t:
            raise SheetError(f"[{where}] {key} is missing for kind = {t['kind']!r}")
    strange = [k for kind, keys in _OWN.items() for k in keys if k in t and kind != t["kind"]]
    if strange:
        raise SheetError(f"[{where}] {strange[0]} does not belong to kind = {t['kind']!r}")
    refuse_u_alone(where, t, "calibration.reference")
    if "dn_dt_per_K" in t and "u_dn_dt_per_K" not in t:
        raise SheetError(f"[{where}] u_dn_dt_per_K is missing beside dn_dt_per_K: a correction has an uncertainty")
    moved = t["kind"] == "certified" and t["certified_temperature_degC"] != t["temperature_degC"]
    if moved and "dn_dt_per_K" not in t:
        raise SheetError(
            f"[{where}] certified at {t['certified_temperature_degC']:g} °C and read at {t['temperature_degC']:g} °C: give dn_dt_per_K with its u"
        )
    about = {k: t.pop(k) for k in list(t) if k in (*sum(_OWN.values(), ()), "name", "kind")}
    return ReferenceReading(about["name"], about["kind"], reading_of(t, where, "calibration.reference.as_read"), about)


def _age(block: dict[str, Any], day: date | None) -> tuple[str, ...]:
    if "interval_days" not in block:
        return ()
    if "date" not in block or day is None:
        missing = "[calibration] date" if "date" not in block else "date at the top of the sheet"
        raise SheetError(f"{missing} is missing: without it interval_days says nothing")
    age = (day - block["date"]).days
    if age < 0:
        raise SheetError(f"[calibration] date = {block['date']} lies after the readings, {day}")
    if age > block["interval_days"]:
        return (f"the calibration is {counted(age, 'day')} old; the lab's own interval is {block['interval_days']:g} days: calibrate again",)
    return ()
