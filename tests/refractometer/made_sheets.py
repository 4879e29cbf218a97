"""Sheets made for the tests, and what is asked of them; all readings invented."""

import copy

from lenscalc.chain import follow_index
from lenscalc.refractometer import sheet_from_data

POOLED = {"u_repeatability": 1e-4, "dof_repeatability": 20}
LENS = {
    "labelled_power_D": 20.0,
    "optic_diameter_mm": 6.0,
    **{
        name: {"value": value, "u": 0.02, "state": "hydrated", "temperature_degC": 35.0}
        for name, value in (("front_radius_mm", 15.0), ("back_radius_mm", -15.0), ("center_thickness_mm", 0.9))
    },
}


def reading(n, nm=546.07, T=35.0, **more):
    n = n if isinstance(n, list) else [n]
    return {"wavelength_nm": nm, "temperature_degC": T, "u_temperature_degC": 0.1, "basis": "air", "n": n, **more}


def reference(n, nm=546.07, T=35.0, **more):
    return {k: v for k, v in reading(n, nm, T, **POOLED, **more).items() if k != "basis"}


def sheet(*readings, **tables):
    """A sheet that needs no step (546.07 nm, 35 °C, hydrated), with tables put in, merged into the two that are always there, or (None) taken out."""
    data = {
        "provenance": "invented for the tests",
        "specimen": {"material": "copolymer A", "state": "hydrated", "u_specimen_to_lens": 0.0},
        "instrument": {"kind": "v-block", "resolution": 1e-5, "u_calibration": 0.0, "u_operator": 0.0},
        "reading": list(readings) or [reading([1.4902, 1.4903])],
        "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"},
    }
    for name, table in tables.items():
        if table is None:
            del data[name]
        else:
            data[name] = {**data[name], **table} if name in ("specimen", "instrument") else table
    return copy.deepcopy(data)


def index(data):
    return follow_index(sheet_from_data(data))


def value(data):
    return float(index(data).index.n.value[0])


def part(followed, begin):
    found = [abs(float(p[0])) for s, p in followed.index.n.parts.items() if s.name.startswith(begin)]
    assert len(found) == 1, [s.name for s in followed.index.n.parts]
    return found[0]


def dof(followed, begin):
    return next(s.dof for s in followed.index.n.parts if s.name.startswith(begin))


AT_D = {"dispersion": {"abbe_d": 58.0, "u_abbe_d": 0.0}}


def at_d(n, *references, **calibration):
    data = sheet(reading(n, 589.29, 20.0, **POOLED), calibration={"reference": list(references), **calibration}, **AT_D)
    del data["instrument"]["u_calibration"]
    return data


CERTIFIED = {"name": "block", "kind": "certified", "n_certified": 1.5162, "u_certified": 3e-5, "certified_temperature_degC": 20.0}
PMMA = {
    nm: (1 + sum(b * x / (x - c) for b, c in ((0.99654, 0.00787), (0.18964, 0.02191), (0.00411, 3.85727)))) ** 0.5
    for nm in (435.8, 486.13, 546.07, 589.29, 656.27)
    for x in [(nm / 1000) ** 2]
}  # Szczurowski 2013, as the CC0 database prints it
CONTACT = {"kind": "prism contact", "n_contact_liquid": 1.66}
