"""What is just enough for a fit, and sums that more than two components leave at nothing."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.material import Dispersion, dry_index, mix, u_water_index, water_mass_fraction_wet_from_weights
from lenscalc.material.dispersion_fit import form_of
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


def test_by_gladstone_and_dale_a_mixture_has_straight_slopes():
    """n = f·n₁ + (1 − f)·n₂: ∂n/∂f = n₁ − n₂, ∂n/∂n₁ = f, ∂n/∂n₂ = 1 − f; a column of indices has a column of slopes."""
    one = two_mixed_of(1.336, 1.5, 0.3, "gladstone-dale")
    assert tuple(one) == pytest.approx((0.3 * 1.336 + 0.7 * 1.5, -0.164, 0.3, 0.7), rel=1e-14)
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
        water_mass_fraction_wet_from_weights([0.02, 0.02, 0.02], mass_dry_g=[0.01, 0.03, 0.04])


def test_a_group_may_be_missing_from_a_repeat_unit():
    name, *_ = INCREMENTS_CM3_PER_MOL
    assert molar_refraction_from_increments({name: 0}) == 0.0
