"""Dispersion against published fits and tables, scipy's curve_fit, `uncertainties`, mpmath and trials."""

import mpmath
import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from uncertainties import correlated_values, covariance_matrix

import lenscalc
from lenscalc import Dispersion, InputError, water_index
from lenscalc.conditions import LINES_NM
from lenscalc.errors import RangeWarning, UnknownNameError
from lenscalc.material import (
    abbe_number,
    by_abbe_number,
    by_second_reading,
    cauchy_index,
    conrady_index,
    schott_index,
    sellmeier_index,
)  # fmt: skip

# Malitson, J. Opt. Soc. Am. 55 (1965) 1205, fused silica, 0.21 to 3.71 µm
SILICA_B, SILICA_C = [0.6961663, 0.4079426, 0.8974794], [0.0684043**2, 0.1162414**2, 9.896161**2]
PMMA_B, PMMA_C = [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727]  # Szczurowski 2013, refractiveindex.info (CC0)
# Sultanova, Kasarova & Nikolov, Acta Phys. Pol. A 116 (2009) 585: measured indices of PMMA, as a forum post copies the table
NM = [436.8, 486.1, 587.6, 632.8, 703.0, 833.0, 879.0, 1052.0]
PMMA = [1.502, 1.497, 1.491, 1.489, 1.486, 1.484, 1.483, 1.481]
LAMPS = [435.8343, 479.9914, 508.58, 546.074, 587.5618, 632.8, 656.2725, 706.52]

POLYMERS = {  # refractiveindex.info (CC0), papers as named
    "PMMA, Szczurowski 2013": lambda nm: sellmeier_index(nm, PMMA_B, PMMA_C),
    "PMMA, Beadie 2015": lambda nm: schott_index(
        nm, [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5], [0, 2, 4, -2, -4, -6, -8]
    ),
    "polystyrene, Sultanova 2009": lambda nm: sellmeier_index(nm, [1.4435], [0.020216]),
    "PDMS, Schneider 2009": lambda nm: sellmeier_index(nm, [1.0093], [0.013185]),
}

# the forms written out again, for curve_fit: L in µm
MODELS = {
    ("cauchy", 2): (lambda L, a, b: a + b / L**2, (1.48, 0.004)),
    ("cauchy", 3): (lambda L, a, b, c: a + b / L**2 + c / L**4, (1.48, 0.004, 0.0)),
    ("conrady", 2): (lambda L, a, b: a + b / L**3.5, (1.48, 0.001)),
    ("conrady", 3): (lambda L, a, b, c: a + b / L + c / L**3.5, (1.47, 0.01, 0.0)),
    ("schott", 2): (lambda L, a, b: np.sqrt(a + b / L**2), (2.2, 0.01)),
    ("schott", 4): (lambda L, a, b, c, d: np.sqrt(a + b * L**2 + c / L**2 + d / L**4), (2.2, 0.0, 0.01, 0.0)),
    ("sellmeier", 1): (lambda L, b, c: np.sqrt(1 + b * L**2 / (L**2 - c)), (1.2, 0.01)),
    ("one resonance", 2): (lambda L, a, b: a + b / (L**2 - 0.0125), (1.48, 0.004)),
}


def pmma(nm=LAMPS, noise=0.0, seed=5):
    n = sellmeier_index(np.asarray(nm), PMMA_B, PMMA_C)
    return n + noise * np.random.default_rng(seed).standard_normal(len(nm))


def by_curve_fit(form, terms, nm, n, **options):
    model, start = MODELS[form, terms]

    def derivatives(L, *p):  # complex steps: differences of four digits would be what is compared
        return np.stack([np.imag(model(L, *(x + 1e-30j * (i == j) for j, x in enumerate(p)))) / 1e-30 + 0 * L for i in range(len(p))], axis=1)

    return curve_fit(model, np.asarray(nm) / 1000, n, p0=start, jac=derivatives, xtol=1e-15, ftol=1e-15, gtol=1e-15, maxfev=20000, **options)


# --- fits, against published coefficients and against scipy ------------------------------------------------------------------------------


