"""Sucrose solutions, saline and the aqueous."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError, aqueous_index, saline_index, sucrose_index
from lenscalc.material import air_index, sucrose_mass_fraction, u_saline_index, water_index

# --- sucrose ---------------------------------------------------------------------------------------------------------------------------

# 1974 scale, n_D at 20 °C by g in 100 g: from memory, to be confirmed against the text
SCALE = {0: 1.33299, 5: 1.34026, 10: 1.34782, 20: 1.36384, 30: 1.38115, 40: 1.39986, 50: 1.42009, 60: 1.44193}


@pytest.mark.parametrize("percent", SCALE)
def test_the_scale_both_ways(percent):
    assert sucrose_index(percent / 100) == pytest.approx(SCALE[percent], abs=1e-12)
    assert sucrose_mass_fraction(SCALE[percent]) == pytest.approx(percent / 100, abs=1e-12)


def test_no_digit_of_the_scale_is_astray():
    """A published scale is a smooth curve, rounded: a polynomial of fifth degree leaves what rounding to 1e-5 leaves, 1e-5/√12 = 2.9e-6."""
    w = np.linspace(0.0, 0.85, 86)
    left = sucrose_index(w) - np.polynomial.Polynomial.fit(w, sucrose_index(w), 5)(w)
    assert left.std() < 3.2e-6
    assert np.abs(left).max() < 1e-5


def test_glucose_syrup_is_not_sucrose():
    """ISO 1743 (text of GOST R 50546-93): glucose syrup of 10 % dry matter reads 1.34852, 30 % 1.38352."""
    assert 1.34852 - sucrose_index(0.10) > 5e-4
    assert 1.38352 - sucrose_index(0.30) > 2e-3


def test_molar_refraction_of_sucrose_is_one_number():
    """With CRC's densities (kg/m³) the refraction of the solute, taken per mass, is 0.2058 cm³/g up to 40 %, to the 2.3e-4 it predicts n with."""
    densities = {0.0: 998.2, 0.10: 1038.1, 0.20: 1081.0, 0.30: 1127.0, 0.40: 1176.5}
    n = {w: float(sucrose_index(w)) for w in densities}
    r = {w: (n[w] ** 2 - 1) / (n[w] ** 2 + 2) / densities[w] * 1000 for w in densities}
    for w in (0.10, 0.20, 0.30, 0.40):
        mixed = (1 - w) * r[0.0] + w * 0.2058
        x = mixed * densities[w] / 1000
        assert ((1 + 2 * x) / (1 - x)) ** 0.5 == pytest.approx(n[w], abs=2.3e-4)


@pytest.mark.parametrize(("degC", "allowed"), [(10, 3.5e-5), (15, 3.5e-5), (20, 1e-5), (25, 3.5e-5), (30, 3.5e-5)])
def test_no_sucrose_is_water(degC, allowed):
    assert sucrose_index(0.0, degC) == pytest.approx(water_index(589.2938, degC), abs=allowed)
    assert sucrose_index(0.0, degC, relative_to="vacuum") == pytest.approx(water_index(589.2938, degC, relative_to="vacuum"), abs=allowed)


# Compendium of the OIV, OIV-MA-AS2-02, table I (read): what is added to a reading in g/100 g
OIV = [(10, 10, -0.59), (10, 70, -0.75), (12, 40, -0.58), (14, 20, -0.40), (15, 10, -0.32), (15, 50, -0.38), (16, 70, -0.31)]


@pytest.mark.parametrize(("degC", "reading", "added"), OIV)
def test_another_printed_correction_is_near(degC, reading, added):
    read = sucrose_index(reading / 100)
    assert sucrose_mass_fraction(read, degC) == pytest.approx((reading + added) / 100, abs=4.5e-4)


