"""What a reading sheet may hold: table by table, key by key. A key names the quantity whose limits it must keep."""

from __future__ import annotations

from typing import Any, NamedTuple


class Text(NamedTuple):
    """A key that holds text, one of `choices` where there are any."""

    choices: tuple[str, ...] = ()
    required: bool = False


class Number(NamedTuple):
    """A key that holds a number within the limits of a quantity of the registry."""

    quantity: str
    required: bool = False


class Limits(NamedTuple):
    """A key that holds a number that no registry quantity describes: within these limits; what one above them may be."""

    lower: float
    upper: float
    unit: str = ""
    required: bool = False
    above: str = ""


class Numbers(NamedTuple):
    """A key that holds a list of numbers of one quantity."""

    quantity: str


class Yes(NamedTuple):
    """A key that holds true or false."""


class Day(NamedTuple):
    """A key that holds a date, in TOML without quotes: 2026-11-20."""


class Labels(NamedTuple):
    """A key that holds a list of labels, one a reading: numbers or texts."""


class Minutes(NamedTuple):
    """A key that holds a list of times [min], one a reading."""

    of_one: Limits = Limits(0.0, 1e5, "min")


STATES = ("dry", "hydrated")
_PERCENT = "is it a percentage? write it as a fraction"

_DIMENSION: dict[str, Any] = {
    "value": Number("front_radius_mm", required=True),
    "u": Limits(0.0, 1e6, "mm"),
    "u_curvature_per_mm": Number("u_front_curvature_per_mm"),
    "u_sag_mm": Number("u_front_sag_mm"),
    "state": Text(STATES, required=True),
    "temperature_degC": Number("reading_temperature_degC", required=True),
    "instrument": Text(),
}

_REFERENCE_READ: dict[str, Any] = {
    "wavelength_nm": Number("reading_wavelength_nm", required=True),
    "temperature_degC": Number("reading_temperature_degC", required=True),
    "u_temperature_degC": Number("u_reading_temperature_degC", required=True),
    "n": Numbers("n_reading"),
    "u_repeatability": Limits(0.0, 0.1),
    "dof_repeatability": Limits(1.0, 1e9),
}
_READ: dict[str, Any] = {**_REFERENCE_READ, "basis": Text(("air", "vacuum", "unknown"), required=True)}

