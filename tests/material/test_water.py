"""Water on both bases against iapws, and air against an equation of its own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95
from iapws._iapws import _Refractive

from lenscalc import InputError
from lenscalc.material import air_index, sellmeier_index, u_water_index, water_density, water_index
from lenscalc.material.water import water_index_at_density

LINES = (546.07, 587.56, 589.29)


def compressibility(kelvin, pressure_Pa):
    """Dry air in Ciddor 1996: the terms of the compressibility that are left without water vapour."""
    t, p_T = kelvin - 273.15, pressure_Pa / kelvin
    return 1 - p_T * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t) + p_T * p_T * 1.83e-11


def ciddor(vacuum_nm, degC, pressure_Pa=101325.0):
    """Dry air, 450 ppm CO2: Ciddor, Appl. Opt. 35 (1996) 1566; constants as in refractiveindex.info-scripts (open), "Ciddor 1996 - air.py"."""
    s2 = (1000 / vacuum_nm) ** 2
    standard = 1e-8 * (5792105 / (238.0185 - s2) + 167917 / (57.362 - s2))
    density = pressure_Pa / (compressibility(degC + 273.15, pressure_Pa) * (degC + 273.15))
    return 1 + standard * density / (101325 / (compressibility(288.15, 101325) * 288.15))


def absolute_by_iapws(nm, degC):
    """iapws 1.5.5: IAPWS-95 at 101325 Pa, R9-97 at the wavelength in vacuum of a line named in standard air."""
    kelvin = degC + 273.15
    return float(_Refractive(IAPWS95(T=kelvin, P=0.101325).rho, kelvin, nm * ciddor(nm, 15.0) / 1000))


@pytest.mark.parametrize("degC", [15.0, 20.0, 25.0, 30.0, 35.0, 37.0])
@pytest.mark.parametrize("nm", LINES)
def test_water_is_that_of_iapws_on_both_bases(nm, degC):
    n = absolute_by_iapws(nm, degC)
    assert water_index(nm, degC, relative_to="vacuum") == pytest.approx(n, abs=1e-6)
    assert water_index(nm, degC, relative_to="air") == pytest.approx(n / ciddor(nm, degC), abs=1e-6)


@given(st.floats(404.0, 707.0), st.floats(5.0, 40.0))
def test_water_is_that_of_iapws_anywhere_in_the_visible(nm, degC):
    n = absolute_by_iapws(nm, degC)
    assert water_index(nm, degC, relative_to="vacuum") == pytest.approx(n, abs=1e-6)
    assert water_index(nm, degC) == pytest.approx(n / ciddor(nm, degC), abs=1e-6)


@pytest.mark.parametrize("nm", LINES)
def test_a_wavelength_that_is_not_converted_costs_5e_6(nm):
    kelvin = 293.15
    as_given = float(_Refractive(IAPWS95(T=kelvin, P=0.101325).rho, kelvin, nm / 1000))
    assert as_given - water_index(nm, 20.0, relative_to="vacuum") == pytest.approx(5e-6, abs=1.1e-6)


@given(st.floats(0.0, 38.0))
def test_density_is_that_of_iapws_95(degC):
    """Tanaka's table is 0.0007 kg/m³ below it at 35 °C and 0.0011 at 40 °C: 2.5e-7 and 3.5e-7 in the index."""
    assert water_density(degC) == pytest.approx(IAPWS95(T=degC + 273.15, P=0.101325).rho, abs=0.001)


def test_the_formula_of_the_release_is_that_of_iapws():
    for nm in (404.66, 486.13, 546.07, 589.29, 656.27):
        assert water_index_at_density(nm, 308.15, 994.0333) == pytest.approx(_Refractive(994.0333, 308.15, nm / 1000.0), abs=1e-9)


@given(st.floats(300.0, 1100.0), st.floats(0.0, 40.0), st.floats(9e4, 1.1e5))
def test_air_is_that_of_another_equation(nm, degC, pressure_Pa):
    """Edlén as updated by Birch & Downs against Ciddor; both claim about 1e-8."""
    vacuum_nm = nm * ciddor(nm, 15.0)
    assert air_index(nm, degC, pressure_Pa) == pytest.approx(ciddor(vacuum_nm, degC, pressure_Pa), abs=2.5e-8)


# Daimon & Masumura, Appl. Opt. 46 (2007) 3811, °C → (b, c in µm²), as in refractiveindex.info (CC0); absolute, wavelength in vacuum
DAIMON = {
    20.0: ((0.5684027565, 0.1726177391, 0.02086189578, 0.1130748688), (5.101829712e-3, 1.821153936e-2, 2.620722293e-2, 10.69792721)),
    21.5: ((0.5689093832, 0.1719708856, 0.02062501582, 0.1123965424), (5.110301794e-3, 1.825180155e-2, 2.624158904e-2, 10.67505178)),
    24.0: ((0.5666959820, 0.1731900098, 0.02095951857, 0.1125228406), (5.084151894e-3, 1.818488474e-2, 2.625439472e-2, 10.73842352)),
}


@pytest.mark.parametrize("degC", DAIMON)
@pytest.mark.parametrize("nm", [435.83, 486.13, *LINES, 656.27])
def test_water_against_an_independent_measurement(nm, degC):
    """Within 2e-6; their fit at 19.0 °C lies 2.6e-6 higher at 486 nm (0.03 K), and at 1000 nm they are 3 to 4e-5 higher."""
    n = sellmeier_index(nm * ciddor(nm, 15.0), *DAIMON[degC])
    assert water_index(nm, degC, relative_to="vacuum") == pytest.approx(n, abs=2e-6)


@given(st.floats(300.0, 1000.0), st.floats(5.0, 39.0))
def test_water_falls_with_wavelength_and_with_temperature(nm, degC):
    assert water_index(nm + 1.0, degC) < water_index(nm, degC)
    assert water_index(nm, degC + 0.5) < water_index(nm, degC)


def test_the_uncertainty_of_the_release_holds_in_the_visible_only():
    assert u_water_index(546.07, 35.0) == 1.5e-5
    assert u_water_index([546.07, 589.29], 20.0).shape == (2,)
    for case in ((1000.0, 20.0), (350.0, 20.0), (546.07, 41.0), (546.07, np.nan)):
        with pytest.raises(InputError, match="the uncertainty of water's index is known here"):
            u_water_index(*case)


def test_what_is_no_number_is_named():
    with pytest.raises(InputError, match=r"wavelength_nm = 'green' is not a number: water's index is known here from 200 to 1100 nm"):
        water_index("green", 20.0)
    with pytest.raises(InputError, match=r"wavelength_nm = 0.546 nm: .* give the wavelength in nm"):
        water_index(0.546, 20.0)
