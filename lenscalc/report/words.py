"""What each key of a reading sheet is called in print, with its unit: table by table, in the order of the print."""

from __future__ import annotations

from typing import Final

Words = dict[str, tuple[str, str]]

_READ: Final[Words] = {
    "wavelength_nm": ("wavelength", "nm"),
    "temperature_degC": ("temperature", "°C"),
    "basis": ("relative to", ""),
    "n": ("readings, as shown", ""),
    "u_repeatability": ("pooled u of one mounting", ""),
    "dof_repeatability": ("its degrees of freedom", ""),
}

_DIMENSION: Final[Words] = {
    "value": ("as measured", "mm"),
    "u_curvature_per_mm": ("u of the curvature", "1/mm"),
    "u_sag_mm": ("u of the sag", "mm"),
    "state": ("state", ""),
    "temperature_degC": ("at", "°C"),
    "instrument": ("by", ""),
}

WORDS: Final[dict[str, Words]] = {
    "": {"title": ("title", ""), "provenance": ("where the numbers come from", ""), "date": ("date", "")},
    "specimen": {
        "material": ("material", ""),
        "lot": ("lot", ""),
        "name": ("specimen", ""),
        "state": ("read", ""),
        "preparation": ("preparation", ""),
        "equilibration_liquid": ("equilibrated in", ""),
        "equilibration_h": ("equilibrated for", "h"),
        "u_specimen_to_lens": ("u from specimen to lens", ""),
    },
    "instrument": {
        "name": ("name", ""),
        "kind": ("kind", ""),
        "resolution": ("resolution", ""),
        "u_calibration": ("u of its calibration", ""),
        "u_operator": ("u between operators", ""),
        "n_contact_liquid": ("index of the contact liquid", ""),
        "no_contact_liquid_because": ("no contact liquid, because", ""),
        "n_prism": ("index of the prism", ""),
        "prism_apex_deg": ("apex of the prism", "°"),
        "angle_measured_inside": ("angle measured inside", ""),
        "scale_wavelength_nm": ("scale made for", "nm"),
        "white_light_compensated": ("compensated for white light", ""),
        "temperature_compensation": ("temperature compensation", ""),
        "compensation_per_K": ("its slope", "1/K"),
        "compensation_to_degC": ("compensated to", "°C"),
    },
    "instrument.prism": {"wavelength_nm": ("wavelength", "nm"), "n_prism": ("index of the prism", "")},
    "calibration": {
        "date": ("date", ""),
        "interval_days": ("interval of the lab", "days"),
        "model": ("model", ""),
        "within_K": ("serves within", "K"),
        "check_before": ("check piece before", ""),
        "check_after": ("check piece after", ""),
    },
    "calibration.reference": {
        "name": ("reference", ""),
        "kind": ("kind", ""),
        **{k: v for k, v in _READ.items() if k != "basis"},
        "mass_fraction": ("mass fraction", ""),
        "n_certified": ("certified index", ""),
        "certified_temperature_degC": ("certified at", "°C"),
        "certified_basis": ("certified relative to", ""),
        "abbe_d": ("Abbe number", ""),
        "dn_dt_per_K": ("change of index with temperature", "1/K"),
    },
    "reading": {
        **_READ,
        "direction": ("direction", ""),
        "u_session": ("u between sessions", ""),
        "dof_session": ("degrees of freedom of the sessions", ""),
        "session": ("session", ""),
        "operator": ("operator", ""),
        "mounting": ("mounting", ""),
        "minutes_after_mounting": ("minutes after mounting", ""),
    },
    "dispersion": {"abbe_d": ("Abbe number V_d", ""), "abbe_from": ("Abbe number", ""), "form": ("form fitted", ""), "terms": ("its terms", "")},
    "temperature": {
        "dn_dt_per_K": ("change of index with temperature", "1/K"),
        "volume_expansion_per_K": ("volume expansion", "1/K"),
        "state": ("of the polymer", ""),
        "glass_transition_degC": ("glass transition", "°C"),
        "across_glass_transition": ("carried across it all the same", ""),
    },
    "hydration": {
        "hydration_shift": ("shift on hydration", ""),
        "water_mass_fraction_wet": ("water content, wet basis", ""),
        "mass_wet_g": ("mass wet", "g"),
        "mass_dry_g": ("mass dry", "g"),
        "u_mass_g": ("u of each mass", "g"),
        "dry_density_kg_per_m3": ("density of the dry polymer", "kg/m³"),
    },
    "medium": {
        "name": ("medium", ""),
        "n_measured_medium": ("its index", ""),
        **_READ,
        "same_instrument": ("read on the same instrument", ""),
        "abbe_d": ("its Abbe number V_d", ""),
        "dn_dt_per_K": ("its change of index with temperature", "1/K"),
    },
    "lens": {
        "labelled_power_D": ("labelled power", "D"),
        "tolerance_D": ("tolerance", "D"),
        "tolerance_from": ("tolerance from", ""),
        "required_probability": ("required probability", ""),
        "optic_diameter_mm": ("optic diameter", "mm"),
        "dimensions": ("dimensions", ""),
        "linear_swelling": ("linear swelling", ""),
        "linear_expansion_per_K": ("linear thermal expansion", "1/K"),
    },
    "lens.front_radius_mm": _DIMENSION,
    "lens.back_radius_mm": _DIMENSION,
    "lens.center_thickness_mm": {k: v for k, v in _DIMENSION.items() if not k.startswith("u_")},
    "lens.gauge": {"u_scale_relative": ("relative u of its scale", "")},
}
