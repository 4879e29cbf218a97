"""Small sheets for the tests, invented; quick to compute."""

INDEX_ALONE = """
provenance = "invented for the tests"
date = {day}

[specimen]
material = "{material}"
lot = "{lot}"
state = "hydrated"

[instrument]
name = "{instrument}"
kind = "v-block"
resolution = 0.00001
u_calibration = 0.00002

[[reading]]
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.1
basis = "air"
n = {n}

[temperature]
dn_dt_per_K = -0.0002
u_dn_dt_per_K = 0.00002
state = "hydrated"
"""

WATER = """
[calibration]
date = {day}

[[calibration.reference]]
name = "water"
kind = "water"
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.02
n = {water}
"""


def sheet(day="2026-11-20", material="copolymer A", lot="A-01", instrument="bench two", n=(1.4901, 1.4902, 1.4903), water=None):
    """The text of a sheet that goes to the index in use, with a water check if readings of water are given."""
    text = INDEX_ALONE.format(day=day, material=material, lot=lot, instrument=instrument, n=list(n))
    return text + (WATER.format(day=day, water=list(water)) if water else "")
