"""Readings of a dispersion that cannot be used, and questions that it does not answer: refused in one sentence."""

from contextlib import nullcontext

import numpy as np
import pytest
from measured_polymers import LAMPS, pmma

from lenscalc import Dispersion, InputError
from lenscalc.errors import UnknownNameError
from lenscalc.material import sellmeier_index
from lenscalc.material.dispersion_fit import _check_resonances


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"wavelength_nm": [486.1, 587.6]}, "wavelength_nm has 2 values and n has 3: each reading needs both"),
        ({"n": [1.4965, 1.4906]}, "wavelength_nm has 3 values and n has 2: each reading needs both"),
        ({"wavelength_nm": [0.4861, 0.5876, 0.6563]}, r"row 1: wavelength_nm = 0.4861 nm: must be 200 to 2000 nm; is it in µm\? write it in nm"),
        ({"wavelength_nm": [486.1, np.nan, 656.3]}, "row 2: wavelength_nm is missing or not a number"),
        ({"n": [1.4965, np.nan, 1.4881]}, "row 2: n is missing or not a number"),
        ({"n": [14.965, 14.906, 14.881]}, "is the decimal point one place off"),
        ({"n": ["1,4965", "1,4906", "1,4881"]}, "is not a number"),
        ({"n": [1.4881, 1.4906, 1.4965]}, "are wavelengths and indices in the same order"),
        ({"n": [1.49, 1.49, 1.49]}, "are wavelengths and indices in the same order"),
        ({"wavelength_nm": [486.1, 486.1, 656.3]}, "486.1 nm appears twice: take the mean of the replicates"),
        ({"wavelength_nm": [656.3, 486.1, 656.3, 486.1], "n": [1.4881, 1.4965, 1.4881, 1.4965]}, "^wavelength_nm = 486.1 nm appears twice"),
        ({"wavelength_nm": [586.0, 589.0, 592.0]}, "less than 10 nm apart"),
        ({"wavelength_nm": [], "n": []}, "needs as many readings; there are 0"),
        ({"wavelength_nm": 587.6, "n": 1.49}, "a list of readings"),
        ({"wavelength_nm": [[486.1, 587.6, 656.3]]}, "wavelength_nm must be a list of readings, one value a wavelength"),
        ({"terms": 4}, "has 4 parameters and needs as many readings; there are 3"),
        ({"terms": 9}, "terms = 9: must be 2 to 6 for the form 'cauchy'"),
        ({"terms": 1}, "terms = 1: must be 2 to 6"),
        ({"form": "one resonance", "terms": 3}, "must be 2 for the form"),
        ({"form": "sellmeier", "terms": 2}, "has 4 parameters"),
        ({"u_n": -1e-4}, "u_n = -0.0001: must be 0 to 1"),
        ({"u_n": 0.0}, "leaves the others without weight"),
        ({"u_n": [1e-4, 1e-4]}, "one number or one a reading"),
        ({"u_n": 1e-4, "covariance": np.eye(3)}, "both given"),
        ({"covariance": np.eye(2)}, "covariance must be a symmetric matrix of numbers, 3 by 3, in the order of the readings"),
        ({"covariance": np.eye(4)}, "3 by 3"),
        ({"covariance": np.ones((3, 4))}, "3 by 3"),
        ({"covariance": np.diag([1.0, 1.0, np.inf])}, "3 by 3"),
        ({"covariance": "1e-8"}, "3 by 3"),
        ({"covariance": [["x"] * 3] * 3}, "3 by 3"),
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


@pytest.mark.parametrize(("nm", "fixed"), [(14.142, False), (14.143, True), (70707.0, True), (70711.0, False)])
def test_a_resonance_is_fixed_between_14_nm_and_70_um(nm, fixed):
    """2e-4 to 5e3 µm²: 14.1421 nm and 70.7107 µm."""
    with nullcontext() if fixed else pytest.raises(InputError, match=r"do not fix a resonance .*none between 14 nm and 70 µm"):
        _check_resonances(np.array([0.01, (nm / 1000.0) ** 2]), np.array([0.4, 0.7]))


@pytest.mark.parametrize(("nm", "clear"), [(391.0, True), (393.0, False), (500.0, False), (713.0, False), (715.0, True)])
def test_a_resonance_keeps_two_per_cent_away_from_the_readings(nm, clear):
    """From 400 to 700 nm: 392 and 714 nm."""
    told = rf"has a resonance at {nm:g} nm, inside or at the end of the range of the readings \(400 to 700 nm\): take fewer terms, or another form$"
    with nullcontext() if clear else pytest.raises(InputError, match=told):
        _check_resonances(np.array([0.01, (nm / 1000.0) ** 2]), np.array([0.4, 0.5, 0.7]))


def test_an_index_that_is_none_names_the_range_of_the_fit():
    """F and C: V = 8 of n_d = 2.9 leaves n = 3.6 at 200 nm."""
    with pytest.raises(InputError, match=r"wavelength_nm = 200 nm: .* it was fitted from 486\.133 to 656\.273 nm"):
        Dispersion.from_abbe(2.9, 8.0).n([589.3, 200.0, 205.0])


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
