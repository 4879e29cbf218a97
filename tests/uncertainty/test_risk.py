"""Acceptance limits, risks and capability: by hand, by simulation, and what must hold for any of them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import gamma, multivariate_normal, norm

from lenscalc import InputError, conformance_probability
from lenscalc.errors import UnknownNameError
from lenscalc.uncertainty import (
    GUARD_BAND_RULES,
    acceptance_limits,
    acceptance_limits_at,
    global_risks,
    guard_band_at_global_risk,
    measurement_capability,
    nonconformance_probability,
    process_capability,
    specific_risk,
    uncertainty_ratio,
)

RESISTORS = (1500.0, 0.12, 0.04, 1499.8, 1500.2)


@pytest.mark.parametrize(
    ("rule", "lower", "upper"),
    [
        ("simple acceptance", 20.1, 20.9),
        ("guarded acceptance", 20.3, 20.7),
        ("guarded acceptance, 0.83 U", 20.266, 20.734),
        ("guarded acceptance, 1.5 U", 20.4, 20.6),
        ("guarded rejection", 19.9, 21.1),
    ],
)
def test_named_rules_by_hand(rule, lower, upper):  # U = 0.2 D about 20.5 ± 0.4 D
    a = acceptance_limits(20.1, 20.9, 0.2, rule=rule)
    assert (a.acceptance_lower, a.acceptance_upper) == pytest.approx((lower, upper))
    assert a.exists


# false acceptance at the acceptance limit of one side, U = 2u, as quoted with the rules in texts on ILAC-G8:09/2019 and ISO 14253-1:2017
@pytest.mark.parametrize(
    ("rule", "at_most", "nearly"),
    [
        ("simple acceptance", 0.50, 0.50),
        ("guarded acceptance, 0.83 U", 0.05, 0.05),
        ("guarded acceptance", 0.025, 0.025),
        ("guarded acceptance, 1.5 U", 0.0016, 0.0016),
    ],
)
def test_the_risk_that_is_quoted_with_a_rule(rule, at_most, nearly):
    a = acceptance_limits(-np.inf, 10.0, 2 * 0.3, rule=rule)
    risk = nonconformance_probability(a.acceptance_upper, 0.3, -np.inf, 10.0)
    assert 0.8 * nearly < risk <= at_most


def test_a_rule_has_a_source_and_a_name_that_is_known():
    assert all(rule.source and rule.name == name for name, rule in GUARD_BAND_RULES.items())
    with pytest.raises(UnknownNameError, match="did you mean guarded acceptance"):
        acceptance_limits(0, 1, 0.1, rule="guarded aceptance")


@pytest.mark.parametrize("U", [0.4, 0.41, 5.0])
def test_guard_bands_that_meet_leave_no_zone(U):
    a = acceptance_limits(-0.4, 0.4, U)  # 2w ≥ T_U − T_L
    assert np.isnan([a.acceptance_lower, a.acceptance_upper]).all()
    assert not a.exists
    assert acceptance_limits(-0.4, 0.4, U, rule="guarded rejection").exists
    assert acceptance_limits(-0.4, 0.4, U, rule="simple acceptance").acceptance_upper == 0.4


def test_one_sided_limits():
    a = acceptance_limits(-np.inf, 5.0, 0.2)
    assert (a.acceptance_lower, a.acceptance_upper) == (-np.inf, 4.8)
    # one-sided 95 %: 1.645 (normal table); with 4 degrees of freedom 2.132 (t table)
    assert acceptance_limits_at(-np.inf, 5.0, 0.2, probability=0.95).guard_band == pytest.approx(0.2 * 1.645, abs=1e-4)
    assert acceptance_limits_at(1.0, np.inf, 0.2, probability=0.95, dof=4).acceptance_lower == pytest.approx(1 + 0.2 * 2.132, abs=1e-4)


@given(st.floats(0.0, 0.4), st.floats(0.51, 0.999), st.sampled_from([np.inf, 3.0, 10.0]))
def test_on_a_limit_the_probability_is_the_wanted_one(u, probability, dof):
    a = acceptance_limits_at(20.1, 20.9, u, probability=probability, dof=dof)
    if not a.exists:
        assert conformance_probability(20.5, u, 20.1, 20.9, dof) < probability
    elif u > 1e-6:
        assert conformance_probability(a.acceptance_lower, u, 20.1, 20.9, dof) == pytest.approx(probability, abs=1e-8)
        assert conformance_probability(a.acceptance_upper, u, 20.1, 20.9, dof) == pytest.approx(probability, abs=1e-8)
        assert a.acceptance_lower <= a.acceptance_upper


def test_specific_risk_is_of_the_decision_that_was_taken():
    r = specific_risk(np.array([20.5, 20.85, 21.0]), 0.1, 20.1, 20.9, acceptance_lower=20.2, acceptance_upper=20.8)
    assert r.accepted.tolist() == [True, False, False]
    assert np.isnan(r.producers_risk[0])
    assert np.isnan(r.consumers_risk[1:]).all()
    assert r.producers_risk[1] == pytest.approx(0.6915, abs=5e-5)  # Φ(0.5), normal table
    assert r.producers_risk[2] == pytest.approx(0.1587, abs=5e-5)  # Φ(−1)
    none = specific_risk(20.5, 0.1, 20.1, 20.9, acceptance_lower=np.nan, acceptance_upper=np.nan)
    assert not none.accepted


@pytest.mark.parametrize("acceptance", [(1499.82, 1500.18), (1499.8, 1500.2), (1499.7, 1500.25)])
def test_global_risks_against_the_bivariate_normal_law(acceptance):
    """Property and measured value are jointly normal with the variances s², s² + u² and the covariance s²: scipy's own quadrature of it."""
    mean, s, u, lower, upper = RESISTORS
    r = global_risks(*RESISTORS, acceptance_lower=acceptance[0], acceptance_upper=acceptance[1])
    law = multivariate_normal([mean, mean], [[s * s, s * s], [s * s, s * s + u * u]])
    both = law.cdf([upper, acceptance[1]], lower_limit=[lower, acceptance[0]])
    assert r.accepted - r.consumers_risk == pytest.approx(both, abs=1e-7)
    assert r.conforming - r.producers_risk == pytest.approx(both, abs=1e-7)