@given(st.floats(0.0, 0.84), st.floats(10.0, 30.0))
def test_there_and_back(mass_fraction, degC):
    assert sucrose_mass_fraction(sucrose_index(mass_fraction, degC), degC) == pytest.approx(mass_fraction, abs=1e-12)
    absolute = sucrose_index(mass_fraction, degC, relative_to="vacuum")
    assert sucrose_mass_fraction(absolute, degC, relative_to="vacuum") == pytest.approx(mass_fraction, abs=1e-12)
    assert absolute == pytest.approx(sucrose_index(mass_fraction, degC) * air_index(589.2938, degC), rel=1e-15, abs=0.0)


@given(st.floats(0.0, 0.82), st.floats(1e-4, 0.02), st.floats(10.0, 30.0))
def test_more_sucrose_reads_higher(mass_fraction, more, degC):
    assert sucrose_index(mass_fraction + more, degC) > sucrose_index(mass_fraction, degC)


@given(st.floats(0.0, 0.84), st.floats(10.0, 29.0), st.floats(0.01, 1.0))
def test_a_warmer_solution_reads_lower(mass_fraction, degC, warmer):
    assert sucrose_index(mass_fraction, degC + warmer) < sucrose_index(mass_fraction, degC)


def test_sucrose_takes_columns():
    n = sucrose_index([[0.1], [0.2]], [15.0, 20.0, 25.0])
    assert n.shape == (2, 3)
    assert np.array_equal(sucrose_index([0.1, 0.2], 20.0), [sucrose_index(0.1), sucrose_index(0.2)])
    assert sucrose_mass_fraction(n, [15.0, 20.0, 25.0]) == pytest.approx(np.array([[0.1] * 3, [0.2] * 3]), abs=1e-12)


@pytest.mark.parametrize(
    ("case", "message"),
    [
        ((10.0, 20.0), r"mass_fraction = 10: the sucrose scale is known from 0 to 0.85; 10 g in 100 g of solution is 0.10"),
        ((-0.01, 20.0), r"mass_fraction = -0.01"),
        ((0.851, 20.0), r"from 0 to 0.85"),
        ((np.nan, 20.0), r"mass_fraction = nan"),
        (("ten", 20.0), r"mass_fraction = 'ten' is not a number"),
        ((0.10, 35.0), r"temperature_degC = 35 °C: the temperature correction of the sucrose scale is known from 10 to 30 °C"),
        ((0.10, 9.9), r"from 10 to 30 °C"),
        ((0.85, 10.0), r"at 10 °C the solution would read beyond 0.85"),
    ],
)
def test_what_the_scale_does_not_know_is_refused(case, message):
    with pytest.raises(InputError, match=message):
        sucrose_index(*case)


@pytest.mark.parametrize("case", [(1.3320, 20.0), (1.5050, 20.0), (1.3333, 10.0), (34.78, 20.0), (np.nan, 20.0), (1.34, 31.0)])
def test_an_index_beyond_the_scale_is_refused(case):
    with pytest.raises(InputError) as caught:
        sucrose_mass_fraction(*case)
    assert caught.value.quantity in ("n", "temperature_degC")


def test_an_empty_column_stays_empty():
    assert sucrose_index([]).shape == sucrose_mass_fraction([]).shape == saline_index([], 589.29, 20.0).shape == (0,)


# --- saline ----------------------------------------------------------------------------------------------------------------------------


def test_physiological_saline():
    """9 g/L reads 1.3346 at 589 nm, 20 °C (CRC Handbook, quoted)."""
    assert round(float(saline_index(9.0, 589.29, 20.0)), 4) == 1.3346
    assert saline_index(9.0, 546.07, 35.0) < 1.336 - 1.5e-3  # it is not the reference medium


@given(st.floats(400.0, 700.0), st.floats(0.0, 40.0))
def test_no_salt_is_water(nm, degC):
    assert saline_index(0.0, nm, degC) == water_index(nm, degC)
    assert saline_index(0.0, nm, degC, relative_to="vacuum") == pytest.approx(water_index(nm, degC, relative_to="vacuum"), rel=1e-15, abs=0.0)
    assert u_saline_index(0.0, nm, degC) == 1.5e-5


