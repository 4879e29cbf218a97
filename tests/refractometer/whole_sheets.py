"""Sheets that between them hold every step from a reading to a lens. All data invented for the tests."""

import copy

POOLED = {"u_repeatability": 1e-4, "dof_repeatability": 20}
U_ONE, U_TWO, U_THREE = (1e-4 / count**0.5 for count in (1, 2, 3))
DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")
N = ("reading", 0, "n")


def lens(state="hydrated", temperature=35.0):
    as_measured = {"u": 0.02, "state": state, "temperature_degC": temperature}
    values = dict(zip(DIMENSIONS, (15.0, -16.0, 0.9), strict=True))
    block = {"labelled_power_D": 20.5, "optic_diameter_mm": 6.0, **{name: {"value": v, **as_measured} for name, v in values.items()}}
    if temperature != 35.0:
        block |= {"linear_expansion_per_K": 7e-5, "u_linear_expansion_per_K": 2e-5}
    return block


def reading(n, nm=589.29, T=23.0, **more):
    n = n if isinstance(n, list) else [n]
    return {"wavelength_nm": nm, "temperature_degC": T, "u_temperature_degC": 0.2, "basis": "air", "n": n, **POOLED, **more}


def sheet(*readings, **tables):
    data = {
        "provenance": "invented for the tests",
        "specimen": {"material": "copolymer A", "state": "hydrated", "u_specimen_to_lens": 1e-4},
        "instrument": {
            "kind": "prism contact", "resolution": 1e-4, "u_calibration": 2e-4, "u_operator": 1e-4, "n_contact_liquid": 1.66, "n_prism": 1.75,
        },
        "reading": list(readings) or [reading([1.4902, 1.4904, 1.4903], u_wavelength_nm=1.0)],
        "dispersion": {"abbe_d": 52.0, "u_abbe_d": 2.0},
        "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"},
        "lens": lens(),
    }  # fmt: skip
    for name, table in tables.items():
        merged = {**data.get(name, {}), **table} if name in ("specimen", "instrument") and table else table
        if table is None:
            del data[name]
        else:
            data[name] = merged
    return data


WATER = {"water_mass_fraction_wet": 0.25, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
WEIGHED = {"mass_wet_g": 0.4, "mass_dry_g": 0.3, "u_mass_g": 1e-3, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
REFERENCES = [
    {k: v for k, v in reading(n, T=22.0, name=name, **about).items() if k != "basis"}
    for n, name, about in (
        ([1.3330, 1.3331], "water", {"kind": "water"}),
        ([1.5163, 1.5164], "block", {"kind": "certified", "n_certified": 1.5162, "u_certified": 3e-5, "certified_temperature_degC": 20.0,
                                     "certified_basis": "air", "dn_dt_per_K": -1e-5, "u_dn_dt_per_K": 1e-6}),
        ([1.3998, 1.3999], "sugar", {"kind": "sucrose", "mass_fraction": 0.4, "u_mass_fraction": 2e-4}),
    )
]  # fmt: skip
MEDIUM = {**reading([1.3345, 1.3346]), "same_instrument": True, "abbe_d": 55.0, "u_abbe_d": 1.0, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
STATED = {"n_measured_medium": 1.334, "u_n_measured_medium": 1e-4, "wavelength_nm": 546.07, "temperature_degC": 35.0, "basis": "air"}
COMPENSATED = {"temperature_compensation": "other", "compensation_per_K": -2e-4, "u_compensation_per_K": 3e-5, "compensation_to_degC": 20.0}
PRISM = [{"wavelength_nm": 589.29, "n_prism": 1.75, "u_n_prism": 1e-4}, {"wavelength_nm": 486.13, "n_prism": 1.765, "u_n_prism": 1e-4}]
LINES = {486.13: 1.4965, 587.56: 1.4906, 656.27: 1.4881}  # near PMMA


def calibrated(model, **more):
    data = sheet(calibration={"model": model, "within_K": 5.0, "reference": copy.deepcopy(REFERENCES)}, **more)
    del data["instrument"]["u_calibration"]
    return data


SHEETS = {
    "plain": sheet(medium=STATED),
    "at 35": sheet(reading([1.4902, 1.4904, 1.4903], T=35.0)),
    "expansion": sheet(temperature={"volume_expansion_per_K": 3e-4, "u_volume_expansion_per_K": 3e-5, "state": "hydrated"}),
    "dry": sheet(specimen={"state": "dry"}, hydration=WATER, lens=lens("dry", 23.0)),
    "cut dry": sheet(hydration=WATER, lens=lens("dry")),
    "shift": sheet(specimen={"state": "dry"}, hydration={"hydration_shift": -0.04, "u_hydration_shift": 1e-3},
                   lens={**lens("dry"), "linear_swelling": 0.09, "u_linear_swelling": 0.01}),
    "offset": calibrated("offset"),
    "slope": calibrated("offset and slope"),
    "medium": calibrated("offset and slope", medium=MEDIUM),
    "compensated": sheet(instrument=COMPENSATED),
    "compensated, calibrated": calibrated("offset", instrument=COMPENSATED),
    "prism": sheet(reading(1.4902, nm=486.13), instrument={"scale_wavelength_nm": 589.29, "prism_apex_deg": 60.0, "prism": PRISM}),
    "hemisphere": sheet(reading(1.4902, nm=486.13), instrument={"scale_wavelength_nm": 589.29, "angle_measured_inside": True, "prism": PRISM}),
    "two lines": sheet(*(reading(n, nm=nm, u_wavelength_nm=1.0) for nm, n in list(LINES.items())[:2]), dispersion=None),
    "three lines": sheet(*(reading(n, nm=nm, u_wavelength_nm=1.0) for nm, n in LINES.items()), dispersion={"form": "cauchy"}),
    "temperatures": sheet(*(reading(1.4906 - 2e-4 * (T - 20.0), T=T) for T in (20.0, 25.0, 30.0)), temperature=None),
    "directions": sheet(*(reading(n, direction=d) for d, n in zip("xyz", (1.4902, 1.4905, 1.4908), strict=True))),
}  # fmt: skip