def test_malitson_coefficients_come_back():
    nm = np.linspace(210.0, 2000.0, 60)
    fit = Dispersion.fit(nm, sellmeier_index(nm, SILICA_B, SILICA_C), form="sellmeier", terms=3, u_n=1e-6)
    assert fit.parameter_names == ("b1", "c1_um2", "b2", "c2_um2", "b3", "c3_um2")
    assert fit.parameters[0::2] == pytest.approx(SILICA_B, rel=1e-6)
    assert fit.parameters[1::2] == pytest.approx(SILICA_C, rel=1e-6)


def test_the_printed_indices_of_silica_are_met_between_each_other():
    """Malitson, table I, computed index (quoted in reference_cases): the line at 546.074 nm left out and found again to a digit of the last place."""
    nm, n = [435.835, 486.133, 587.561, 643.847, 656.272, 1013.98], [1.466693, 1.463126, 1.458464, 1.456704, 1.456367, 1.450242]
    fit = Dispersion.fit(nm, n, form="schott", terms=4, u_n=5e-7)
    assert fit.n(546.074) == pytest.approx(1.460078, abs=1.5e-6)
    assert abs(fit.n(546.074) - 1.460078) < 2 * fit.u_n(546.074)


@pytest.mark.parametrize(("form", "terms"), MODELS)
def test_parameters_and_covariance_are_those_of_curve_fit(form, terms):
    n, u = pmma(noise=2e-4), np.linspace(1e-4, 3e-4, len(LAMPS))
    expected, covariance = by_curve_fit(form, terms, LAMPS, n, sigma=u, absolute_sigma=True)
    fit = Dispersion.fit(LAMPS, n, form=form, terms=terms, u_n=u) if form != "conrady" or terms != 2 else quiet_fit(LAMPS, n, form, terms, u)
    assert np.all(np.abs(fit.parameters - expected) < 1e-4 * np.sqrt(np.diag(covariance)))
    assert fit.covariance == pytest.approx(covariance, rel=1e-4)
    assert fit.residuals == pytest.approx(n - MODELS[form, terms][0](np.array(LAMPS) / 1000, *expected), abs=1e-10)


def quiet_fit(nm, n, form, terms, u):
    with pytest.warns(RangeWarning, match="further from the fit"):
        return Dispersion.fit(nm, n, form=form, terms=terms, u_n=u)


@pytest.mark.parametrize(("form", "terms"), MODELS)
def test_the_scatter_gives_the_covariance_where_no_u_is_given(form, terms):
    expected, covariance = by_curve_fit(form, terms, NM, PMMA)
    fit = Dispersion.fit(NM, PMMA, form=form, terms=terms)
    assert (fit.u_from, fit.dof) == ("scatter", len(NM) - len(expected))
    assert np.all(np.abs(fit.parameters - expected) < 1e-4 * np.sqrt(np.diag(covariance)))
    assert fit.covariance == pytest.approx(covariance, rel=1e-4)


@pytest.mark.parametrize(("form", "terms"), [("cauchy", 3), ("sellmeier", 1), ("schott", 2)])
def test_a_covariance_of_the_readings_is_taken_whole(form, terms):
    n, matrix = pmma(noise=1e-4), np.diag(np.full(8, 1e-8)) + 9e-8
    expected, covariance = by_curve_fit(form, terms, LAMPS, n, sigma=matrix, absolute_sigma=True)
    fit = Dispersion.fit(LAMPS, n, form=form, terms=terms, covariance=matrix)
    assert fit.u_from == "covariance"
    assert np.all(np.abs(fit.parameters - expected) < 1e-4 * np.sqrt(np.diag(covariance)))
    assert fit.covariance == pytest.approx(covariance, rel=1e-3)