def test_global_risks_against_simulated_items():
    random = np.random.default_rng(3)
    n = 1_000_000
    item = random.normal(20.6, 0.2, n)
    measured = item + random.normal(0, 0.08, n)
    good, taken = (item >= 20.1) & (item <= 20.9), (measured >= 20.2) & (measured <= 20.8)
    r = global_risks(20.6, 0.2, 0.08, 20.1, 20.9, acceptance_lower=20.2, acceptance_upper=20.8)
    for predicted, seen in ((r.consumers_risk, taken & ~good), (r.producers_risk, good & ~taken), (r.conforming, good), (r.accepted, taken)):
        assert np.mean(seen) == pytest.approx(predicted, abs=4 * (predicted * (1 - predicted) / n) ** 0.5)
    assert r.nonconforming_of_accepted == r.consumers_risk / r.accepted


def test_a_perfect_measurement_errs_only_by_its_guard_band():
    r = global_risks(0.0, 1.0, 0.0, -2.0, 2.0, acceptance_lower=-1.0, acceptance_upper=1.0)
    assert r.consumers_risk == 0.0
    assert r.producers_risk == pytest.approx(0.9545 - 0.6827, abs=1e-4)  # normal table


@settings(max_examples=20)
@given(st.floats(-0.5, 0.5), st.floats(0.05, 1.0), st.floats(0.0, 0.5), st.floats(0.0, 0.39))
def test_a_wider_guard_band_moves_the_risk_from_the_consumer_to_the_producer(off, sd, u, w):
    simple = global_risks(off, sd, u, -0.4, 0.4, acceptance_lower=-0.4, acceptance_upper=0.4)
    guarded = global_risks(off, sd, u, -0.4, 0.4, acceptance_lower=-0.4 + w, acceptance_upper=0.4 - w)
    assert guarded.consumers_risk <= simple.consumers_risk + 1e-12
    assert guarded.producers_risk >= simple.producers_risk - 1e-12
    for r in (simple, guarded):  # accepted and conforming is one set, however it is counted
        assert r.accepted - r.consumers_risk == pytest.approx(r.conforming - r.producers_risk, abs=1e-10)


def test_rows_do_not_know_of_each_other():
    mean, u = np.array([1499.9, 1500.0, 1500.3]), np.array([0.04, 0.0, 0.2])
    rows = global_risks(mean, 0.12, u, 1499.8, 1500.2, acceptance_lower=1499.82, acceptance_upper=1500.18)
    for i in range(3):
        alone = global_risks(mean[i], 0.12, u[i], 1499.8, 1500.2, acceptance_lower=1499.82, acceptance_upper=1500.18)
        assert [x[i] for x in rows] == list(alone)


