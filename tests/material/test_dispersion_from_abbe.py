"""Dispersion from an Abbe number against published fits in mpmath, and the step of the sheet from one wavelength to another."""

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured_polymers import LAMPS, PMMA_B, PMMA_C, POLYMERS

from lenscalc import Dispersion, InputError, water_index
from lenscalc.conditions import LINES_NM
from lenscalc.material import abbe_number, by_abbe_number, by_second_reading, cauchy_index, conrady_index


@pytest.mark.parametrize("name", POLYMERS)
def test_n_e_and_v_e_from_n_d_and_v_d(name):
    """V_e of the published fit with mpmath, 30 digits; the Cauchy form meets n_e and V_e within what it says of itself."""
    n = POLYMERS[name]
    of = Dispersion.from_abbe(n(LINES_NM["d"]), abbe_number(*(n(LINES_NM[x]) for x in "dFC")), u_n_d=0.0, u_abbe_d=0.0)

    def published(nm):
        L2 = (mpmath.mpf(nm) / 1000) ** 2
        if "Beadie" in name:
            a = ("2.1778", "6.1209e-3", "-1.5004e-3", "2.3678e-2", "-4.2137e-3", "7.3417e-4", "-4.5042e-5")
            return mpmath.sqrt(sum(mpmath.mpf(x) * L2**p for x, p in zip(a, (0, 1, 2, -1, -2, -3, -4), strict=True)))
        b, c = {"poly": ((1.4435,), (0.020216,)), "PDMS": ((1.0093,), (0.013185,)), "PMMA": (PMMA_B, PMMA_C)}[name[:4]]
        return mpmath.sqrt(1 + sum(mpmath.mpf(str(x)) * L2 / (L2 - mpmath.mpf(str(y))) for x, y in zip(b, c, strict=True)))

    with mpmath.workdps(30):
        n_e, n_short, n_long = (published(x) for x in ("546.0740", "479.9914", "643.8469"))
    V_e = float((n_e - 1) / (n_short - n_long))
    assert abs(of.n(546.074) - float(n_e)) < of.half_spread(546.074)
    assert abs(of.abbe_e - V_e) < 2 * of.u_abbe_e
    assert abs(of.abbe_e - V_e) < 0.02 * V_e
    exact = Dispersion.fit(LAMPS, n(np.array(LAMPS)), form="schott", terms=6, u_n=1e-5)
    assert exact.abbe_e == pytest.approx(V_e, rel=1e-4, abs=0.0)


@given(st.floats(1.33, 1.75), st.floats(20.0, 90.0), st.sampled_from(["cauchy", "conrady", "one resonance", "water"]))
def test_it_keeps_what_it_was_given(n_d, abbe_d, form):
    of = Dispersion.from_abbe(n_d, abbe_d, u_n_d=1e-4, u_abbe_d=0.5, form=form)
    assert (of.n(LINES_NM["d"]), of.abbe_d) == pytest.approx((n_d, abbe_d), rel=1e-9, abs=0.0)
    assert of.u_abbe_d == pytest.approx(0.5, rel=1e-6, abs=0.0)
    assert of.u_n(LINES_NM["d"]) == pytest.approx(1e-4, rel=1e-6, abs=0.0)
    assert np.all(of.slope_per_nm(np.linspace(400, 800, 9)) < 0)
    assert of.is_extrapolated(700.0)


def test_waters_own_dispersion_has_no_resonance_in_the_infrared():
    """n = A + B·g, g by Daimon & Masumura at 20 °C as in refractiveindex.info (CC0); B is 1.45, whose root is no wavelength."""
    of = Dispersion.from_abbe(1.49, 58.0, form="water")

    def g(nm):
        L2 = (nm / 1000.0) ** 2
        b, c = (0.5684027565, 0.1726177391, 0.02086189578, 0.1130748688), (5.101829712e-3, 1.821153936e-2, 2.620722293e-2, 10.69792721)
        return (1.0 + sum(x * L2 / (L2 - y) for x, y in zip(b, c, strict=True))) ** 0.5

    B = 0.49 / 58.0 / (g(LINES_NM["F"]) - g(LINES_NM["C"]))
    for nm in (404.66, 1129.0, 1300.0):
        assert of.n(nm) == pytest.approx(1.49 + B * (g(nm) - g(LINES_NM["d"])), rel=1e-12, abs=0.0)


