"""Ends of a range that belong to it, one coefficient alone, amines against measured liquids, and which of several values is named."""

from dataclasses import FrozenInstanceError, replace

import pytest

from lenscalc import InputError
from lenscalc.material import Dispersion, molar_refraction_from_increments, molar_refraction_index, polymer, water_index
from lenscalc.material.polymer_form import FORMS


# n_D and density at 20 °C from a handbook of chemistry (from memory, to be confirmed): R = M/ρ·(n² − 1)/(n² + 2)
@pytest.mark.parametrize(
    ("increments", "n", "density", "mass"),
    [
        ({"C": 3, "H": 9, "N primary amine": 1}, 1.3870, 0.7173, 59.11),  # propylamine
        ({"C": 4, "H": 11, "N secondary amine": 1}, 1.3864, 0.7056, 73.14),  # diethylamine
        ({"C": 6, "H": 15, "N tertiary amine": 1}, 1.4010, 0.7275, 101.19),  # triethylamine
    ],
)
def test_amines_are_those_of_liquids(increments, n, density, mass):
    assert molar_refraction_from_increments(increments) == pytest.approx(mass / density * (n * n - 1) / (n * n + 2), abs=0.15)


def test_one_coefficient_of_cauchy_is_a_constant():
    assert FORMS["cauchy"].index(546.07, (1.5,)) == 1.5


def test_an_index_of_just_3_is_one():
    """R·ρ/(1000·M) = 8·1000/(1000·11) = 8/11 = (9 − 1)/(9 + 2)."""
    assert molar_refraction_index(8.0, molar_mass_g_per_mol=11.0, density_kg_per_m3=1000.0).n == pytest.approx(3.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(
    ("given", "beyond", "told"),
    [
        ((1.0, 100.0, 1000.0), (0.999, 100.0, 1000.0), "molar_refraction_cm3_per_mol = 0.999 cm³/mol: must be 1 to 1000"),
        ((1000.0, 1e4, 1000.0), (1000.1, 1e4, 1000.0), "molar_refraction_cm3_per_mol = 1000.1 cm³/mol: must be 1 to 1000"),
        ((1.0, 1.0, 500.0), (1.0, 0.999, 500.0), "molar_mass_g_per_mol = 0.999 g/mol: must be 1 to 100000"),
        ((1000.0, 1e5, 1000.0), (1000.0, 100001.0, 1000.0), "molar_mass_g_per_mol = 100001 g/mol: must be 1 to 100000"),
        ((20.0, 100.0, 500.0), (20.0, 100.0, 499.9), "density_kg_per_m3 = 499.9 kg/m³: must be 500 to 5000"),
        ((10.0, 100.0, 5000.0), (10.0, 100.0, 5000.1), "density_kg_per_m3 = 5000.1 kg/m³: must be 500 to 5000"),
    ],
)
def test_the_limits_of_a_repeat_unit_belong_to_it(given, beyond, told):
    """x = R·ρ/M and n² = (1 + 2x)/(1 − x)."""
    R, M, density = given
    x = R * density / (1000.0 * M)
    n = molar_refraction_index(R, molar_mass_g_per_mol=M, density_kg_per_m3=density).n
    assert n == pytest.approx(((1 + 2 * x) / (1 - x)) ** 0.5, rel=1e-15, abs=0.0)
    R, M, density = beyond
    with pytest.raises(InputError, match=told):
        molar_refraction_index(R, molar_mass_g_per_mol=M, density_kg_per_m3=density)


def test_the_first_of_several_values_is_named():
    with pytest.raises(InputError, match="wavelength_nm = 150 nm"):
        water_index([500.0, 150.0, 1200.0], 20.0)


def test_an_index_of_just_3_is_one_of_a_dispersion_too():
    assert float(Dispersion.from_abbe(3.0, 30.0).n(587.5618)) == 3.0


def test_five_lines_within_ten_nanometres_do_not_determine_five_terms():
    """Of the form of water, which would stand beside it, the singular values of columns of length 1 end with 2.8e-7 and 6e-12 (numpy)."""
    nm = [580.0, 583.0, 586.0, 588.0, 590.5]
    with pytest.raises(InputError, match="do not determine the 5 parameters"):
        Dispersion.fit(nm, [1.4912, 1.4911, 1.4910, 1.4909, 1.4908], form="cauchy", terms=5)


def test_a_dispersion_and_a_polymer_are_themselves_and_stay_as_they_are():
    dispersion, published = Dispersion.from_abbe(1.49, 58.0), polymer("pmma_beadie_2015")
    for held in (dispersion, dispersion._beside, published, published.source):
        assert replace(held) != held
        for name in held.__dataclass_fields__:
            with pytest.raises(FrozenInstanceError):
                setattr(held, name, None)