def test_salt_measured_by_others():
    """Tan & Huang, J. Chem. Eng. Data 60 (2015) 2827, 25 °C, as quoted in an open library: 1.3359 at 1 %, 1.3428 at 5 % by mass.

    Their solutions read 1.5e-3 high, so that only the difference counts, ±1e-4 by its printing. 1 % and 5 % are 10.05 g in a litre at 20 °C
    (Poradnik fizykochemiczny 1974, read at fizyka.umk.pl) and 51.7 (CRC Handbook, quoted).
    """
    difference = saline_index(51.7, 589.29, 25.0) - saline_index(10.05, 589.29, 25.0)
    assert difference == pytest.approx(1.3428 - 1.3359, abs=1e-4)


@pytest.mark.parametrize("degC", [0.0, 10.0, 20.0, 30.0])
@pytest.mark.parametrize("nm", [410.0, 546.07, 589.29, 690.0])
def test_sea_water_of_the_same_salt_content_is_near(nm, degC):
    """Quan & Fry 1995, all ten coefficients as printed in open programs, in air: sea salt's increment is 4 % larger (6e-5 at 9 g/L)."""
    S = 9.0 / 1.0046  # g/kg; 9 g in a litre at 20 °C; 1 % has 1.0053 kg/L (fizyka.umk.pl), water 0.9982
    salt = (1.779e-4 - 1.05e-6 * degC + 1.6e-8 * degC * degC) * S + 0.01155 * S / nm
    pure = 1.31405 - 2.02e-6 * degC * degC + (15.868 - 0.00423 * degC) / nm - 4382.0 / nm**2 + 1.1455e6 / nm**3
    increment = saline_index(9.0, nm, degC) - water_index(nm, degC)
    assert increment == pytest.approx(salt, rel=0.05, abs=0.0)
    assert saline_index(9.0, nm, degC) == pytest.approx(pure + salt, abs=1.5e-4)


@given(st.floats(0.0, 99.0), st.floats(0.05, 1.0), st.floats(400.0, 700.0), st.floats(0.0, 40.0))
def test_more_salt_reads_higher(c, more, nm, degC):
    assert saline_index(c + more, nm, degC) > saline_index(c, nm, degC)
    assert u_saline_index(c + more, nm, degC) > u_saline_index(c, nm, degC)


@given(st.floats(0.0, 100.0), st.floats(400.0, 699.0), st.floats(5.0, 39.0))
def test_saline_falls_with_wavelength_and_with_temperature(c, nm, degC):
    assert saline_index(c, nm + 1.0, degC) < saline_index(c, nm, degC)
    assert saline_index(c, nm, degC + 0.5) < saline_index(c, nm, degC)


def test_the_uncertainty_of_saline_is_a_few_times_that_of_water():
    """By hand: 9 g/L has an increment of 1.5754e-3, 2 % of it is 3.151e-5; with 1.5e-5 in squares 3.490e-5 (no shape at its own conditions)."""
    assert u_saline_index(9.0, 589.2938, 20.0) == pytest.approx(3.490e-5, abs=2e-8)


@pytest.mark.parametrize(("nm", "degC", "moved"), [(400.0, 0.0, 0.130), (700.0, 40.0, -0.0268), (546.07, 35.0, -0.0055)])
def test_a_quarter_of_what_the_borrowed_shape_changes_is_uncertain(nm, degC, moved):
    """Sea salt's slope by Quan & Fry 1995, (1.779e-4 − 1.05e-6·T + 1.6e-8·T² + 0.01155/λ): how far it is from that of the D line at 20 °C."""

    def slope(nm, T):
        return 1.779e-4 - 1.05e-6 * T + 1.6e-8 * T**2 + 0.01155 / nm

    change = slope(nm, degC) / slope(589.2938, 20.0) - 1.0
    assert change == pytest.approx(moved, abs=6e-4)
    increment = 1.5754e-3  # of 9 g/L, as above
    expected = (1.5e-5**2 + (0.02 * increment) ** 2 + (0.25 * change * increment) ** 2) ** 0.5
    assert u_saline_index(9.0, nm, degC) == pytest.approx(expected, rel=2e-4, abs=0.0)