@pytest.mark.parametrize(("form", "terms"), [("cauchy", 3), ("conrady", 3), ("schott", 4), ("sellmeier", 1)])
def test_the_prediction_moves_with_each_reading_as_it_says(form, terms):
    n, step, at = pmma(), 1e-6, [420.0, 555.0, 800.0]
    by = Dispersion.fit(LAMPS, n, form=form, terms=terms, u_n=1e-4).by_readings(at)
    assert by.shape == (3, 8)
    for i in range(8):
        up, down = (Dispersion.fit(LAMPS, n + s * step * np.eye(8)[i], form=form, terms=terms, u_n=1e-4).n(at) for s in (1, -1))
        assert by[:, i] == pytest.approx((up - down) / (2 * step), rel=2e-3, abs=2e-5)


def test_the_uncertainty_is_what_trials_find():
    """2000 repetitions of the readings with their noise; the parameters' part alone, for the form is the true one."""
    nm, u = np.array(LAMPS), 2e-4
    exact = cauchy_index(nm, 1.478, 0.0045, 3e-5)
    rng = np.random.default_rng(11)
    found = []
    for _ in range(2000):
        p = np.polyfit((nm / 1000) ** -2, exact + u * rng.standard_normal(8), 2)[::-1]  # by another routine
        n = {line: cauchy_index(LINES_NM[line], *p) for line in "dFCe"}
        found.append((n["e"], abbe_number(n["d"], n["F"], n["C"])))
    fit = Dispersion.fit(nm, exact, terms=3, u_n=u)
    g = fit.by_readings(LINES_NM["e"])
    assert np.sqrt(g @ g) * u == pytest.approx(np.std([x for x, _ in found]), rel=0.05)
    width = fit.u_abbe_d**2 - np.var([V for _, V in found])
    assert abs(width) < 0.15 * fit.u_abbe_d**2  # what is left is the doubt about the form and the noise of the trials


@pytest.mark.parametrize("name", ["abbe_d", "abbe_e"])
def test_the_abbe_number_and_its_uncertainty_by_the_library_uncertainties(name):
    fit = Dispersion.fit(LAMPS, pmma(), terms=3, covariance=np.diag(np.full(8, 4e-8)) + 1e-8)
    a, b, c = correlated_values(fit.parameters, fit.covariance)
    mid, short, long = (LINES_NM[x] / 1000 for x in {"abbe_d": "d F C", "abbe_e": "e F' C'"}[name].split())
    V = (a + b / mid**2 + c / mid**4 - 1) / (b / short**2 + c / short**4 - b / long**2 - c / long**4)
    assert getattr(fit, name) == pytest.approx(V.nominal_value, rel=1e-12)
    parameters_alone = np.sqrt(covariance_matrix([V])[0][0])
    assert parameters_alone <= getattr(fit, f"u_{name}") < 1.1 * parameters_alone


# --- what the numbers mean ----------------------------------------------------------------------------------------------------------------


def test_two_indices_leave_the_abbe_number_uncertain_by_17_percent():
    """u = 0.001 each: √2·0.001/0.00846 = 16.7 %; what is common to both cancels in n_F − n_C."""
    nm, n = [LINES_NM["F"], LINES_NM["C"]], [1.496536, 1.488077]
    alone = Dispersion.fit(nm, n, u_n=0.001)
    assert alone.u_abbe_d / alone.abbe_d == pytest.approx(0.167, abs=0.002)
    shared = Dispersion.fit(nm, n, covariance=np.diag([1e-8, 1e-8]) + 1e-6)
    assert shared.u_abbe_d / shared.abbe_d == pytest.approx(0.0168, abs=0.0005)
    assert shared.u_n(550.0) == pytest.approx(0.001, rel=0.02)  # while the index itself has all of it
    only_shared = Dispersion.fit(nm, n, covariance=np.full((2, 2), 1e-6))
    # ΔV = Δn/(n_F − n_C) = 0.118; the forms differ in n_d and add 0.02
    assert only_shared.u_abbe_d == pytest.approx(0.118, abs=0.01)


