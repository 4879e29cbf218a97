"""What is just enough for a fit, and sums that more than two components leave at nothing."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.errors import RangeWarning
from lenscalc.material import (
    Dispersion,
    dry_index,
    mix,
    sellmeier_index,
    sucrose_index,
    sucrose_mass_fraction,
    u_water_index,
    water_mass_fraction_wet_from_weights,
)
from lenscalc.material.dispersion_fit import form_of, forms_of_size
from lenscalc.material.dispersion_found import _check_scatter
from lenscalc.material.group_contributions import INCREMENTS_CM3_PER_MOL, molar_refraction_from_increments
from lenscalc.material.mixing import two_mixed_of

# n = 1.48 + 4000/L², three readings
CAUCHY = lambda nm: 1.48 + 4000.0 / np.asarray(nm) ** 2  # noqa: E731


def test_readings_ten_nanometres_apart_tell_of_dispersion():
    nm = [540.0, 545.0, 550.0]
    assert float(Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, u_n=1e-5).n(545.0)) == pytest.approx(float(CAUCHY(545.0)), abs=1e-9)
    with pytest.raises(InputError, match="less than 10 nm apart"):
        Dispersion.fit([540.0, 545.0, 549.9], CAUCHY([540.0, 545.0, 549.9]), form="cauchy", terms=2, u_n=1e-5)


def test_a_covariance_is_symmetric_and_no_reading_is_all_but_exact():
    nm = [450.0, 550.0, 650.0]
    skewed = 1e-10 * np.array([[1.0, 0.3, 0.0], [0.31, 1.0, 0.0], [0.0, 0.0, 1.0]])
    with pytest.raises(InputError, match="symmetric"):
        Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, covariance=skewed)
    with pytest.raises(InputError, match="an uncertainty of its own"):  # 7e-11 beside 3e-5 and 1e-4
        Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, covariance=np.diag([5e-21, 1e-9, 1e-8]))


@pytest.mark.parametrize("f", [(0.2, 0.3, 0.5), (0.6, 0.3, 0.1), (0.05, 0.05, 0.9)])
def test_three_components_leave_bruggemans_sum_at_nothing(f):
    n = (1.336, 1.43, 1.59)
    e = float(mix(n, f, rule="bruggeman")) ** 2
    assert sum(fi * (ni * ni - e) / (ni * ni + 2.0 * e) for ni, fi in zip(n, f, strict=True)) == pytest.approx(0.0, abs=1e-14)


def test_the_dry_mass_that_is_too_large_is_named():
    with pytest.raises(InputError, match=r"mass_dry_g = 0\.03 g"):
        water_mass_fraction_wet_from_weights([0.02, 0.02], mass_dry_g=[0.015, 0.03])
    with pytest.raises(InputError, match=r"mass_dry_g = 0\.03 g"):
        water_mass_fraction_wet_from_weights([0.05, 0.02], mass_dry_g=0.03)
    assert water_mass_fraction_wet_from_weights(0.02, mass_dry_g=0.02).water_mass_fraction_wet == 0.0


def test_a_covariance_that_is_symmetric_to_rounding_is_taken():
    nm = [450.0, 550.0, 650.0]
    shared = 1e-10 * np.array([[1.0, 0.3, 0.2], [0.3 * (1 + 1e-15), 1.0, 0.1], [0.2, 0.1, 1.0]])
    assert float(Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, covariance=shared).n(550.0)) == pytest.approx(CAUCHY(550.0), abs=1e-12)


@pytest.mark.parametrize(("fall", "enough"), [(0.9e-9, False), (1.1e-9, True)])
def test_readings_that_hardly_fall_are_told_from_those_that_are_equal(fall, enough):
    """n = 1.5 + b/L² that falls by just under and just over 1e-9 from 400 to 700 nm."""
    L = np.array([400.0, 550.0, 700.0])
    n = 1.5 + fall / (1 / 400.0**2 - 1 / 700.0**2) * (1 / L**2 - 1 / 700.0**2)
    if enough:
        assert float(Dispersion.fit(L, n).n(550.0)) == pytest.approx(1.5, abs=1e-8)
    else:
        with pytest.raises(InputError, match="in the same order"):
            Dispersion.fit(L, n)


def test_schotts_series_by_its_name_and_a_catalogues_glass():
    """A borosilicate crown's catalogue: six coefficients of n² and n_d = 1.51680 (from memory, to be confirmed against the text)."""
    form = form_of("schott", 6)
    assert form.parameter_names == ("a0", "a1_per_um2", "a2_um2", "a3_um4", "a4_um6", "a5_um8")
    crown = (2.2718929, -1.0108077e-2, 1.0592509e-2, 2.0816965e-4, -7.6472538e-6, 4.9240991e-7)
    assert [form.n_of(L, crown) for L in (0.4861327, 0.5875618, 0.6562725)] == pytest.approx([1.52238, 1.51680, 1.51432], abs=6e-6)