@pytest.mark.parametrize("to_nm", [450.0, 546.07, 632.8, 780.0])
def test_it_is_the_step_of_the_sheet(to_nm):
    """The same numbers as `by_abbe_number` and `by_second_reading`, which take whole columns."""
    of, step = Dispersion.from_abbe(1.4906, 58.0), by_abbe_number(1.4906, LINES_NM["d"], 58.0, to_nm)
    assert of.n(to_nm) == pytest.approx(step.n, rel=1e-14, abs=0.0)
    assert of.by_readings(to_nm) == pytest.approx([step.by_reading, step.by_abbe], rel=1e-10, abs=0.0)
    assert of.half_spread(to_nm) == pytest.approx(step.half_spread, rel=1e-9, abs=0.0)
    two, step = Dispersion.fit([486.13, 632.8], [1.4965, 1.4890]), by_second_reading(1.4965, 486.13, 1.4890, 632.8, to_nm)
    assert two.n(to_nm) == pytest.approx(step.n, rel=1e-13, abs=0.0)
    assert two.by_readings(to_nm) == pytest.approx([step.by_reading, step.by_second], rel=1e-9, abs=1e-15)  # at the second line 0 and 1
    assert two.half_spread(to_nm) == pytest.approx(step.half_spread, rel=1e-8, abs=1e-12)  # none at a reading's own line


@given(st.floats(1.35, 1.6), st.floats(0.002, 0.01), st.floats(0.0, 3e-4), st.sampled_from([("cauchy", 3), ("conrady", 3)]))
def test_points_of_a_form_give_the_form_back(a, b, c, chosen):
    form, terms = chosen
    index = cauchy_index if form == "cauchy" else conrady_index
    fit = Dispersion.fit(LAMPS, index(np.array(LAMPS), a, b, c), form=form, terms=terms, u_n=1e-4)
    assert fit.parameters == pytest.approx([a, b, c], abs=1e-9)


def test_conrady_gives_the_abbe_number_of_the_catalogue():
    """V_d 64.358478 beside the coefficients (optrace's tests, quoting an open catalogue)."""
    n = {x: conrady_index(LINES_NM[x], 1.47444837, 0.0103147698, 0.00026742387) for x in "dFC"}
    assert abbe_number(n["d"], n["F"], n["C"]) == pytest.approx(64.358478, abs=5e-7)


@pytest.mark.parametrize("n_C", [1.5, 1.51])
def test_an_index_that_does_not_fall_has_no_abbe_number(n_C):
    with pytest.raises(InputError, match="the index must fall with the wavelength"):
        abbe_number(np.array([1.49, 1.49]), np.array([1.5, 1.5]), np.array([1.49, n_C]))


@pytest.mark.parametrize("abbe_d", [0.0, -58.0, 4.9, 580.0])
def test_no_step_is_taken_by_an_abbe_number_that_cannot_be(abbe_d):
    with pytest.raises(InputError, match=f"abbe_d = {abbe_d:g}: must be 5 to 150"):
        by_abbe_number(1.49, 589.29, np.array([58.0, abbe_d]), 546.07)
    assert np.isnan(by_abbe_number(1.49, 589.29, np.array([np.nan]), 546.07).n)


# --- the step between wavelengths: watery media, far readings -----------------------------------------------------------------------------


@pytest.mark.parametrize("nm", [404.66, 435.83, 480.0, 589.29, 632.8, 700.0, 780.0, 850.0, 950.0])
def test_the_half_spread_covers_water_and_polymers(nm):
    """Water by IAPWS R9-97, which is not the source of the shape (Daimon & Masumura); the largest part of the half-spread is 0.96, at 950 nm."""
    for n in (*POLYMERS.values(), lambda x: water_index(x, 20.0), lambda x: water_index(x, 35.0)):
        V = abbe_number(*(n(LINES_NM[x]) for x in "dFC"))
        step = by_abbe_number(n(nm), nm, V, 546.07)
        assert abs(step.n - n(546.07)) < step.half_spread


@pytest.mark.parametrize("pair", [(587.56, 632.8), (632.8, 780.0), (656.27, 850.0), (589.29, 1000.0), (780.0, 900.0), (435.83, 486.13)])
def test_two_readings_on_one_side_are_covered_too(pair):
    for n in (*POLYMERS.values(), lambda x: water_index(x, 20.0)):
        step = by_second_reading(n(pair[0]), pair[0], n(pair[1]), pair[1], 546.07)
        assert abs(step.n - n(546.07)) < 0.75 * step.half_spread
        assert step.is_extrapolated


def test_a_step_out_of_its_range_is_marked():
    far = by_abbe_number(1.49, np.array([480.0, 589.29, 656.0, 700.0]), 58.0, 546.07)
    assert far.is_extrapolated.tolist() == [True, False, False, True]
    ends = np.array([LINES_NM["F"], LINES_NM["C"]])
    assert by_abbe_number(1.49, ends, 58.0, 546.07).is_extrapolated.tolist() == [False, False]
    assert by_abbe_number(1.49, 546.07, 58.0, ends).is_extrapolated.tolist() == [False, False]
    between = by_second_reading(1.4965, 486.13, 1.4890, 632.8, np.array([486.0, 486.13, 632.8, 633.0]))
    assert between.is_extrapolated.tolist() == [True, False, False, True]
    assert not by_second_reading(1.4965, 486.13, 1.4890, 632.8, 546.07).is_extrapolated