@pytest.mark.parametrize(
    ("case", "message"),
    [
        ((-1.0, 546.07, 35.0), r"nacl_g_per_L = -1 g/L"),
        ((101.0, 546.07, 35.0), r"from 0 to 100 g/L; 0.9 g in 100 mL is 9 g/L"),
        ((9.0, 0.546, 35.0), r"wavelength_nm = 0.546 nm: .* give the wavelength in nm"),
        ((9.0, 780.0, 35.0), r"from 400 to 700 nm"),
        ((9.0, 546.07, 41.0), r"temperature_degC = 41 °C"),
        ((9.0, 546.07, np.nan), r"temperature_degC = nan"),
        (("isotonic", 546.07, 35.0), r"nacl_g_per_L = 'isotonic' is not a number"),
    ],
)
@pytest.mark.parametrize("function", [saline_index, u_saline_index])
def test_saline_out_of_range_is_refused(function, case, message):
    with pytest.raises(InputError, match=message):
        function(*case)


@pytest.mark.parametrize("function", [lambda **k: saline_index(9.0, 546.07, 35.0, **k), lambda **k: sucrose_index(0.1, **k)])
def test_another_basis_is_refused(function):
    with pytest.raises(InputError, match="must be 'air' or 'vacuum'"):
        function(relative_to="glass")


# --- the aqueous -----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("n_e", [1.33, 1.336, 1.3374])
def test_the_aqueous_has_the_chosen_index_in_the_green(n_e):
    assert aqueous_index(546.07, n_e).n == pytest.approx(n_e, rel=1e-15, abs=0.0)


def test_the_shift_is_shown():
    """By hand, λ = 546.07 nm, λ² = 298192.4: 1.321631 + 0.0203587 − 0.0079425 + 0.0023187 = 1.336366; from there to 1.336: −3.66e-4."""
    assert aqueous_index(546.07).shift == pytest.approx(-3.66e-4, abs=1e-6)
    assert aqueous_index(480.0).n - aqueous_index(480.0, 1.337).n == pytest.approx(-0.001, abs=1e-12)


def test_the_published_height_is_that_of_the_eye_models():
    """1.336 at 555 nm, as in Gullstrand's eye: the curve as published, so unmoved, gives it."""
    n = aqueous_index(555.0)
    assert n.n - n.shift == pytest.approx(1.3360, abs=5e-5)


@given(st.floats(400.0, 699.0), st.floats(1.32, 1.36))
def test_the_aqueous_falls_with_wavelength_and_the_shift_is_constant(nm, n_e):
    assert aqueous_index(nm + 1.0, n_e).n < aqueous_index(nm, n_e).n
    assert aqueous_index(nm, n_e).shift == aqueous_index(546.07, n_e).shift


def test_the_aqueous_disperses_more_than_water():
    """As in Navarro, Santamaría & Bescós 1985 (quoted: 0.0068 between F and C, printed to 1e-4 at each), not as water of another height would."""
    in_aqueous = aqueous_index(486.1327).n - aqueous_index(656.2725).n
    in_water = water_index(486.1327, 35.0) - water_index(656.2725, 35.0)
    assert in_water < in_aqueous == pytest.approx(0.0068, abs=2e-4)


@pytest.mark.parametrize(
    ("case", "message"),
    [
        ((0.546, 1.336), r"wavelength_nm = 0.546 nm: the aqueous is known here from 400 to 700 nm; give the wavelength in nm"),
        ((850.0, 1.336), r"from 400 to 700 nm"),
        ((np.nan, 1.336), r"wavelength_nm = nan"),
        ((546.07, 13.36), r"n_e = 13.36: the index of an aqueous is taken here from 1.32 to 1.36"),
        ((546.07, "water"), r"n_e = 'water' is not a number"),
    ],
)
def test_the_aqueous_out_of_range_is_refused(case, message):
    with pytest.raises(InputError, match=message):
        aqueous_index(*case)