@pytest.mark.parametrize(
    ("name", "allowed"), [("cauchy", range(2, 7)), ("conrady", (2, 3)), ("schott", range(2, 7)), ("one resonance", (2,)), ("water", range(2, 7))]
)
def test_the_numbers_of_terms_that_are_told(name, allowed):
    for terms in allowed:
        assert form_of(name, terms).size == terms
        assert len(form_of(name, terms).parameter_names) == terms
    for terms in (allowed[0] - 1, allowed[-1] + 1):
        with pytest.raises(InputError, match=f"must be {allowed[0]}.*for the form {name!r}"):
            form_of(name, terms)


def test_sellmeiers_form_has_one_to_three_resonances_of_two_parameters():
    assert [form_of("sellmeier", terms).size for terms in (1, 2, 3)] == [2, 4, 6]
    for terms in (0, 4):
        with pytest.raises(InputError, match=f"^terms = {terms}: must be 1 to 3 for the form 'sellmeier'$"):
            form_of("sellmeier", terms)


def test_conradys_parameters_have_units():
    assert form_of("conrady", 2).parameter_names == ("a", "b_um3_5")
    assert form_of("conrady", 3).parameter_names == ("a", "b_um", "c_um3_5")


def test_beside_waters_own_dispersion_stands_cauchys_series():
    """a + b·water + c/L² + d/L⁴, L = λ/µm, with b = 0; at 0.5 µm 1/L² = 4 and 1/L⁴ = 16."""
    form = form_of("water", 4)
    assert form.parameter_names == ("a", "b", "c_um2", "d_um4")
    assert form.n_of(0.5, (1.3, 0.0, 0.01, 0.001)) == pytest.approx(1.3 + 0.01 * 4 + 0.001 * 16, rel=1e-15, abs=0.0)


def test_by_gladstone_and_dale_a_mixture_has_straight_slopes():
    """n = f·n₁ + (1 − f)·n₂: ∂n/∂f = n₁ − n₂, ∂n/∂n₁ = f, ∂n/∂n₂ = 1 − f; a column of indices has a column of slopes."""
    one = two_mixed_of(1.336, 1.5, 0.3, "gladstone-dale")
    assert tuple(one) == pytest.approx((0.3 * 1.336 + 0.7 * 1.5, -0.164, 0.3, 0.7), rel=1e-14, abs=0.0)
    column = two_mixed_of(np.full(3, 1.336), np.array([1.4, 1.5, 1.6]), 0.3, "gladstone-dale")
    assert column.by_first.tolist() == [0.3] * 3


@pytest.mark.parametrize("limit", [1.0, 3.0])
def test_an_index_on_its_limit_is_one(limit):
    without = {"water_mass_fraction_wet": 0.0, "density_dry_kg_per_m3": 1200, "n_water": 1.3, "density_water_kg_per_m3": 1000}
    assert dry_index(limit, **without, rule="newton") == limit


def test_a_column_of_dry_masses_has_a_slope_by_the_wet_one_each():
    """w = 1 − m_dry/m_wet: ∂w/∂m_wet = m_dry/m_wet², ∂w/∂m_dry = −1/m_wet."""
    w = water_mass_fraction_wet_from_weights(0.02, mass_dry_g=[0.01, 0.015])
    assert [x.tolist() for x in w] == [pytest.approx([0.5, 0.25]), pytest.approx([25.0, 37.5]), pytest.approx([-50.0, -50.0])]


def test_what_goes_through_two_numbers_has_nothing_over():
    assert Dispersion.from_abbe(1.49, 58.0).dof == 0


def test_the_uncertainty_of_waters_index_is_known_in_the_visible():
    assert u_water_index(400.0, 20.0) == u_water_index(700.0, 20.0) > 0
    for nm in (399.9, 700.1):
        with pytest.raises(InputError, match="400 to 700 nm"):
            u_water_index(nm, 20.0)


def test_of_several_dry_masses_that_are_too_large_the_first_is_named():
    with pytest.raises(InputError, match=r"mass_dry_g = 0\.03 g"):
        water_mass_fraction_wet_from_weights([0.02, 0.02, 0.02], mass_dry_g=[0.02, 0.03, 0.04])


def test_a_group_may_be_missing_from_a_repeat_unit():
    name, *_ = INCREMENTS_CM3_PER_MOL
    assert molar_refraction_from_increments({name: 0}) == 0.0


