"""What a sheet's instrument must say of itself before a reading means an index: contact liquid, scale, compensation."""

from __future__ import annotations

from typing import Any

from lenscalc.conditions import LINES_NM, SAME_LINE_NM
from lenscalc.errors import InputError, SheetError
from lenscalc.refractometer.checked_table import checked_table
from lenscalc.refractometer.contact import contact_liquid_problem, contact_liquid_remark
from lenscalc.refractometer.sheet_readings import Reading

FILM = 0.002  # a border that near to water's index may be the film's


def instrument_of(table: dict[str, Any]) -> dict[str, Any]:
    """The checked instrument table, its prism's indices by wavelength.

    Raises
    ------
    SheetError
        naming the key.
    """
    entries = table.get("prism", []) if isinstance(table, dict) else []
    if not isinstance(entries, list):
        raise SheetError("[instrument] prism must be tables [[instrument.prism]], each with wavelength_nm, n_prism and u_n_prism")
    instrument = checked_table("instrument", {k: v for k, v in table.items() if k != "prism"} if isinstance(table, dict) else table, "instrument")
    instrument["prism"] = [checked_table(f"instrument.prism {i}", e, "instrument.prism") for i, e in enumerate(entries, 1)]
    compensated = instrument.get("temperature_compensation", "none") != "none"
    needed = ("compensation_per_K", "u_compensation_per_K", "compensation_to_degC")
    missing = [k for k in needed if k not in instrument]
    if compensated and missing:
        what = "a sugar solution's temperature compensation does not fit a polymer" if instrument["temperature_compensation"] == "sugar" else (
            "a compensated reading is not the index at the specimen's temperature"
        )
        raise SheetError(f"[instrument] {what}: switch it off and read again, or give {', '.join(missing)} and it is taken off again")
    if not compensated and len(missing) < len(needed):
        given = next(k for k in needed if k in instrument)
        raise SheetError(f"[instrument] {given} is given, but temperature_compensation is not: write 'sugar' or 'other'")
    return instrument


def prism_at(instrument: dict[str, Any], wavelength_nm: float) -> dict[str, float] | None:
    """The prism's index at a line, from the sheet; None where it does not say."""
    return next((p for p in instrument["prism"] if abs(p["wavelength_nm"] - wavelength_nm) <= SAME_LINE_NM), None)


def check_scale(instrument: dict[str, Any], readings: tuple[Reading, ...], what: str = "reading") -> tuple[str, ...]:
    """A scale made for one line and read at another needs the prism's dispersion; a white-light compensated reading is n_D whatever the lamp."""
    D = LINES_NM["D"]
    for i, r in enumerate(readings, 1):
        where = what if len(readings) == 1 else f"{what} {i}"
        if instrument.get("white_light_compensated") and abs(r.wavelength_nm - D) > SAME_LINE_NM:
            raise SheetError(
                f"[{where}] wavelength_nm = {r.wavelength_nm:g}: a white-light compensated reading is n_D, at {D:.2f} nm, whatever the lamp"
            )
    if instrument["kind"] != "prism contact":
        if "scale_wavelength_nm" in instrument:
            raise SheetError(f"[instrument] scale_wavelength_nm belongs to prism contact, not to kind = {instrument['kind']!r}")
        return ()
    scale = instrument.get("scale_wavelength_nm")
    away = [r.wavelength_nm for r in readings if abs(r.wavelength_nm - (scale or D)) > SAME_LINE_NM]
    if scale is None:
        if not away:
            return ()
        lines = ", ".join(f"{w:g}" for w in sorted(set(away)))
        return (f"the scale is taken as made for each line that was read, also {lines} nm; if it is made for one line, give scale_wavelength_nm",)
    for w in (scale, *away) if away else ():
        if prism_at(instrument, w) is None:
            raise SheetError(
                f"[instrument] the scale is made for {scale:g} nm and was read at {away[0]:g} nm: without the prism's index at both lines "
                f"that is no index; give [[instrument.prism]] with wavelength_nm = {w:g}, n_prism and u_n_prism, or read at {scale:g} nm"
            )
    if away and "prism_apex_deg" not in instrument and not instrument.get("angle_measured_inside"):
        raise SheetError(
            "[instrument] prism_apex_deg is missing: a scale read at another line needs the prism's apex, "
            "or angle_measured_inside = true for a hemisphere"
        )
    return ()


def check_contact(instrument: dict[str, Any], readings: tuple[Reading, ...], state: str) -> tuple[str, ...]:
    """The contact liquid of prism contact, and the false border of a water film on a wet specimen."""
    liquid = instrument.get("n_contact_liquid")
    if instrument["kind"] != "prism contact":
        if liquid is not None:
            raise SheetError(f"[instrument] n_contact_liquid belongs to prism contact, not to kind = {instrument['kind']!r}")
        return ()
    film = _film(readings) if state == "hydrated" else ()
    if liquid is None:
        if "no_contact_liquid_because" in instrument:
            return (f"read without a contact liquid: {instrument['no_contact_liquid_because']}", *film)
        raise SheetError(
            "[instrument] n_contact_liquid is missing: a solid sits on the prism with a liquid of higher index; "
            "where none is used, say so with no_contact_liquid_because"
        )
    highest = max(max(r.n) for r in readings)
    problem = contact_liquid_problem(highest, liquid, instrument.get("n_prism"))
    if problem:
        raise SheetError(f"[instrument] {problem}")
    remark = contact_liquid_remark(highest, liquid)
    return (*((remark,) if remark else ()), *film)


def _film(readings: tuple[Reading, ...]) -> tuple[str, ...]:
    from lenscalc.material import water_index

    for i, r in enumerate(readings, 1):
        try:
            water = float(water_index(r.wavelength_nm, r.temperature_degC))
        except InputError:
            continue  # at this line and temperature nobody says what water's is
        for position, n in enumerate(r.n, 1):
            if abs(n - water) < FILM:
                return (
                    f"[reading {i}] n[{position}] = {n:g} is water's own index ({water:.4f}): a film of water on a wet specimen gives "
                    "such a border; blot it and read again",
                )
    return ()