def test_a_guard_band_for_a_wanted_risk_gives_it_back():
    w = guard_band_at_global_risk(*RESISTORS, consumers_risk=0.0099)
    assert w == pytest.approx(0.02, abs=2e-4)  # the resistors' guard band, whose risk is 0.0099
    assert guard_band_at_global_risk(*RESISTORS, consumers_risk=0.05) == 0.0


@pytest.mark.parametrize("u", [0.5, 1.0, 3.0])
@pytest.mark.parametrize("side", [1, -1])
def test_a_guard_band_beside_one_limit(u, side):
    """Item N(0, 1), a limit at 0: measured beyond w and yet off is Φ(0) − Φ₂(0, w) of both, by scipy. At w = 0 it is arctan(u)/2π."""
    law = multivariate_normal([0.0, 0.0], [[1.0, 1.0], [1.0, 1.0 + u * u]])
    for wanted in (1e-2, 1e-3):
        lower, upper = (0.0, np.inf) if side > 0 else (-np.inf, 0.0)
        w = guard_band_at_global_risk(0.0, 1.0, u, lower, upper, consumers_risk=wanted)
        assert w > 0.0
        assert 0.5 - law.cdf([0.0, w]) == pytest.approx(wanted, abs=1e-7)
    simple = np.arctan(u) / (2.0 * np.pi)
    assert guard_band_at_global_risk(0.0, 1.0, u, 0.0, np.inf, consumers_risk=simple + 1e-9) == 0.0
    assert 0.0 < guard_band_at_global_risk(0.0, 1.0, u, 0.0, np.inf, consumers_risk=simple - 1e-9) < 1e-6