def test_nothing_is_said_just_within_a_resonance():
    """One resonance at 250.6 nm: at 250.5 nothing is said."""
    L = np.linspace(400.0, 700.0, 7)
    fit = Dispersion.fit(L, sellmeier_index(L, (1.2,), (0.2506**2,)), form="sellmeier", terms=1, u_n=1e-6)
    with pytest.raises(InputError, match="a resonance at 251 nm"):
        fit.n(250.5)


def test_schotts_form_stands_beside_others_of_its_size_but_not_of_two_terms():
    assert [f.name for f in forms_of_size(form_of("cauchy", 2))] == ["cauchy", "conrady", "one resonance", "water"]
    assert [f.name for f in forms_of_size(form_of("cauchy", 3))] == ["cauchy", "conrady", "schott", "water"]
    assert forms_of_size(form_of("schott", 2))[0].name == "schott"


def test_two_numbers_leave_two_residuals_of_nothing():
    assert Dispersion.from_abbe(1.49, 58.0).residuals.tolist() == [0.0, 0.0]


def test_where_a_fit_begins_to_rise_is_told():
    """n = 1.5 + b/L² + c/L⁴ has its least where L² = −2c/b; here at 600 nm, and the 201 places from 400 to 700 nm hold 601 first beyond."""
    L = np.array([400.0, 450.0, 500.0, 550.0, 600.0, 650.0, 700.0]) / 1000.0
    n = 1.5 - 0.004 / L**2 + 0.00072 / L**4
    with pytest.raises(InputError, match="rises with the wavelength near 601 nm"):
        Dispersion.fit(1000.0 * L, n, form="cauchy", terms=3, u_n=1e-6)


def test_how_many_times_further_the_readings_lie_by_numpy():
    """Five readings off a two-term form: the root of χ² over three degrees of freedom."""
    L, n = np.array([450.0, 500.0, 550.0, 600.0, 650.0]), np.array([1.5003, 1.4961, 1.4931, 1.4912, 1.4893])
    line = np.polyfit(1 / L**2, n, 1)
    times = float(np.sum((n - np.polyval(line, 1 / L**2)) ** 2 / 2e-5**2) / 3) ** 0.5
    with pytest.warns(RangeWarning, match=rf"lie {times:.1f} times further"):
        Dispersion.fit(L, n, form="cauchy", terms=2, u_n=2e-5)


def test_a_covariance_beyond_its_variances_is_none_even_where_nothing_is_over():
    with pytest.raises(InputError, match="not positive definite"):
        Dispersion.fit([486.1, 656.3], [1.4965, 1.4881], covariance=[[1e-8, 2e-8], [2e-8, 1e-8]])


def test_of_several_fractions_beyond_the_scale_the_first_is_named():
    with pytest.raises(InputError, match=r"mass_fraction = 0\.9"):
        sucrose_index([0.1, 0.9, 0.95])


@pytest.mark.parametrize("T", np.linspace(10.0, 30.0, 41))
def test_no_sugar_comes_back_as_none_and_not_as_less(T):
    assert 0.0 <= sucrose_mass_fraction(sucrose_index(0.0, T), T) < 1e-12


def test_a_warm_reading_near_the_end_of_the_scale_is_a_fraction_beyond_it():
    """At 30 °C 0.81 is added to a reading of 84.5 g/100 g: 85.31."""
    with pytest.raises(InputError, match="outside the sucrose scale"):
        sucrose_mass_fraction((1.50129 + 1.50398) / 2, 30.0)


@pytest.mark.parametrize(("spare", "usual"), [(1, 10.828), (2, 13.816), (6, 22.458)])
def test_readings_are_doubted_beyond_one_in_a_thousand(spare, usual):
    """Upper 0.001 points of chi-squared as tables print them (NIST/SEMATECH e-Handbook 1.3.6.7.4)."""
    _check_scatter(np.array([0.9998 * usual**0.5]), spare)
    with pytest.warns(RangeWarning, match=f"the readings lie {(usual / spare) ** 0.5:.1f} times further from the fit than their"):
        _check_scatter(np.array([1.0002 * usual**0.5]), spare)


def test_one_reading_over_is_enough_to_doubt_the_fit():
    """n = 1.5 + 0.003/L² but for the middle one, which lies 0.001 higher."""
    L = np.array([0.45, 0.55, 0.65])
    n = 1.5 + 0.003 / L**2 + [0.0, 1e-3, 0.0]
    with pytest.warns(RangeWarning, match="times further"):
        assert Dispersion.fit(1000.0 * L, n, u_n=1e-5).dof == 1
    assert Dispersion.fit(1000.0 * L, n).u_from == "scatter"
