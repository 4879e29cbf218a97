"""Ends of a range that belong to it, one coefficient alone, amines against measured liquids, and which of several values is named."""

from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.material import (
    Dispersion,
    aqueous_index,
    by_abbe_number,
    mass_fraction_for_index,
    molar_refraction_from_increments,
    molar_refraction_index,
    polymer,
    saline_index,
    schott_index,
    sellmeier_index,
    sucrose_index,
    sucrose_mass_fraction,
    u_water_index,
    unmix,
    water_density,
    water_index,
)
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
    for held in (dispersion, dispersion._beside, published, published.source, dispersion._form):
        assert (replace(held) == held) is (held == dispersion._form)  # a form is its name and its size
        for name in held.__dataclass_fields__:
            with pytest.raises(FrozenInstanceError):
                setattr(held, name, None)


@pytest.mark.parametrize(
    ("call", "ends", "beyond", "told"),
    [
        (lambda x: water_index(x, 20.0), (200, 1100), (199.9, 1100.1), "wavelength_nm = .*from 200 to 1100 nm"),
        (lambda x: water_index(550.0, x), (0, 40), (-0.01, 40.01), "temperature_degC = .*from 0 to 40 °C"),
        (water_density, (0, 40), (-0.01, 40.01), "temperature_degC = .*from 0 to 40 °C"),
        (lambda x: u_water_index(550.0, x), (0, 40), (-0.01, 40.01), "temperature_degC = .*from 0 to 40 °C"),
        (lambda x: aqueous_index(x).n, (400, 700), (399.9, 700.1), "wavelength_nm = .*from 400 to 700 nm"),
        (lambda x: aqueous_index(550.0, x).n, (1.32, 1.36), (1.3199, 1.3601), "n_e = .*from 1.32 to 1.36$"),
        (lambda x: saline_index(x, 550.0, 20.0), (0, 100), (-0.01, 100.01), "nacl_g_per_L = .*from 0 to 100 g/L"),
        (lambda x: saline_index(9.0, x, 20.0), (400, 700), (399.9, 700.1), "wavelength_nm = .*from 400 to 700 nm"),
        (lambda x: saline_index(9.0, 550.0, x), (0, 40), (-0.01, 40.01), "temperature_degC = .*from 0 to 40 °C"),
        (sucrose_index, (0, 0.85), (-1e-4, 0.8501), "mass_fraction = .*from 0 to 0.85"),
        (lambda x: sucrose_index(0.1, x), (10, 30), (9.99, 30.01), "temperature_degC = .*from 10 to 30 °C"),
        (lambda x: sucrose_mass_fraction(1.35, x), (10, 30), (9.99, 30.01), "temperature_degC = .*from 10 to 30 °C"),
        (lambda x: by_abbe_number(1.49, 589.3, x, 546.07).n, (5, 150), (4.99, 150.1), "abbe_d = .*must be 5 to 150"),
    ],
)  # fmt: skip
def test_the_ends_of_what_is_known_belong_to_it(call, ends, beyond, told):
    for x in ends:
        assert call(x) > 0 or x == 0
    for x in beyond:
        with pytest.raises(InputError, match=told):
            call(x)
        with pytest.raises(InputError, match=f" = {x:g}"):  # the first of several
            call([ends[0], x, 2.0 * beyond[1], ends[1]])


@pytest.mark.parametrize(("n", "told"), [(1.2999, "lies well inside from 1.3 to 1.6"), (1.6001, "lies well inside from 1.3 to 1.6"),
                                          (1.3, "lies outside the sucrose scale"), (1.6, "lies outside the sucrose scale")])  # fmt: skip
def test_an_index_far_from_sugar_is_told_by_wider_limits(n, told):
    with pytest.raises(InputError, match=f"n = {n:g}.*{told}"):
        sucrose_mass_fraction(n)