@pytest.mark.parametrize("form", ["cauchy", "sellmeier", "conrady", "schott"])
def test_two_parameters_through_two_points_are_never_certain(form):
    fit = Dispersion.fit([486.1327, 656.2725], pmma([486.1327, 656.2725]), form=form, u_n=0.0)
    assert fit.residuals == pytest.approx([0.0, 0.0], abs=1e-12)
    assert fit.u_n([486.1327, 656.2725]) == pytest.approx([0.0, 0.0], abs=1e-9)
    assert np.all(fit.u_n([420.0, 546.07, 700.0]) > 1e-5)
    assert fit.u_n(546.07) >= fit.half_spread(546.07) / np.sqrt(3) * (1 - 1e-12)


def test_the_doubt_grows_with_the_distance_from_the_readings():
    fit = Dispersion.fit([486.1327, 587.5618, 656.2725], pmma([486.1327, 587.5618, 656.2725]), u_n=1e-4)
    assert np.all(np.diff(fit.u_n([656.3, 700.0, 800.0, 1000.0, 1500.0])) > 0)
    assert np.all(np.diff(fit.u_n([486.0, 450.0, 400.0, 300.0])) > 0)
    assert fit.range_nm == (486.1327, 656.2725)
    assert fit.is_extrapolated([486.0, 486.1327, 600.0, 656.2725, 700.0]).tolist() == [True, False, False, False, True]
    assert fit.is_extrapolated(550.0) == False  # noqa: E712  a numpy bool


@pytest.mark.parametrize("name", POLYMERS)
@pytest.mark.parametrize(("form", "terms"), [("cauchy", 2), ("cauchy", 3), ("cauchy", 4), ("schott", 3), ("sellmeier", 1), ("conrady", 3)])
def test_published_polymers_are_met_within_the_uncertainty(name, form, terms):
    n = POLYMERS[name]
    fit = Dispersion.fit(LAMPS, n(np.array(LAMPS)), form=form, terms=terms, u_n=3e-4)
    at = np.linspace(405.0, 1000.0, 60)
    assert np.all(np.abs(fit.n(at) - n(at)) < 2 * fit.u_n(at))


def test_without_any_uncertainty_it_says_what_to_give():
    fit = Dispersion.fit([486.1327, 656.2725], [1.496536, 1.488077])
    assert fit.u_from == "unknown"
    assert np.isnan(fit.covariance).all()
    assert fit.n(550.0) == pytest.approx(1.4924, abs=1e-3)
    for ask in (lambda: fit.u_n(550.0), lambda: fit.u_abbe_d, lambda: fit.u_abbe_e):
        with pytest.raises(InputError, match="2 readings leave nothing over to judge 2 parameters by: give u_n or covariance"):
            ask()
    with pytest.raises(InputError, match="give u_n_d and u_abbe_d"):
        Dispersion.from_abbe(1.49, 58.0, u_n_d=1e-4).u_n(550.0)


def test_readings_that_the_form_does_not_suit_are_told():
    with pytest.warns(RangeWarning, match=r"times further from the fit than their uncertainty explains"):
        Dispersion.fit(LAMPS, pmma(), form="conrady", u_n=1e-5)


def test_slope():
    fit = Dispersion.fit(LAMPS, pmma(), form="sellmeier", u_n=1e-4)
    at = np.array([450.0, 550.0, 700.0])
    assert fit.slope_per_nm(at) == pytest.approx((fit.n(at + 0.01) - fit.n(at - 0.01)) / 0.02, rel=1e-6)
    assert Dispersion.from_abbe(1.5, 50.0).slope_per_nm(550.0) < 0


# --- from an Abbe number ------------------------------------------------------------------------------------------------------------------


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
    assert exact.abbe_e == pytest.approx(V_e, rel=1e-4)


@given(st.floats(1.33, 1.75), st.floats(20.0, 90.0), st.sampled_from(["cauchy", "conrady", "one resonance", "water"]))
def test_it_keeps_what_it_was_given(n_d, abbe_d, form):
    of = Dispersion.from_abbe(n_d, abbe_d, u_n_d=1e-4, u_abbe_d=0.5, form=form)
    assert (of.n(LINES_NM["d"]), of.abbe_d) == pytest.approx((n_d, abbe_d), rel=1e-9)
    assert of.u_abbe_d == pytest.approx(0.5, rel=1e-6)
    assert of.u_n(LINES_NM["d"]) == pytest.approx(1e-4, rel=1e-6)
    assert np.all(of.slope_per_nm(np.linspace(400, 800, 9)) < 0)
    assert of.is_extrapolated(700.0)


