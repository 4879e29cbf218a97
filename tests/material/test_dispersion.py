"""What the numbers of a dispersion mean: how certain two points leave it, how far its doubt grows, polymers as published, columns of a table."""

import numpy as np
import pandas as pd
import pytest
from measured_polymers import LAMPS, NM, PMMA, POLYMERS, pmma

import lenscalc
from lenscalc import Dispersion, InputError
from lenscalc.conditions import LINES_NM
from lenscalc.errors import RangeWarning


def test_two_indices_leave_the_abbe_number_uncertain_by_17_percent():
    """u = 0.001 each: √2·0.001/0.00846 = 16.7 %; what is common to both cancels in n_F − n_C."""
    nm, n = [LINES_NM["F"], LINES_NM["C"]], [1.496536, 1.488077]
    alone = Dispersion.fit(nm, n, u_n=0.001)
    assert alone.u_abbe_d / alone.abbe_d == pytest.approx(0.167, abs=0.002)
    shared = Dispersion.fit(nm, n, covariance=np.diag([1e-8, 1e-8]) + 1e-6)
    assert shared.u_abbe_d / shared.abbe_d == pytest.approx(0.0168, abs=0.0005)
    assert shared.u_n(550.0) == pytest.approx(0.001, rel=0.02, abs=0.0)  # while the index itself has all of it
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


@pytest.mark.parametrize("form", ["cauchy", "conrady", "water"])
def test_exact_readings_leave_an_abbe_number_the_doubt_about_the_form(form):
    """A rectangle of half the spread of V_d between the four forms of two parameters, or of the distance to Cauchy's: u = a/√3."""
    nm, n = [435.83, 700.0], [1.5, 1.485]
    V = {name: Dispersion.fit(nm, n, form=name).abbe_d for name in ("cauchy", "conrady", "one resonance", "water")}
    half_width = max((max(V.values()) - min(V.values())) / 2.0, abs(V[form] - V["cauchy"]))
    assert Dispersion.fit(nm, n, form=form, u_n=0.0).u_abbe_d == pytest.approx(half_width / 3**0.5, rel=1e-9, abs=0.0)


@pytest.mark.parametrize("form", ["cauchy", "conrady", "schott", "water"])
def test_of_three_parameters_the_doubt_is_the_distance_to_the_farthest_form(form):
    nm, n, at = [435.83, 546.07, 700.0], [1.5, 1.492, 1.486], np.array([405.0, 500.0, 900.0])
    by = {name: Dispersion.fit(nm, n, form=name, terms=3).n(at) for name in ("cauchy", "conrady", "schott", "water")}
    farthest = np.max([np.abs(by[form] - other) for other in by.values()], axis=0)
    found = Dispersion.fit(nm, n, form=form, terms=3, u_n=0.0)
    assert found.form_half_width(at) == pytest.approx(farthest, rel=1e-6, abs=0.0)
    assert found.u_n(at) == pytest.approx(farthest / 3**0.5, rel=1e-6, abs=0.0)


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
    with pytest.warns(RangeWarning, match=r"times further from the fit than their uncertainty explains") as told:
        Dispersion.fit(LAMPS, pmma(), form="conrady", u_n=1e-5)
    assert told[0].filename == __file__  # whoever asked for the fit


def test_slope():
    fit = Dispersion.fit(LAMPS, pmma(), form="sellmeier", u_n=1e-4)
    at = np.array([450.0, 550.0, 700.0])
    assert fit.slope_per_nm(at) == pytest.approx((fit.n(at + 0.01) - fit.n(at - 0.01)) / 0.02, rel=1e-6, abs=0.0)
    assert Dispersion.from_abbe(1.5, 50.0).slope_per_nm(550.0) < 0


def test_columns_of_a_table_are_taken():
    table = pd.DataFrame({"nm": NM, "n": PMMA}).sample(frac=1.0, random_state=1)
    fit = lenscalc.Dispersion.fit(table["nm"], table["n"], form="sellmeier")
    assert fit.parameters == pytest.approx(Dispersion.fit(NM, PMMA, form="sellmeier").parameters, rel=1e-9, abs=0.0)
    assert isinstance(fit.n(550.0), float)
    assert fit.n([[500.0, 550.0]]).shape == (1, 2)
    assert fit.by_readings([[500.0, 550.0]]).shape == (1, 2, 8)
