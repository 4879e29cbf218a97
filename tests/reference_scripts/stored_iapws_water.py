"""Water's index by iapws 1.5.5, its own density (IAPWS-95, 101325 Pa) and R9-97 at the line's wavelength in vacuum, printed as TOML.

The wavelength in vacuum is the one in air times 1.00028, the index of standard air (15 degC, 101325 Pa) in the visible: lines are named in it.
"""

from importlib.metadata import version

from iapws import IAPWS95
from iapws._iapws import _Refractive

HEADER = f'''subject = "Water's index at lines named in air: stored results of iapws"

[sources.iapws]
authors = "jjgomera"
title = "iapws"
version = "{version("iapws")}"
seen = "read"
kind = "reference library"
script = "tests/reference_scripts/stored_iapws_water.py"'''

REASON = "5e-7 of rounding and 2.4e-7 of density (IAPWS-95 against Tanaka); no conversion of the wavelength at all would be 4e-6 or more"

print(HEADER)
for wavelength_nm in (435.83, 546.07, 589.29, 656.27):
    for temperature_degC in (5.0, 20.0, 35.0):
        kelvin = temperature_degC + 273.15
        density = IAPWS95(T=kelvin, P=0.101325).rho
        n = float(_Refractive(density, kelvin, wavelength_nm * 1.00028 / 1000))
        print(f'''
[[case]]
name = "iapws_water_{wavelength_nm:.0f}_nm_{temperature_degC:.0f}_degC"
source = "iapws"
where = "_Refractive at the density of IAPWS95"
function = "water_index"
inputs = {{ wavelength_nm = {wavelength_nm}, temperature_degC = {temperature_degC}, relative_to = "vacuum" }}
expected = {{ n = "{n:.6f}" }}
tolerance = {{ n = 7.5e-7 }}
tolerance_reason = "{REASON}"''')