@pytest.mark.parametrize("to_nm", [450.0, 546.07, 632.8, 780.0])
def test_it_is_the_step_of_the_sheet(to_nm):
    """The same numbers as `by_abbe_number` and `by_second_reading`, which take whole columns."""
    of, step = Dispersion.from_abbe(1.4906, 58.0), by_abbe_number(1.4906, LINES_NM["d"], 58.0, to_nm)
    assert of.n(to_nm) == pytest.approx(step.n, rel=1e-14)
    assert of.by_readings(to_nm) == pytest.approx([step.by_reading, step.by_abbe], rel=1e-10)
    assert of.half_spread(to_nm) == pytest.approx(step.half_spread, rel=1e-9)
    two, step = Dispersion.fit([486.13, 632.8], [1.4965, 1.4890]), by_second_reading(1.4965, 486.13, 1.4890, 632.8, to_nm)
    assert two.n(to_nm) == pytest.approx(step.n, rel=1e-13)
    assert two.by_readings(to_nm) == pytest.approx([step.by_reading, step.by_second], rel=1e-9)
    assert two.half_spread(to_nm) == pytest.approx(step.half_spread, rel=1e-8)


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
    assert not by_second_reading(1.4965, 486.13, 1.4890, 632.8, 546.07).is_extrapolated


# --- what is refused ----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"wavelength_nm": [486.1, 587.6]}, "wavelength_nm has 2 values and n has 3"),
        ({"wavelength_nm": [0.4861, 0.5876, 0.6563]}, r"row 1: wavelength_nm = 0.4861 nm: must be 200 to 2000 nm; is it in µm\? write it in nm"),
        ({"wavelength_nm": [486.1, np.nan, 656.3]}, "row 2: wavelength_nm is missing or not a number"),
        ({"n": [1.4965, np.nan, 1.4881]}, "row 2: n is missing or not a number"),
        ({"n": [14.965, 14.906, 14.881]}, "is the decimal point one place off"),
        ({"n": ["1,4965", "1,4906", "1,4881"]}, "is not a number"),
        ({"n": [1.4881, 1.4906, 1.4965]}, "are wavelengths and indices in the same order"),
        ({"n": [1.49, 1.49, 1.49]}, "are wavelengths and indices in the same order"),
        ({"wavelength_nm": [486.1, 486.1, 656.3]}, "486.1 nm appears twice: take the mean of the replicates"),
        ({"wavelength_nm": [586.0, 589.0, 592.0]}, "less than 10 nm apart"),
        ({"wavelength_nm": [], "n": []}, "needs as many readings; there are 0"),
        ({"wavelength_nm": 587.6, "n": 1.49}, "a list of readings"),
        ({"terms": 4}, "has 4 parameters and needs as many readings; there are 3"),
        ({"terms": 9}, "terms = 9: must be 2 to 6 for the form 'cauchy'"),
        ({"terms": 1}, "terms = 1: must be 2 to 6"),
        ({"form": "one resonance", "terms": 3}, "must be 2 for the form"),
        ({"form": "sellmeier", "terms": 2}, "has 4 parameters"),
        ({"u_n": -1e-4}, "u_n = -0.0001: must be 0 to 1"),
        ({"u_n": 0.0}, "leaves the others without weight"),
        ({"u_n": [1e-4, 1e-4]}, "one number or one a reading"),
        ({"u_n": 1e-4, "covariance": np.eye(3)}, "both given"),
        ({"covariance": np.eye(2)}, "3 by 3"),
        ({"covariance": "1e-8"}, "3 by 3"),
        ({"u_n": np.nan}, "u_n is missing or not a number"),
        ({"covariance": np.full((3, 3), 1e-8)}, "needs an uncertainty of its own"),
        ({"covariance": np.diag([1e-8, -1e-8, 1e-8])}, "not positive definite"),
    ],
)
def test_unusable_readings_are_refused(arguments, told):
    usual = {"wavelength_nm": [486.1, 587.6, 656.3], "n": [1.4965, 1.4906, 1.4881]}
    with pytest.raises(InputError, match=told):
        Dispersion.fit(**{**usual, **arguments})


