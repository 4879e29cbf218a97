"""Water in a polymer: what it must do, its derivatives, and where published readings lie. More values from outside are in reference_cases/."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from mpmath import mp, mpf

from lenscalc import InputError, water_index
from lenscalc.material import (
    Hydration,
    dry_index,
    hydrate,
    hydrated_index,
    hydration_of,
    linear_swelling,
    linear_swelling_of,
    mixing_half_spread,
    water_density,
    water_mass_fraction_wet_from_dry,
    water_mass_fraction_wet_from_weights,
)
from lenscalc.material.mixing import RULES

WATER = {"n_water": 1.3346, "density_water_kg_per_m3": 1004.0}
D_LINE = {"wavelength_nm": 589.29, "temperature_degC": 20.0}
GEL = {"w": st.floats(0.001, 0.9), "n": st.floats(1.4, 1.7), "rho": st.floats(900.0, 1900.0)}


@pytest.mark.parametrize("rule", RULES)
@given(**GEL)
def test_dry_to_wet_to_dry(rule, w, n, rho):
    gel = {"water_mass_fraction_wet": w, "density_dry_kg_per_m3": rho, **WATER, "rule": rule}
    assert dry_index(hydrated_index(n, **gel), **gel) == pytest.approx(n, abs=1e-12)


@pytest.mark.parametrize("rule", RULES)
@given(**GEL)
def test_water_swells_and_thins(rule, w, n, rho):
    wet = hydrate(n, water_mass_fraction_wet=w, density_dry_kg_per_m3=rho, **WATER, rule=rule)
    assert WATER["n_water"] < wet.n_hydrated < n
    assert wet.linear_swelling > 0
    assert wet.by_water < 0 < wet.swelling_by_water
    assert wet.by_density < 0 < wet.swelling_by_density
    assert wet.by_n_dry > 0
    assert wet.by_n_water > 0
    assert wet.half_spread > 0


@pytest.mark.parametrize("rule", RULES)
@given(**GEL)
def test_the_derivatives_are_those_of_the_body(rule, w, n, rho):
    """By complex step: inputs in the order of the body, and where the derivative by each stands in the result."""
    h = 1e-30
    at = (w, n, rho, 1.3346, 1004.0)
    wet = hydration_of(*at, rule)
    by_index = (wet.by_water, wet.by_n_dry, wet.by_density)
    by_swelling = (wet.swelling_by_water, 0.0, wet.swelling_by_density)
    for place in range(3):
        moved = hydration_of(*(x + h * 1j * (i == place) for i, x in enumerate(at)), rule)
        assert by_index[place] == pytest.approx(moved.n_hydrated.imag / h, rel=1e-10, abs=0.0)
        assert by_swelling[place] == pytest.approx(np.imag(moved.linear_swelling) / h, rel=1e-10, abs=0.0)
    assert wet.by_n_water == pytest.approx(hydration_of(*at[:3], 1.3346 + h * 1j, 1004.0, rule).n_hydrated.imag / h, rel=1e-10, abs=0.0)


@pytest.mark.parametrize("rule", RULES)
def test_the_body_runs_on_long_numbers(rule):
    with mp.workdps(40):
        wet = hydration_of(*(mpf(x) for x in ("0.25", "1.49", "1190", "1.3346", "1004")), rule)
    assert [float(x) for x in wet] == pytest.approx(hydration_of(0.25, 1.49, 1190.0, 1.3346, 1004.0, rule), rel=1e-12, abs=0.0)


@given(w=GEL["w"], rho=GEL["rho"])
def test_swelling_is_the_same_by_either_way(w, rho):
    gel = {"density_dry_kg_per_m3": rho, "density_water_kg_per_m3": 1004.0}
    s = linear_swelling(w, **gel)
    assert s == linear_swelling_of(w, rho, 1004.0)
    assert s == pytest.approx(hydrate(1.5, water_mass_fraction_wet=w, n_water=1.3346, **gel).linear_swelling, rel=1e-13, abs=0.0)
    # one kilogram of it, by hand: its volume over the volume of its polymer
    assert (1 + s) ** 3 == pytest.approx((w / 1004.0 + (1 - w) / rho) / ((1 - w) / rho), rel=1e-12, abs=0.0)


def test_without_water_nothing_changes():
    dry = hydrate(1.49, water_mass_fraction_wet=0.0, density_dry_kg_per_m3=1190, **WATER)
    assert dry.n_hydrated == pytest.approx(1.49, abs=1e-15)
    assert (dry.linear_swelling, dry.by_n_dry) == pytest.approx((0.0, 1.0))
    assert dry.half_spread == pytest.approx(0.0, abs=1e-15)


def test_a_quarter_of_water():
    """Swelling 1.10 to 1.12 for polymers of 1000 to 1210 kg/m³ (by hand: (1 + ρ/(3·998))^(1/3)); on the wrong basis n moves by 0.010."""
    for rho, length in ((1000.0, 1.1009), (1210.0, 1.1197)):
        assert 1 + linear_swelling(0.25, density_dry_kg_per_m3=rho, density_water_kg_per_m3=998.2) == pytest.approx(length, abs=1e-4)
    right = hydrated_index(1.51, water_mass_fraction_wet=0.25, density_dry_kg_per_m3=1190, **D_LINE)
    wrong = hydrated_index(1.51, water_mass_fraction_wet=water_mass_fraction_wet_from_dry(0.25), density_dry_kg_per_m3=1190, **D_LINE)
    assert wrong - right == pytest.approx(0.010, abs=0.001)


def test_the_water_is_bulk_water_unless_it_is_given():
    gel = {"water_mass_fraction_wet": 0.38, "density_dry_kg_per_m3": 1270.0}
    given_water = {"n_water": water_index(546.07, 35.0), "density_water_kg_per_m3": water_density(35.0)}
    assert hydrate(1.5, **gel, wavelength_nm=546.07, temperature_degC=35.0) == hydrate(1.5, **gel, **given_water)
    assert hydrate(1.5, **gel, n_water=1.336, temperature_degC=35.0) == hydrate(1.5, **gel, **{**given_water, "n_water": 1.336})


def test_the_spread_is_that_of_the_mixture():
    wet = hydrate(1.51, water_mass_fraction_wet=0.38, density_dry_kg_per_m3=1270, **WATER)
    water = 0.38 / 1004.0 / (0.38 / 1004.0 + 0.62 / 1270)
    assert wet.half_spread == pytest.approx(mixing_half_spread([WATER["n_water"], 1.51], [water, 1 - water]), rel=1e-10, abs=0.0)


# Read in an optometry journal's temperature study, 20 °C. Water contents: polymacon by 510(k) K181656, the others from memory; dry index and density
# of poly(2-hydroxyethyl methacrylate) and of poly(vinyl alcohol) from memory. All lie above: a surface that dries while it is read does that too.
@pytest.mark.parametrize(("w", "n_dry", "read"), [(0.38, 1.51, 1.4464), (0.55, 1.51, 1.4198), (0.69, 1.50, 1.3875)])
@pytest.mark.parametrize("density", [1150.0, 1270.0])
def test_published_readings_of_hydrogels_are_missed_by_more_than_the_spread(w, n_dry, read, density):
    wet = hydrate(n_dry, water_mass_fraction_wet=w, density_dry_kg_per_m3=density, **D_LINE)
    assert 0.009 < read - wet.n_hydrated < 0.021
    assert read - wet.n_hydrated > 3 * wet.half_spread


def test_a_bared_surface_reads_higher_than_the_mixture():
    """Bovine stroma, its surface on a refractometer, water by drying: n = 1.4067 − 0.00599 H (abstract, stroma before and after LASIK).

    Mixing the published dry values (reference_cases/mixing.toml) gives the 1.376 of the whole cornea at H = 3.2; the surface reads 0.011 more.
    """
    solvent = {"n_water": 1.335, "density_water_kg_per_m3": 1000.0}
    w = water_mass_fraction_wet_from_dry(3.2)
    mixture = hydrated_index(1.547, water_mass_fraction_wet=w, density_dry_kg_per_m3=1300.0, **solvent, rule="gladstone-dale")
    assert 1.4067 - 0.00599 * 3.2 - mixture == pytest.approx(0.0114, abs=0.0005)


@given(wet=st.floats(0.001, 10.0), part=st.floats(0.05, 1.0))
def test_weights(wet, part):
    dry = wet * part
    found = water_mass_fraction_wet_from_weights(wet, mass_dry_g=dry)
    assert found.water_mass_fraction_wet == pytest.approx((wet - dry) / wet, abs=1e-15)
    assert found.by_mass_wet * wet + found.by_mass_dry * dry == pytest.approx(0.0, abs=1e-12)  # an error of the balance's scale cancels
    h = 1e-6 * wet
    moved = water_mass_fraction_wet_from_weights(wet + h, mass_dry_g=dry).water_mass_fraction_wet - found.water_mass_fraction_wet
    assert moved / h == pytest.approx(found.by_mass_wet, rel=1e-4, abs=0.0)


@given(w=st.floats(0.0, 0.95))
def test_the_two_bases(w):
    """A specimen of 1 g with w g of water: w/(1 − w) by its dry mass."""
    assert water_mass_fraction_wet_from_dry(w / (1 - w)) == pytest.approx(w, abs=1e-15)


def test_columns_give_what_their_rows_give():
    w, rho = np.array([0.1, 0.25, 0.5]), np.array([[1100.0], [1200.0]])
    table = hydrate(1.5, water_mass_fraction_wet=w, density_dry_kg_per_m3=rho, **WATER)
    for name, values in table._asdict().items():
        assert values.shape == (2, 3), name
    alone = hydrate(1.5, water_mass_fraction_wet=0.25, density_dry_kg_per_m3=1200.0, **WATER)
    assert Hydration(*(x[1, 1] for x in table)) == pytest.approx(alone, rel=1e-15, abs=0.0)
    assert all(isinstance(x, float) for x in alone)
    assert dry_index(table.n_hydrated, water_mass_fraction_wet=w, density_dry_kg_per_m3=rho, **WATER) == pytest.approx(np.full((2, 3), 1.5))


GOOD = {"water_mass_fraction_wet": 0.38, "density_dry_kg_per_m3": 1270.0, **WATER}


@pytest.mark.parametrize("function", [hydrate, hydrated_index, dry_index])
@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"water_mass_fraction_wet": 38}, "water_mass_fraction_wet = 38: must be 0 to 0.99; is it a percentage"),
        ({"water_mass_fraction_wet": -0.1}, "must be 0 to 0.99"),
        ({"water_mass_fraction_wet": 1.0}, "must be 0 to 0.99"),
        ({"water_mass_fraction_wet": np.nan}, "water_mass_fraction_wet is missing or not a number"),
        ({"water_mass_fraction_wet": "38 %"}, "water_mass_fraction_wet = '38 %' is not a number"),
        ({"density_dry_kg_per_m3": 1.27}, "density_dry_kg_per_m3 = 1.27 kg/m³: must be 500 to 5000 kg/m³; is it in g/cm³"),
        ({"density_water_kg_per_m3": 0.998}, "is it in g/cm³"),
        ({"n_water": 13.34}, "n_water = 13.34: must be 1 to 3; is the decimal point"),
        ({"rule": "sugar"}, "rule = 'sugar'"),
        ({"n_water": None}, "wavelength_nm is missing: give the conditions of the water, or n_water"),
        ({"density_water_kg_per_m3": None}, "temperature_degC is missing"),
        ({"temperature_degC": 35.0}, "temperature_degC would be ignored"),
        ({"wavelength_nm": 546.07}, "wavelength_nm would be ignored"),
        ({"n_water": None, "wavelength_nm": 0.546, "temperature_degC": 35.0, "density_water_kg_per_m3": None}, "wavelength_nm = 0.546"),
        ({"n_water": None, "wavelength_nm": 546.07, "temperature_degC": 308.0, "density_water_kg_per_m3": None}, "0 to 40 °C"),
        ({"water_mass_fraction_wet": [0.1, 0.2], "density_dry_kg_per_m3": [1.1e3, 1.2e3, 1.3e3]}, "different lengths"),
        ({"water_mass_fraction_wet": [0.1, 20]}, "row 2: water_mass_fraction_wet = 20"),
    ],
)
def test_odd_inputs_are_named(function, changed, words):
    with pytest.raises(InputError, match=words):
        function(1.45, **{**GOOD, **changed})


@pytest.mark.parametrize(("n", "words"), [(np.nan, "is missing"), ("wet", "is not a number"), (149.0, "two places off"), (None, "is missing")])
def test_odd_indices_are_named(n, words):
    with pytest.raises(InputError, match=f"n_dry.*{words}"):
        hydrate(n, **GOOD)
    with pytest.raises(InputError, match=f"n_hydrated.*{words}"):
        dry_index(n, **GOOD)


def test_an_index_that_no_dry_polymer_gives_is_refused():
    with pytest.raises(InputError, match=r"n_hydrated = 1.1: no dry polymer.*wet basis"):
        dry_index(1.1, **GOOD)
    with pytest.raises(InputError, match=r"n_hydrated = 2.5: no dry polymer"):
        dry_index([1.35, 2.5, 2.6], **{**GOOD, "water_mass_fraction_wet": 0.9})


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: water_mass_fraction_wet_from_weights(0.015, mass_dry_g=0.020), "mass_dry_g = 0.02 g is above mass_wet_g: are the two exchanged"),
        (lambda: water_mass_fraction_wet_from_weights(0.0, mass_dry_g=0.0), "mass_wet_g = 0 g"),
        (lambda: water_mass_fraction_wet_from_weights(np.nan, mass_dry_g=1.0), "mass_wet_g is missing"),
        (lambda: water_mass_fraction_wet_from_dry(61.3), "water_mass_fraction_dry = 61.3: must be 0 to 20; is it a percentage"),
        (lambda: water_mass_fraction_wet_from_dry(-0.1), "must be 0 to 20"),
        (lambda: linear_swelling(25, density_dry_kg_per_m3=1190, density_water_kg_per_m3=998), "is it a percentage"),
    ],
)
def test_odd_weights_are_named(call, words):
    with pytest.raises(InputError, match=words):
        call()