@pytest.mark.parametrize(("apart", "one"), [(0.0625, False), (0.03125, True)])
def test_two_wavelengths_are_one_within_a_twentieth_of_a_nanometre(apart, one):
    """5e-5 µm apart of 1.5 + 0.005/L² is 2e-6 of n, all the same."""
    nm = [600.0, 500.0, 500.0 + apart, 600.0 + apart]
    n = [1.5 + 5000.0 / x**2 for x in nm]
    if one:
        with pytest.raises(InputError, match=r"^wavelength_nm = 500 nm appears twice") as refused:
            Dispersion.fit(nm, n)
        assert refused.value.value == 500.0
    else:
        assert float(Dispersion.fit(nm, n).n(550.0)) == pytest.approx(1.5 + 5000.0 / 550.0**2, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("call", [
    lambda: sellmeier_index(550.0, [1.2, 0.1], [0.01]), lambda: sellmeier_index(550.0, [1.2], [0.01, 0.02]),
    lambda: schott_index(550.0, [2.2], [0, 2]), lambda: schott_index(550.0, [2.2, 0.1], [0]),
])  # fmt: skip
def test_coefficients_come_in_pairs(call):
    with pytest.raises(ValueError, match="argument 2 is"):
        call()


def test_a_composition_is_of_two_monomers_and_the_first_index_that_cannot_be_reached_is_named():
    with pytest.raises(InputError, match="n has 1 component: a composition follows from one index only for 2 monomers"):
        mass_fraction_for_index(1.5, n=[1.5], density_kg_per_m3=[1100.0])
    with pytest.raises(InputError, match=r"n_wanted = 1\.7 cannot be reached: these two monomers reach 1\.5 to 1\.6") as refused:
        mass_fraction_for_index([1.55, 1.7, 1.2], n=[[1.6, 1.6, 1.4], [1.5, 1.5, 1.3]], density_kg_per_m3=[1050.0, 1188.0])
    assert refused.value.limits == (1.5, 1.6)
    with pytest.raises(InputError, match=r"n = 1\.5 of both monomers"):
        mass_fraction_for_index(1.5, n=[[1.6, 1.3, 1.5, 1.4], [1.4, 1.45, 1.5, 1.4]], density_kg_per_m3=[1050.0, 1188.0])
    ends = mass_fraction_for_index([1.6, 1.5], n=[1.6, 1.5], density_kg_per_m3=[1050.0, 1188.0])
    assert ends.mass_fraction_first.tolist() == [1.0, 0.0]
    assert ends.mass_fraction_second.tolist() == [0.0, 1.0]


def test_of_several_mixtures_that_nothing_gives_the_first_is_named():
    with pytest.raises(InputError, match=r"^n_mixture = 1\.9: no component of index 1 to 3 gives it with these fractions$"):
        unmix([1.4, 1.9, 1.05, 1.95], [1.336, None], [0.9, 0.1])
    with pytest.raises(InputError, match=r"^n_mixture = 1\.9: no component"):
        unmix(1.9, [1.336, None], [[0.4, 0.9], [0.6, 0.1]])


def test_a_resonance_is_told_by_the_first_wavelength_beyond_it():
    L = np.linspace(400.0, 700.0, 7)
    fit = Dispersion.fit(L, sellmeier_index(L, (1.2,), (0.2506**2,)), form="sellmeier", terms=1, u_n=1e-6)
    with pytest.raises(InputError, match=r"^wavelength_nm = 240 nm: the fit has a resonance at 251 nm and says nothing at or beyond it$"):
        fit.n([500.0, 240.0, 220.0])


@pytest.mark.parametrize(("many", "allowed"), [(12, True), (13, False)])
def test_a_form_has_a_dozen_terms_at_most(tmp_path, many, allowed):
    """n² = 1 + Σ b·L²/(L² − c), c = 0.01: at 0.5 µm with Σb = 1.2 it is 1 + 0.3/0.24."""
    path = tmp_path / "own.toml"
    path.write_text(
        f"""
[source]
authors = "Nobody"
title = "On nothing"
year = 2020
read_in = "the paper"
[polymer.c_2020]
material = "C"
form = "sellmeier"
coefficients = {{ b = {[1.2 / many] * many}, c_um2 = {[0.01] * many} }}
range_nm = [400.0, 700.0]
basis = "air"
""",
        encoding="utf-8",
    )
    if allowed:
        assert float(polymer("c_2020", file=path).n(500.0)) == pytest.approx(1.5, rel=1e-12, abs=0.0)
    else:
        with pytest.raises(InputError, match="must be a list of 1 to 12 numbers"):
            polymer("c_2020", file=path)