def test_an_unknown_form_names_the_nearest():
    with pytest.raises(UnknownNameError, match="did you mean sellmeier"):
        Dispersion.fit([486.1, 656.3], [1.4965, 1.4881], form="selmeier")
    with pytest.raises(UnknownNameError, match="two-parameter form"):
        Dispersion.from_abbe(1.49, 58.0, form="schott")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"n_d": 1.49, "abbe_d": 0.58}, "abbe_d = 0.58: must be 5 to 150"),
        ({"n_d": 14.9, "abbe_d": 58.0}, "n_d = 14.9"),
        ({"n_d": 1.0, "abbe_d": 58.0}, "has no dispersion"),
        ({"n_d": [1.49, 1.5], "abbe_d": 58.0}, "one material at a time"),
        ({"n_d": 1.49, "abbe_d": 58.0, "u_n_d": -1.0}, "u_n_d = -1: must be 0"),
        ({"n_d": 1.49, "abbe_d": np.nan}, "abbe_d is missing"),
    ],
)
def test_an_unusable_abbe_number_is_refused(arguments, told):
    with pytest.raises(InputError, match=told):
        Dispersion.from_abbe(**arguments)


@pytest.mark.parametrize("nm", [0.55, 199.0, 2001.0, np.nan])
@pytest.mark.parametrize("ask", ["n", "u_n", "half_spread", "slope_per_nm", "by_readings", "is_extrapolated"])
def test_a_wavelength_out_of_reach_is_refused(ask, nm):
    of = Dispersion.from_abbe(1.49, 58.0, u_n_d=1e-4, u_abbe_d=0.5)
    with pytest.raises(InputError, match="wavelength_nm"):
        getattr(of, ask)([550.0, nm])


def test_a_resonance_among_the_readings_is_refused():
    """A second term finds nothing in the visible to hold on to but the readings themselves."""
    with pytest.raises(InputError, match="resonance at 436 nm, inside or at the end of the range of the readings"):
        Dispersion.fit(LAMPS, pmma(), form="sellmeier", terms=2, u_n=1e-4)


@pytest.mark.parametrize("i", range(8))
def test_two_resonances_through_noise_are_refused(i):
    with pytest.raises(InputError, match="take fewer terms"):
        Dispersion.fit(LAMPS, pmma() + 2e-3 * np.eye(8)[i], form="sellmeier", terms=2, u_n=1e-3)


def test_nothing_is_said_at_or_beyond_a_resonance():
    nm = np.array([400.0, 450.0, 500.0, 600.0, 700.0])
    fit = Dispersion.fit(nm, sellmeier_index(nm, [1.2], [0.06]), form="sellmeier", u_n=1e-4)  # resonance at 245 nm
    assert fit.n(280.0) > 2
    with pytest.raises(InputError, match="resonance at 245 nm"):
        fit.n([300.0, 240.0])


def test_a_fit_that_rises_between_the_readings_is_refused():
    n = pmma() + 4e-3 * np.array([0, 0, 0, 1, -1, 0, 0, 0])
    with pytest.raises(InputError, match="rises with the wavelength"):
        Dispersion.fit(LAMPS, n, terms=6, u_n=1e-3)


def test_columns_of_a_table_are_taken():
    table = pd.DataFrame({"nm": NM, "n": PMMA}).sample(frac=1.0, random_state=1)
    fit = lenscalc.Dispersion.fit(table["nm"], table["n"], form="sellmeier")
    assert fit.parameters == pytest.approx(Dispersion.fit(NM, PMMA, form="sellmeier").parameters, rel=1e-9)
    assert isinstance(fit.n(550.0), float)
    assert fit.n([[500.0, 550.0]]).shape == (1, 2)
    assert fit.by_readings([[500.0, 550.0]]).shape == (1, 2, 8)