SCHEMA: dict[str, dict[str, Any]] = {
    "": {"title": Text(), "provenance": Text(required=True), "date": Day()},
    "specimen": {
        "material": Text(required=True),
        "lot": Text(),
        "name": Text(),
        "state": Text(STATES, required=True),
        "preparation": Text(),
        "equilibration_liquid": Text(),
        "equilibration_h": Limits(0.0, 1e5, "h"),
        "u_specimen_to_lens": Limits(0.0, 0.1),
    },
    "instrument": {
        "name": Text(),
        "kind": Text(("prism contact", "v-block", "minimum deviation"), required=True),
        "resolution": Limits(0.0, 0.1, required=True),
        "u_calibration": Limits(0.0, 0.1),
        "u_operator": Limits(0.0, 0.1),
        "n_contact_liquid": Number("n_reading"),
        "n_prism": Number("n_reading"),
        "no_contact_liquid_because": Text(),
        "scale_wavelength_nm": Number("reading_wavelength_nm"),
        "prism_apex_deg": Limits(10.0, 90.0, "°"),
        "angle_measured_inside": Yes(),
        "white_light_compensated": Yes(),
        "temperature_compensation": Text(("none", "sugar", "other")),
        "compensation_per_K": Limits(-0.01, 0.01, "1/K"),
        "u_compensation_per_K": Limits(0.0, 0.01, "1/K"),
        "compensation_to_degC": Number("reading_temperature_degC"),
    },
    "instrument.prism": {
        "wavelength_nm": Number("reading_wavelength_nm", required=True),
        "n_prism": Number("n_reading", required=True),
        "u_n_prism": Limits(0.0, 0.01, required=True),
    },
    "calibration": {
        "date": Day(),
        "interval_days": Limits(0.0, 36500.0, "days"),
        "model": Text(("offset", "offset and slope")),
        "within_K": Limits(0.0, 100.0, "K"),
        "check_before": Numbers("n_reading"),
        "check_after": Numbers("n_reading"),
    },
    "calibration.reference": {
        "name": Text(required=True),
        "kind": Text(("water", "sucrose", "certified"), required=True),
        **_REFERENCE_READ,
        "mass_fraction": Limits(0.0, 0.85, above=_PERCENT),
        "u_mass_fraction": Limits(0.0, 0.1, above=_PERCENT),
        "n_certified": Number("n_reading"),
        "u_certified": Limits(0.0, 0.01),
        "certified_temperature_degC": Number("reading_temperature_degC"),
        "certified_basis": Text(("air", "vacuum")),
        "abbe_d": Number("abbe_d"),
        "dn_dt_per_K": Number("dn_dt_per_K"),
        "u_dn_dt_per_K": Number("u_dn_dt_per_K"),
    },
    "calibration.reference.as_read": _REFERENCE_READ,
    "reading": {
        **_READ,
        "u_wavelength_nm": Limits(0.0, 100.0, "nm"),
        "u_session": Limits(0.0, 0.1),
        "dof_session": Limits(1.0, 1e9),
        "mounting": Labels(),
        "session": Labels(),
        "operator": Labels(),
        "minutes_after_mounting": Minutes(),
        "direction": Text(),
    },
    "dispersion": {
        "abbe_d": Number("abbe_d"),
        "u_abbe_d": Number("u_abbe_d"),
        "abbe_from": Text(("measured", "compensator", "published")),
        "form": Text(("cauchy", "conrady", "sellmeier", "schott")),
        "terms": Limits(2, 6),
    },
    "temperature": {
        "dn_dt_per_K": Number("dn_dt_per_K"),
        "u_dn_dt_per_K": Number("u_dn_dt_per_K"),
        "volume_expansion_per_K": Number("volume_expansion_per_K"),
        "u_volume_expansion_per_K": Number("u_volume_expansion_per_K"),
        "glass_transition_degC": Number("glass_transition_degC"),
        "across_glass_transition": Yes(),
        "state": Text(STATES, required=True),
    },
    "hydration": {
        "hydration_shift": Number("hydration_shift"),
        "u_hydration_shift": Number("u_hydration_shift"),
        "water_mass_fraction_wet": Number("water_mass_fraction_wet"),
        "u_water_mass_fraction_wet": Number("u_water_mass_fraction_wet"),
        "mass_wet_g": Limits(1e-6, 1e6, "g"),
        "mass_dry_g": Limits(1e-6, 1e6, "g"),
        "u_mass_g": Limits(0.0, 1e3, "g"),
        "dry_density_kg_per_m3": Number("dry_density_kg_per_m3"),
        "u_dry_density_kg_per_m3": Number("u_dry_density_kg_per_m3"),
    },
    "medium": {
        "n_measured_medium": Number("n_measured_medium"),
        "u_n_measured_medium": Number("u_n_measured_medium"),
        **_READ,
        "u_temperature_degC": Number("u_reading_temperature_degC"),
        "abbe_d": Number("abbe_d"),
        "u_abbe_d": Number("u_abbe_d"),
        "dn_dt_per_K": Number("dn_dt_per_K"),
        "u_dn_dt_per_K": Number("u_dn_dt_per_K"),
        "name": Text(),
        "same_instrument": Yes(),
    },
    "medium.as_read": _READ,
    "lens": {
        "labelled_power_D": Number("labelled_power_D"),
        "tolerance_D": Number("tolerance_D"),
        "tolerance_from": Text(),
        "required_probability": Number("required_probability"),
        "optic_diameter_mm": Number("optic_diameter_mm", required=True),
        "dimensions": Text(("measured", "exact")),
        "linear_swelling": Limits(-0.2, 1.0, above=_PERCENT),
        "u_linear_swelling": Limits(0.0, 0.5, above=_PERCENT),
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
    "lens.gauge": {"u_scale_relative": Limits(0.0, 0.1, required=True, above=_PERCENT)},
}
