"""A lot whose lenses share one index error, against the same lots made lens by lens."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest, chi2, norm

from lenscalc import InputError, conformance_probability, evaluate, thick_lens
from lenscalc.decision import (
    all_off_probability,
    expected_yield,
    lot_forecast,
    none_off_probability,
    remeasured,
    yield_below_probability,
    yield_quantile,
)

R, T, N, U_N, U_R, U_T = 15.0, 0.9, 1.49, 0.0025, 0.05, 0.01
LABEL, TOLERANCE, LENSES, LOTS = 20.5, 0.4, 1000, 2000
LIMITS = (LABEL - TOLERANCE, LABEL + TOLERANCE)


@pytest.fixture(scope="module")
def stated():
    """What the chain says of such a lens: power, common and individual part of its u."""
    row = {
        "front_radius_mm": R, "back_radius_mm": -R, "center_thickness_mm": T, "n_lens": N, "u_n_lens": U_N, "u_front_radius_mm": U_R,
        "u_back_radius_mm": U_R, "u_center_thickness_mm": U_T, "labelled_power_D": LABEL,
    }  # fmt: skip
    columns = evaluate({k: [v] for k, v in row.items()}).columns
    names = ("power_D", "u_power_common_D", "u_power_individual_D", "conformance_probability", "expected_yield")
    return {name: float(columns[name][0]) for name in names}


@pytest.fixture(scope="module")
def yields():
    """The yield of each of many lots: one index error a lot, radii and thickness of each lens its own; the power by the thick lens."""
    random = np.random.default_rng(20260411)
    found = []
    for error in random.normal(0.0, U_N, LOTS):
        lens = (R + random.normal(0, U_R, LENSES), -R + random.normal(0, U_R, LENSES), np.abs(T + random.normal(0, U_T, LENSES)))
        power = thick_lens(*lens, N + error).power_D
        found.append(np.mean((LIMITS[0] <= power) & (power <= LIMITS[1])))
    return np.array(found)


def parts(stated):
    return stated["power_D"], stated["u_power_common_D"], stated["u_power_individual_D"], *LIMITS


def is_believable(probability, count, of=LOTS):
    """Whether so many of so many may come of this probability: a count that comes once in a thousand is not believed."""
    return binomtest(int(count), of, probability).pvalue > 1e-3


def test_the_lots_show_the_predicted_yield(stated, yields):
    predicted = expected_yield(*parts(stated))
    assert predicted == pytest.approx(stated["conformance_probability"], rel=1e-12, abs=0.0)  # one lens taken from a lot
    assert predicted == stated["expected_yield"]
    assert np.mean(yields) == pytest.approx(predicted, abs=4 * np.std(yields) / LOTS**0.5)


def test_the_lots_show_the_predicted_probability_that_all_are_off(stated, yields):
    f = lot_forecast(*parts(stated), lenses=LENSES)
    assert f.all_off_probability > 0.05
    assert is_believable(f.all_off_probability, np.sum(yields == 0.0))
    assert is_believable(f.none_off_probability, np.sum(yields == 1.0))
    assert is_believable(f.yield_below_probability, np.sum(yields < 0.95))
    assert is_believable(0.25, np.sum(yields < yield_quantile(*parts(stated), probability=0.25)))


def test_errors_taken_as_independent_are_refuted_by_the_lots(stated, yields):
    """The same u, but every lens with an index error of its own: the mean yield is the same, all else is wrong."""
    power, common, individual, *_ = parts(stated)
    independent = lot_forecast(power, 0.0, np.hypot(common, individual), *LIMITS, lenses=LENSES)
    assert independent.expected_yield == pytest.approx(expected_yield(*parts(stated)), rel=1e-12, abs=0.0)
    assert not is_believable(independent.all_off_probability, np.sum(yields == 0.0))
    assert not is_believable(independent.none_off_probability, np.sum(yields == 1.0))
    p = float(independent.expected_yield)
    spread = np.sum((yields - np.mean(yields)) ** 2) / (p * (1.0 - p) / LENSES)  # χ² of LOTS − 1 degrees of freedom, were they independent
    assert chi2.sf(spread, LOTS - 1) < 1e-12


def test_one_lot_of_a_known_index_error_shows_the_yield_of_that_error(stated):
    random = np.random.default_rng(5)
    error = 0.0034
    lens = (R + random.normal(0, U_R, LENSES), -R + random.normal(0, U_R, LENSES), T + random.normal(0, U_T, LENSES))
    power = thick_lens(*lens, N + error).power_D
    predicted = conformance_probability(thick_lens(R, -R, T, N + error).power_D, stated["u_power_individual_D"], *LIMITS)
    assert is_believable(float(predicted), np.sum((power >= LIMITS[0]) & (power <= LIMITS[1])), LENSES)
    assert not is_believable(stated["expected_yield"], np.sum((power >= LIMITS[0]) & (power <= LIMITS[1])), LENSES)


def test_no_individual_part_is_all_or_nothing():
    # 0.4 D from label to limit = 2 standard uncertainties of the common part: 0.9545 (normal table)
    f = lot_forecast(20.5, 0.2, 0.0, 20.1, 20.9)
    assert f.none_off_probability == pytest.approx(0.9545, abs=5e-5)
    assert f.all_off_probability == pytest.approx(0.0455, abs=5e-5)
    assert f.yield_below_probability == pytest.approx(0.0455, abs=5e-5)
    assert yield_quantile(20.5, 0.2, 0.0, 20.1, 20.9, probability=0.04) == 0.0
    assert yield_quantile(20.5, 0.2, 0.0, 20.1, 20.9, probability=0.05) == 1.0


def test_no_common_part_is_certain():
    f = lot_forecast(20.5, 0.0, 0.2, 20.1, 20.9, lenses=2)
    assert f.expected_yield == f.yield_quantile == pytest.approx(0.9545, abs=5e-5)
    assert f.all_off_probability == pytest.approx(0.0455**2, rel=3e-3, abs=0.0)
    assert f.none_off_probability == pytest.approx(0.9545**2, rel=1e-4, abs=0.0)
    assert f.lot_off_probability == 0.0


def test_few_degrees_of_freedom_cost_yield():
    # ±0.3 about the value, u 0.15, no individual part: 0.884 with 4 degrees of freedom (t table)
    assert expected_yield(20.5, 0.15, 0.0, 20.2, 20.8, dof_common=4) == pytest.approx(0.884, abs=5e-4)
    assert expected_yield(20.5, 0.15, 1e-6, 20.2, 20.8, dof_common=4) == pytest.approx(0.884, abs=5e-4)
    assert expected_yield(20.5, 0.15, 0.05, 20.2, 20.8, dof_common=4) < expected_yield(20.5, 0.15, 0.05, 20.2, 20.8)
    many = [expected_yield(20.5, 0.15, 0.05, 20.2, 20.8, dof_common=v) for v in (1e7, np.inf)]
    assert many[0] == pytest.approx(many[1], abs=1e-7)


@given(st.floats(20.0, 21.0), st.floats(0.01, 0.5), st.floats(0.01, 0.5), st.floats(0.01, 0.99))
def test_a_quantile_of_the_yield_is_missed_as_often_as_it_says(power, common, individual, low):
    y = yield_quantile(power, common, individual, 20.1, 20.9, probability=low)
    if 1e-6 < y < 1 - 1e-6:
        assert yield_below_probability(power, common, individual, 20.1, 20.9, wanted_yield=y) == pytest.approx(low, abs=1e-5)


@settings(max_examples=25)  # each integrates twice
@given(st.floats(20.0, 21.0), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_one_lens_is_a_lot_of_one(power, common, individual):
    good = expected_yield(power, common, individual, 20.1, 20.9)
    assert none_off_probability(power, common, individual, 20.1, 20.9, lenses=1) == pytest.approx(good, abs=1e-11)
    assert all_off_probability(power, common, individual, 20.1, 20.9, lenses=1) == pytest.approx(1 - good, abs=1e-11)


def test_arrays_give_what_single_lots_give():
    power, common = np.array([[20.3, 20.5], [20.7, 20.85]]), np.array([0.1, 0.2])
    whole = lot_forecast(power, common, 0.05, 20.1, 20.9, dof_common=np.array([[np.inf], [5.0]]))
    for i in range(2):
        for j in range(2):
            alone = lot_forecast(power[i, j], common[j], 0.05, 20.1, 20.9, dof_common=(np.inf, 5.0)[i])
            assert [x[i, j] for x in whole] == list(alone)


def test_measuring_again_by_hand():
    """0.2 D common, of which 0.0015·100 = 0.15 D from the index; √(0.2² − 0.15² + 0.03²) = 0.1356 D with u(n) = 0.0003."""
    r = remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=-100.0, u_n_lens=0.0015, u_n_lens_then=0.0003)
    assert r.u_common_then_D == pytest.approx(0.13565, abs=5e-6)
    assert r.then.expected_yield == expected_yield(20.5, r.u_common_then_D, 0.05, 20.1, 20.9)
    assert r.saved_per_1000 == pytest.approx(1000 * (r.then.expected_yield - r.now.expected_yield))
    assert r.saved_per_1000 > 0
    assert r.then.lot_off_probability < r.now.lot_off_probability
    same = remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=100.0, u_n_lens=0.0015, u_n_lens_then=0.0015)
    assert same.saved_per_1000 == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("u_common", "u_individual"), [(0.2, 0.05), (0.01, 1e-3), (1e-4, 0.3)])
def test_a_lot_its_mirror_and_one_about_zero_have_one_yield(u_common, u_individual):
    """Only where the limits lie about the power counts, not their signs: 20.885 lies 0.385 D above the middle of 20.1 to 20.9."""
    own = {"u_common_D": u_common, "u_individual_D": u_individual, "probability": 0.05}
    found = yield_quantile(20.885, lower_D=20.1, upper_D=20.9, **own)
    assert yield_quantile(-20.885, lower_D=-20.9, upper_D=-20.1, **own) == pytest.approx(found, rel=1e-12, abs=1e-14)
    assert yield_quantile(0.385, lower_D=-0.4, upper_D=0.4, **own) == pytest.approx(found, rel=1e-9, abs=1e-14)
    assert 0.0 < found <= 1.0


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: expected_yield(20.5, -0.1, 0.1, 20.1, 20.9), "u_common_D = -0.1 D"),
        (lambda: expected_yield(20.5, 0.1, -0.1, 20.1, 20.9), "u_individual_D = -0.1 D"),
        (lambda: expected_yield(20.5, [0.1, -0.2], 0.1, 20.1, 20.9), "u_common_D = -0.2 D"),
        (lambda: expected_yield(20.5, 0.1, 0.1, 20.9, 20.1), "lower limit"),
        (lambda: expected_yield(20.5, 0.1, 0.1, 20.1, 20.9, dof_common=0), "dof_common = 0"),
        (lambda: yield_below_probability(20.5, 0.1, 0.1, 20.1, 20.9, wanted_yield=95), "is it a percentage?"),
        (lambda: yield_quantile(20.5, 0.1, 0.1, 20.1, 20.9, probability=np.nan), "must be 0 to 1"),
        (lambda: all_off_probability(20.5, 0.1, 0.1, 20.1, 20.9, lenses=0), "lenses = 0: must be a whole number, 1 or more"),
        (lambda: remeasured(20.5, 0.1, 0.1, 20.1, 20.9, d_power_d_n_lens=132, u_n_lens=0.01, u_n_lens_then=0.001), "more than the whole"),
        (lambda: remeasured(20.5, 0.2, 0.1, 20.1, 20.9, d_power_d_n_lens=132, u_n_lens=0.001, u_n_lens_then=0.002), "larger than u_n_lens"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    with pytest.raises(InputError, match=told.replace("?", r"\?")):
        call()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: none_off_probability(20.5, 0.1, 0.1, 20.1, 20.9, lenses=0), "lenses = 0: must be a whole number, 1 or more"),
        (lambda: all_off_probability(20.5, 0.1, 0.1, 20.1, 20.9, lenses=0), "lenses = 0: must be a whole number, 1 or more"),
        (lambda: expected_yield(20.5, 0.1, 0.05, 20.1, 20.9, dof_common=-1.0), "dof_common = -1: degrees of freedom must be above 0"),
        (lambda: expected_yield(20.5, 0.1, 0.05, 20.1, 20.9, dof_common=[0.5, -1.0]), "dof_common = -1: degrees of freedom must be above 0"),
    ],
)
def test_what_cannot_be_is_told_by_its_own_name(asked, told):
    with pytest.raises(InputError) as caught:
        asked()
    assert str(caught.value) == told


@pytest.mark.parametrize("beyond", [-0.5, -1e-9, 1.0 + 1e-9, 1.5, 95.0, np.nan])
def test_a_yield_and_a_probability_are_fractions(beyond):
    lot = (20.5, 0.1, 0.1, 20.1, 20.9)
    for asked in (lambda x: yield_below_probability(*lot, wanted_yield=x), lambda x: yield_quantile(*lot, probability=x)):
        assert np.isfinite([asked(0.0), asked(1.0)]).all()
        with pytest.raises(InputError, match=r"must be 0 to 1; is it a percentage\? write it as a fraction$") as caught:
            asked(beyond)
        assert caught.value.limits == (0.0, 1.0)


@pytest.mark.parametrize("mirrored", [1.0, -1.0])
@pytest.mark.parametrize(
    ("of", "power", "common", "own", "lenses"),
    [
        (all_off_probability, 0.0, 0.142, 0.198, 1e6), (all_off_probability, 0.105, 0.141, 0.186, 1e9),
        (all_off_probability, 0.219, 0.166, 0.262, 1e9), (all_off_probability, 0.005, 0.0528, 0.0116, 1e9),
        (all_off_probability, 0.0514, 0.0148, 0.0717, 1e6), (none_off_probability, 0.417, 0.03, 0.00411, 1e6),
        (none_off_probability, 0.183, 0.00662, 0.0501, 1e9),
        (none_off_probability, 0.064, 7.23, 0.0481, 1e9), (none_off_probability, 0.106, 1.02, 0.0512, 1e6),
    ],
)  # fmt: skip
def test_very_many_lenses_against_a_sum_of_equal_steps(of, power, common, own, lenses, mirrored):
    """∫ yield^lenses, or (1 − yield)^lenses, over a normal common error, by the trapezoidal rule, which for so smooth a law gains digits with each
    halved step (Trefethen and Weideman, SIAM Rev. 56 (2014) 385; from memory, to be confirmed against the text). Limits at ±0.4."""
    power *= mirrored
    step = min(common, own) / 32.0
    mean = power + step * np.arange(-round(13.0 * common / step), round(13.0 * common / step) + 1)
    off = norm.cdf((-0.4 - mean) / own) + norm.sf((0.4 - mean) / own)
    good = norm.sf((np.abs(mean) - 0.4) / own) - norm.sf((np.abs(mean) + 0.4) / own)
    rest, p = (good, off) if of is all_off_probability else (off, good)
    with np.errstate(divide="ignore"):
        power_of_p = np.exp(lenses * np.where(p < 0.5, np.log(p), np.log1p(-rest)))
    expected = np.sum(power_of_p * np.exp(-(((mean - power) / common) ** 2) / 2)) * step / common / (2.0 * np.pi) ** 0.5
    assert of(power, common, own, -0.4, 0.4, lenses=lenses) == pytest.approx(expected, rel=4e-13, abs=0.0)
