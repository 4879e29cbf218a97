"""Water's index by iapws 1.5.5, its own density (IAPWS-95, 101325 Pa) and R9-97 at the line's wavelength in vacuum, printed as TOML.

Lines are named in standard air (dry, 15 degC, 101325 Pa, 450 ppm CO2): the wavelength in vacuum is the one in air times the index of that air.
Both that index and the one of dry air at the specimen's temperature, which turns the absolute index into the one relative to air, are Ciddor's.
"""

from heads import head
from iapws import IAPWS95
from iapws._iapws import _Refractive

REASON = "5e-7 of rounding and 2.4e-7 of density (IAPWS-95 against Tanaka); no conversion of the wavelength at all would be 4e-6 or more"
CASES = [
    *((nm, degC) for nm in (435.83, 656.27) for degC in (5.0, 20.0, 35.0)),
    *((nm, degC) for nm in (546.07, 587.56, 589.29) for degC in (5.0, 15.0, 20.0, 25.0, 30.0, 35.0, 37.0)),
]


def compressibility(kelvin, pressure_Pa):
    """Dry air: the terms of Ciddor's equation 12 that are left without water vapour."""
    t = kelvin - 273.15
    p_T = pressure_Pa / kelvin
    return 1 - p_T * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t) + p_T * p_T * 1.83e-11


def ciddor(wavelength_nm, degC, pressure_Pa=101325.0):
    """Dry air with 450 ppm CO2: P. E. Ciddor, Appl. Opt. 35 (1996) 1566; constants as in refractiveindex.info-scripts, "Ciddor 1996 - air.py"."""
    s2 = (1000 / wavelength_nm) ** 2
    standard = 1e-8 * (5792105 / (238.0185 - s2) + 167917 / (57.362 - s2))
    density = pressure_Pa / (compressibility(degC + 273.15, pressure_Pa) * (degC + 273.15))
    return 1 + standard * density / (101325 / (compressibility(288.15, 101325) * 288.15))


print(head(__file__, "iapws", "Water's index at lines named in air: stored results of iapws"))
for wavelength_nm, temperature_degC in CASES:
    kelvin = temperature_degC + 273.15
    density = IAPWS95(T=kelvin, P=0.101325).rho
    absolute = float(_Refractive(density, kelvin, wavelength_nm * ciddor(wavelength_nm, 15.0) / 1000))
    for basis, n in (("vacuum", absolute), ("air", absolute / ciddor(wavelength_nm, temperature_degC))):
        print(f'''
[[case]]
name = "iapws_water_{wavelength_nm:.2f}_nm_{temperature_degC:.0f}_degC_{basis}"
source = "iapws"
where = "_Refractive at the density of IAPWS95{", divided by Ciddor's index of air" if basis == "air" else ""}"
function = "water_index"
inputs = {{ wavelength_nm = {wavelength_nm}, temperature_degC = {temperature_degC}, relative_to = "{basis}" }}
expected = {{ n = "{n:.6f}" }}
tolerance = {{ n = 7.5e-7 }}
tolerance_reason = "{REASON}"''')
