"""A wrong unit is refused where it would give an index of air that looks like one; monomers that are alike are told so."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.material import air_index, mass_fraction_for_index, vacuum_to_air


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((589.3, 20.0, 101.325), r"pressure_Pa = 101\.325 Pa: .* give the pressure in Pa"),
        ((0.5893, 20.0), r"wavelength_nm = 0\.5893 nm: .* give the wavelength in nm"),
        ((589.3, 293.15), r"temperature_degC = 293\.15 °C"),
        ((np.nan, 20.0), "wavelength_nm = nan"),
        (("D", 20.0), "wavelength_nm = 'D' is not a number"),
    ],
)
def test_a_wrong_unit_of_air_is_refused(given, told):
    with pytest.raises(InputError, match=told):
        air_index(*given)


@pytest.mark.parametrize(
    ("place", "limit", "beyond", "told"),
    [
        (0, 200, 199.9, "from 200 to 2000 nm"),
        (0, 2000, 2000.1, "from 200 to 2000 nm"),
        (1, -40, -40.1, "from -40 to 100 °C"),
        (1, 100, 100.1, "from -40 to 100 °C"),
        (2, 1e4, 9999, "from 10000 to 200000 Pa"),
        (2, 2e5, 200001, "from 10000 to 200000 Pa"),
    ],
)
def test_the_limits_of_air_belong_to_it(place, limit, beyond, told):
    given = [589.3, 20.0, 101325.0]
    given[place] = limit
    assert 1.0 < air_index(*given) < 1.001
    given[place] = beyond
    with pytest.raises(InputError, match=told):
        air_index(*given)


def test_pressures_may_be_a_list():
    assert air_index(589.3, 20.0, [101325.0, 90000.0]).tolist() == [float(air_index(589.3, 20.0, p)) for p in (101325.0, 90000.0)]
    with pytest.raises(InputError, match="wavelength_nm"):
        vacuum_to_air(1.49, 0.5893, 20.0)


def test_two_monomers_of_one_index_give_no_composition():
    with pytest.raises(InputError, match=r"n = 1\.49 of both monomers: every composition"):
        mass_fraction_for_index(1.49, n=[1.49, 1.49], density_kg_per_m3=[1190.0, 1100.0])