def test_capability_by_hand():
    assert measurement_capability(-0.4, 0.4, 0.05) == pytest.approx(4.0)  # 0.8/(4·0.05)
    assert uncertainty_ratio(0.4, 2 * 0.05) == pytest.approx(4.0)
    assert measurement_capability(-0.4, 0.4, 0.0) == np.inf
    c = process_capability(9.0, 11.0, 10.5, 0.4)
    assert c.c_p == pytest.approx(2.0 / 2.4)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: acceptance_limits(0.0, 1.0, -0.1), "U = -0.1"),
        (lambda: acceptance_limits(1.0, 0.0, 0.1), "lower limit"),
        (lambda: acceptance_limits_at(0.0, 1.0, 0.1, probability=95), "as a fraction"),
        (lambda: acceptance_limits_at(0.0, 1.0, 0.1, probability=0.5), "above 0.5"),
        (lambda: acceptance_limits_at(0.0, 1.0, 0.1, probability=0.4), "above 0.5"),
        (lambda: acceptance_limits_at(0.0, 1.0, 0.1, probability=np.nan), "above 0.5"),
        (lambda: acceptance_limits_at(0.0, 1.0, -0.1, probability=0.9), "u = -0.1"),
        (lambda: global_risks(0, 0, 1, -1, 1, acceptance_lower=-1, acceptance_upper=1), "process_sd"),
        (lambda: global_risks(0, [1, -1], 1, -1, 1, acceptance_lower=-1, acceptance_upper=1), "process_sd must be above 0"),
        (lambda: global_risks(0, [1, np.nan], 1, -1, 1, acceptance_lower=-1, acceptance_upper=1), "process_sd must be above 0"),
        (lambda: global_risks(0, 1, [0, -1], -1, 1, acceptance_lower=-1, acceptance_upper=1), "u_measurement must be 0 or more"),
        (lambda: global_risks(0, 1, [0, np.nan], -1, 1, acceptance_lower=-1, acceptance_upper=1), "u_measurement must be 0 or more"),
        (lambda: global_risks([1, 0], 1, 1, -1, 1, acceptance_lower=-1, acceptance_upper=1, process="gamma"), "mean above 0"),
        (lambda: global_risks(0, [1, np.inf], 1, -1, 1, acceptance_lower=-1, acceptance_upper=1), "process_sd must be finite"),
        (lambda: global_risks(0, 1, 1, 1, -1, acceptance_lower=-1, acceptance_upper=1), "lower limit"),
        (lambda: global_risks(0, 1, 1, -1, 1, acceptance_lower=np.nan, acceptance_upper=np.nan), "no acceptance zone"),
        (lambda: global_risks(0, 1, 1, -1, 1, acceptance_lower=-1, acceptance_upper=1, process="gamma"), "mean above 0"),
        (lambda: global_risks(0, 1, 1, -1, 1, acceptance_lower=-1, acceptance_upper=1, process="uniform"), "unknown process"),
        (lambda: guard_band_at_global_risk(*RESISTORS, consumers_risk=2), "as a fraction"),
        (lambda: measurement_capability(-np.inf, 1, 0.1), "two finite limits"),
        (lambda: process_capability(0, 1, 0.5, -1), "sd = -1"),
        (lambda: uncertainty_ratio(-0.1, 0.1), "must be 0 or more"),
        (lambda: uncertainty_ratio(0.1, -0.1), "must be 0 or more"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    with pytest.raises(InputError, match=told):
        call()


@pytest.mark.parametrize(("sd", "off"), [(0.5, 1e-12), (0.8, 1e-8), (1.5, 1e-3)])
def test_a_gamma_process_that_crowds_towards_zero(sd, off):
    """Of mean 1; the widest has a density without bound at 0, of which half lies below 0.3."""
    law = gamma(1 / sd**2, scale=sd**2)
    found = global_risks(1.0, sd, 0.05, 0.0, 2.0, acceptance_lower=0.1, acceptance_upper=1.9, process="gamma")
    assert found.conforming == pytest.approx(law.cdf(2.0), abs=off)


def test_what_has_no_error_has_no_end_of_its_ratio_and_a_zone_without_width_accepts_nothing():
    assert uncertainty_ratio(0.4, 0.0) == np.inf
    assert uncertainty_ratio(0.0, 0.1) == 0.0
    nothing = global_risks(10.0, 0.1, 0.05, 9.8, 10.2, acceptance_lower=10.0, acceptance_upper=10.0)
    assert (nothing.accepted, nothing.consumers_risk) == (0.0, 0.0)
    assert nothing.producers_risk == pytest.approx(nothing.conforming, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("value", "taken"), [(20.2, True), (20.8, True), (20.1999, False), (20.8001, False), (20.1, False)])
def test_on_a_limit_of_acceptance_an_item_is_accepted(value, taken):
    """The acceptance interval has its limits among its values (JCGM 106:2012, 3.3.9, from memory)."""
    assert specific_risk(value, 0.1, 20.1, 20.9, acceptance_lower=20.2, acceptance_upper=20.8).accepted == taken


def test_a_risk_that_no_guard_band_reaches():
    """Item and error N(0, 1), limits ±1: at the widest band 2e-9 of the tolerance is left, which takes 2e-9/√(4π) = 5.6e-10 of the items; given a
    measured 0 an item is N(0, ½), of which 2Φ(−√2) = 0.157 lie beyond the limits: the risk is 8.9e-11."""
    reached = 2e-9 / (4.0 * np.pi) ** 0.5 * 2.0 * norm.cdf(-(2.0**0.5))
    assert np.isnan(guard_band_at_global_risk(0.0, 1.0, 1.0, -1.0, 1.0, consumers_risk=0.99 * reached))
    assert guard_band_at_global_risk(0.0, 1.0, 1.0, -1.0, 1.0, consumers_risk=1.01 * reached) == pytest.approx(1.0, abs=1e-8)


@pytest.mark.parametrize("risk", [-0.1, 0.0, 1.0])
def test_a_wanted_risk_lies_between_nothing_and_one(risk):
    with pytest.raises(InputError, match="above 0 and below 1, as a fraction"):
        guard_band_at_global_risk(*RESISTORS, consumers_risk=risk)


@pytest.mark.parametrize("mean", [0.0, -1.0, np.nan])
def test_a_gamma_process_has_a_mean_above_0(mean):
    with pytest.raises(InputError, match="mean above 0"):
        global_risks(mean, 1.0, 1.0, 0.0, 1.0, acceptance_lower=0.0, acceptance_upper=1.0, process="gamma")


def test_what_a_probability_of_acceptance_may_be_is_told():
    with pytest.raises(InputError) as caught:
        acceptance_limits_at(0.0, 1.0, 0.1, probability=1.0)
    assert caught.value.limits == (0.5, 1.0)


def test_where_not_even_the_middle_is_certain_enough_there_is_no_acceptance_zone():
    """At u of half the width the middle conforms with 0.683 (normal table)."""
    none = acceptance_limits_at(20.1, 20.9, 0.4, probability=0.69)
    assert np.isnan(none[:3]).all()
    assert not none.exists
    assert acceptance_limits_at(20.1, 20.9, 0.4, probability=0.68).exists
