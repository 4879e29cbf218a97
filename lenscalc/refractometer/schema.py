"""What a reading sheet may hold: table by table, key by key. A key names the quantity whose limits it must keep."""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.errors import SheetError, UnknownNameError
from lenscalc.quantities import as_number, complaint, quantity


class Text(NamedTuple):
    """A key that holds text, one of `choices` where there are any."""

    choices: tuple[str, ...] = ()
    required: bool = False


class Number(NamedTuple):
    """A key that holds a number within the limits of a quantity of the registry."""

    quantity: str
    required: bool = False


class Limits(NamedTuple):
    """A key that holds a number that no registry quantity describes: within these limits."""

    lower: float
    upper: float
    unit: str = ""
    required: bool = False


class Numbers(NamedTuple):
    """A key that holds a list of numbers of one quantity."""

    quantity: str


class Yes(NamedTuple):
    """A key that holds true or false."""


STATES = ("dry", "hydrated")

_DIMENSION: dict[str, Any] = {
    "value": Number("front_radius_mm", required=True),
    "u": Limits(0.0, 1e6, "mm"),
    "u_curvature_per_mm": Number("u_front_curvature_per_mm"),
    "u_sag_mm": Number("u_front_sag_mm"),
    "state": Text(STATES, required=True),
    "temperature_degC": Number("reading_temperature_degC", required=True),
    "instrument": Text(),
}

SCHEMA: dict[str, dict[str, Any]] = {
    "": {"title": Text(), "provenance": Text(required=True)},
    "specimen": {"material": Text(required=True), "lot": Text(), "state": Text(STATES, required=True), "preparation": Text()},
    "instrument": {
        "kind": Text(("prism contact", "v-block", "minimum deviation"), required=True),
        "resolution": Limits(0.0, 0.1, required=True),
        "u_calibration": Limits(0.0, 0.1, required=True),
        "n_contact_liquid": Number("n_reading"),
        "n_prism": Number("n_reading"),
        "no_contact_liquid_because": Text(),
    },
    "reading": {
        "wavelength_nm": Number("reading_wavelength_nm", required=True),
        "temperature_degC": Number("reading_temperature_degC", required=True),
        "u_temperature_degC": Number("u_reading_temperature_degC", required=True),
        "basis": Text(("air", "vacuum", "unknown"), required=True),
        "n": Numbers("n_reading"),
        "u_repeatability": Limits(0.0, 0.1),
        "dof_repeatability": Limits(1.0, 1e9),
    },
    "dispersion": {"abbe_d": Number("abbe_d", required=True), "u_abbe_d": Number("u_abbe_d", required=True)},
    "temperature": {
        "dn_dt_per_K": Number("dn_dt_per_K", required=True),
        "u_dn_dt_per_K": Number("u_dn_dt_per_K", required=True),
        "state": Text(STATES, required=True),
    },
    "hydration": {"hydration_shift": Number("hydration_shift", required=True), "u_hydration_shift": Number("u_hydration_shift", required=True)},
    "medium": {
        "n_measured_medium": Number("n_measured_medium", required=True),
        "u_n_measured_medium": Number("u_n_measured_medium", required=True),
        "wavelength_nm": Number("reading_wavelength_nm", required=True),
        "temperature_degC": Number("reading_temperature_degC", required=True),
        "basis": Text(("air", "vacuum", "unknown"), required=True),
        "name": Text(),
        "same_instrument": Yes(),
    },
    "lens": {
        "labelled_power_D": Number("labelled_power_D"),
        "tolerance_D": Number("tolerance_D"),
        "tolerance_from": Text(),
        "required_probability": Number("required_probability"),
        "optic_diameter_mm": Number("optic_diameter_mm", required=True),
        "dimensions": Text(("measured", "exact")),
        "linear_swelling": Limits(-0.2, 1.0),
        "u_linear_swelling": Limits(0.0, 0.5),
        "linear_expansion_per_K": Limits(-1e-3, 1e-3, "1/K"),
        "u_linear_expansion_per_K": Limits(0.0, 1e-3, "1/K"),
    },
    "lens.front_radius_mm": _DIMENSION,
    "lens.back_radius_mm": {
        **_DIMENSION,
        "value": Number("back_radius_mm", required=True),
        "u_curvature_per_mm": Number("u_back_curvature_per_mm"),
        "u_sag_mm": Number("u_back_sag_mm"),
    },
    "lens.center_thickness_mm": {
        k: v for k, v in {**_DIMENSION, "value": Number("center_thickness_mm", required=True)}.items() if k[:3] not in ("u_c", "u_s")
    },
    "lens.gauge": {"u_scale_relative": Limits(0.0, 0.1, required=True)},
}


def checked_table(where: str, table: Any, schema: str) -> dict[str, Any]:
    """One table of a sheet with every key checked and every number turned into a float.

    Raises
    ------
    SheetError
        naming the table and the key.
    """
    if not isinstance(table, dict):
        raise SheetError(f"[{where}] must be a table of keys")
    known = SCHEMA[schema]
    for key in table:
        if key not in known:
            raise SheetError(f"[{where}] {UnknownNameError(key, known, what='key')}" if where else str(UnknownNameError(key, known, what="key")))
    for key, kind in known.items():
        if getattr(kind, "required", False) and key not in table:
            choices = f": {' or '.join(kind.choices)}" if isinstance(kind, Text) and kind.choices else ""
            raise SheetError(f"[{where}] {key} is missing{choices}" if where else f"{key} is missing at the top of the sheet")
    return {key: _checked(f"[{where}] {key}", value, known[key]) for key, value in table.items()}


def _checked(where: str, value: Any, kind: Any) -> Any:
    if isinstance(kind, Text):
        if not isinstance(value, str) or not value.strip():
            raise SheetError(f"{where} = {value!r}: must be text")
        if kind.choices and value not in kind.choices:
            raise SheetError(f"{where} = {value!r}: must be {' or '.join(kind.choices)}")
        return value
    if isinstance(kind, Yes):
        if not isinstance(value, bool):
            raise SheetError(f"{where} = {value!r}: must be true or false")
        return value
    if isinstance(kind, Numbers):
        if not isinstance(value, list) or not value:
            raise SheetError(f"{where} = {value!r}: must be a list of readings, for example [1.4901, 1.4902]")
        return [_number(f"{where}[{i + 1}]", v, kind.quantity) for i, v in enumerate(value)]
    if isinstance(kind, Number):
        return _number(where, value, kind.quantity)
    number = _plain_number(where, value)
    if not kind.lower <= number <= kind.upper:
        unit = f" {kind.unit}" if kind.unit else ""
        raise SheetError(f"{where} = {number:g}{unit}: must be {kind.lower:g} to {kind.upper:g}{unit}")
    return number


def _number(where: str, value: Any, name: str) -> float:
    q = quantity(name)
    number = float(as_number(name, value)) if q.infinite and value == "plano" else _plain_number(where, value)
    wrong = complaint(q, number)
    if wrong:
        raise SheetError(f"{where}: {wrong}", quantity=name, value=value, limits=(q.lower, q.upper), unit=q.unit)
    return number


def _plain_number(where: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SheetError(f"{where} = {value!r}: must be a number, without quotes and with a decimal point")
    try:
        return float(value)
    except OverflowError:
        raise SheetError(f"{where}: a number of {len(str(value))} digits is no measurement") from None
