"""Exactly at an edge, in numbers that doubles hold, and where candidates tie below the best."""

import numpy as np
import pytest
from scipy.stats import norm

from lenscalc.decision import Criterion, better_probability, decide, largest_u, rank_candidates, rank_trials, slips, yield_below_probability
from lenscalc.decision.better import squared_own_part
from lenscalc.decision.instrument import decimals_needed
from lenscalc.decision.lot import expected_yield
from lenscalc.decision.replicates import mountings_worth, replicates_worth
from lenscalc.decision.rules import by_rules
from lenscalc.errors import InputError
from lenscalc.uncertainty import coverage_factor


def test_what_is_certain_meets_any_probability():
    """Without uncertainty a lens on its label conforms with probability 1."""
    assert decide(20.0, 0.0, np.inf, 0.0, np.inf, 20.0, 0.4, required_probability=1.0).verdict == "would conform if cut to these dimensions"


def test_guard_bands_that_meet_leave_no_zone():
    """A tolerance of just the guard band, k·u: between −k·u + k·u and k·u − k·u lies nothing (JCGM 106:2012, 8.3.2, from memory)."""
    found = decide(0.0, 0.25, np.inf, 0.25, np.inf, 0.0, coverage_factor(0.95) * 0.25)
    assert np.isnan(found[2:4]).all()


@pytest.mark.parametrize(("tolerance_D", "decimals"), [(1.5e-7, 9.0), (1.5e-8, np.nan)])
def test_nine_decimals_are_the_most_that_are_named(tolerance_D, decimals):
    """20 D at 1.436 have 200 D per index: a step of √12·tolerance/(1.96·200) still decides, 1.3e-9 or 1.3e-10: the 9th decimal or the 10th."""
    np.testing.assert_equal(float(decimals_needed(20.0, 1.436, tolerance_D=tolerance_D).decimals), decimals)


def test_a_tie_below_the_best_is_shared_by_lot():
    found = rank_trials([21.0, 20.0, 20.0], trials=20_000)
    assert found.probability[0].tolist() == [1.0, 0.0, 0.0]
    assert found.probability[1:, 1:] == pytest.approx(np.full((2, 2), 0.5), abs=0.02)  # five standard errors


def test_every_trial_has_one_first_one_second_and_one_third():
    """More trials than one block of them holds, and no whole number of blocks."""
    found = rank_trials([20.0, 20.1, 20.2], u=0.1, trials=400_001)
    assert found.probability.sum(axis=0) == pytest.approx(np.ones(3), abs=1e-12)
    assert found.probability.sum(axis=1) == pytest.approx(np.ones(3), abs=1e-12)


def test_a_shared_error_of_what_should_be_high_and_what_should_be_low():
    """Two candidates 1 apart in each: of the score ½·x − ½·y the shared error moves the difference by ½(p₁ − p₂) − ½(q₁ − q₂) = 0.5, all else 0."""
    found = rank_candidates(
        {"x": [10.0, 9.0], "y": [5.0, 6.0]}, [Criterion("x", "high"), Criterion("y", "low")],
        u={"x": [0.6, 0.1], "y": [0.2, 0.7]}, calibration_part={"x": [0.6, 0.1], "y": [0.2, 0.7]},
    )  # fmt: skip
    # the scores are 1 and 0
    assert found.better_than_next_probability[0] == pytest.approx(norm.cdf(1.0 / (0.5 * 0.5 + 0.5 * 0.5)), rel=1e-9, abs=0.0)


def test_all_shared_and_nothing_else_by_hand():
    """20 + p·z and 20 + q·z: the smaller part is nearer to 20 whatever z; sum and difference of their departures correlate by ±1 but for rounding."""
    for p in np.linspace(0.01, 0.99, 50):
        near = better_probability(20.0, 20.0, u=p, other_u=1.0, calibration_part=p, other_calibration_part=1.0, direction="near", target=20.0)
        assert float(near) == pytest.approx(1.0, abs=1e-7)
        far = better_probability(20.0, 20.0, u=1.0, other_u=p, calibration_part=1.0, other_calibration_part=p, direction="near", target=20.0)
        assert float(far) == pytest.approx(0.0, abs=1e-7)


def test_lenses_without_an_error_of_their_own_are_all_good_or_none():
    """A lot misses a yield of 1 where its mean is off, two standard uncertainties either side."""
    missed = yield_below_probability(20.5, 0.2, 0.0, 20.1, 20.9, wanted_yield=1.0)
    assert float(missed) == pytest.approx(2.0 * norm.sf(2.0), rel=1e-9, abs=0.0)


def test_without_uncertainty_no_rule_takes_anything_off():
    """Every guard band is a multiple of U = 0."""
    for found in by_rules(20.5, 0.0, np.inf, 20.1, 20.9, 0.95):
        assert (found.acceptance_lower_D, found.acceptance_upper_D, found.accepted) == (20.1, 20.9, True)
        assert found.guard_band_in_U >= 0.0


def test_on_a_limit_no_u_decides():
    """Half of what is possible lies beyond, however small the u."""
    assert np.isnan([largest_u(20.0, 20.0, 21.0, 0.95), largest_u(21.0, 20.0, 21.0, 0.95)]).all()


def test_readings_that_do_not_scatter_are_enough_at_two():
    assert mountings_worth(0.0, 0.0) == mountings_worth(0.0, 1e-4) == 2


@pytest.mark.parametrize(("power_D", "far"), [(15.0, False), (14.99, True), (25.0, False), (25.01, True), (np.nan, False)])
def test_five_dioptres_from_the_label_is_asked_about(power_D, far):
    (from_label, told), _ = slips(power_D, 0.05, 20.0, 0.4)
    assert bool(from_label) is far
    assert told.startswith("the power lies more than 5 D from the label: ")


@pytest.mark.parametrize(("u_power_D", "wide"), [(1.5, False), (1.51, True), (np.nan, False)])
def test_a_u_of_three_tolerances_is_asked_about(u_power_D, wide):
    _, (too_wide, told) = slips(20.0, u_power_D, 20.0, 0.5)
    assert bool(too_wide) is wide
    assert told.startswith("u of the power is more than 3 times the tolerance: ")


@pytest.mark.parametrize(("s", "enough"), [(100.0, 10_000), (100.1, None)])
def test_ten_thousand_replicates_are_the_most_that_are_named(s, enough):
    """s/√n is as large as the whole rest, 1, with n = s²."""
    if enough is None:
        with pytest.raises(InputError, match=r"^1e\+04 replicates would be needed: find out why"):
            replicates_worth(s, 1.0, part=1.0)
    else:
        assert replicates_worth(s, 1.0, part=1.0).enough == enough


def test_a_table_of_replicates_stands_on_round_numbers():
    """2 to 10, then about two a decade, up to the wanted one; n − 1 degrees of freedom each, u² = s²/n + rest²."""
    rows = replicates_worth(6.0, 1.0, part=1.0).rows
    assert [r.replicates for r in rows] == [2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 36]
    assert [r.u for r in rows] == pytest.approx([(36.0 / n + 1.0) ** 0.5 for n in (r.replicates for r in rows)], rel=1e-14, abs=0.0)
    assert np.isnan(rows[0].last_one_gained)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (lambda: expected_yield(20.5, [0.1, -0.2, -0.3], 0.05, 20.1, 20.9), "u_common_D = -0.2 D: a standard uncertainty must be 0 or more"),
        (lambda: expected_yield(20.5, 0.1, [0.0, -0.4, -0.3], 20.1, 20.9), "u_individual_D = -0.4 D: a standard uncertainty must be 0 or more"),
        (lambda: expected_yield(20.5, 0.1, 0.05, 20.1, 20.9, dof_common=[5.0, -1.0, 0.0]), "dof_common = -1: degrees of freedom must be above 0"),
        (lambda: expected_yield(20.5, 0.1, 0.05, 20.1, 20.9, dof_common=0.0), "dof_common = 0: degrees of freedom must be above 0"),
        (lambda: squared_own_part([0.0, -0.1, -0.2], 0.0), "u = -0.1: a standard uncertainty must be 0 or more"),
        (lambda: replicates_worth(1e-4, -1e-4), "u_rest and part must be above 0: beside nothing no number of replicates is small"),
        (lambda: replicates_worth(1e-4, 1e-4, part=-0.3), "u_rest and part must be above 0: beside nothing no number of replicates is small"),
        (lambda: by_rules(20.5, -0.1, np.inf, 20.1, 20.9, 0.95), "u = -0.1: a standard uncertainty must be 0 or more"),
        (lambda: decimals_needed(20.0, 1.49, tolerance_D=-0.4), "tolerance_D must be above 0"),
    ],
)
def test_the_first_that_cannot_be_is_named(asked, told):
    with pytest.raises(InputError) as caught:
        asked()
    assert str(caught.value) == told


def test_a_power_without_u_needs_no_guard_band():
    """w = r·U, and U is 0: each rule accepts up to the limit itself, without risk."""
    for outcome in by_rules(20.9, 0.0, np.inf, 20.1, 20.9, 0.95):
        assert (outcome.guard_band_in_U, outcome.acceptance_lower_D, outcome.acceptance_upper_D, outcome.accepted) == (0.0, 20.1, 20.9, True)


def test_one_candidate_stands_first_in_every_trial():
    """There is nobody to be better than."""
    found = rank_trials([20.0], u=0.1, trials=100, seed=1)
    assert found.probability.tolist() == [[1.0]]


def test_limits_that_are_swapped_have_no_largest_u():
    """They had nan, as a value outside."""
    with pytest.raises(InputError, match=r"^the lower limit, lower = 20.4, lies above the upper limit, upper = 19.6: write the smaller one as"):
        largest_u(20.0, 20.4, 19.6, 0.95)


@pytest.mark.parametrize("value", [19.0, 19.6, 20.4, 21.0, np.inf, np.nan])
@pytest.mark.parametrize("p", [0.5, 0.95, 0.999, 1.0])
def test_outside_its_limits_no_u_is_named_beside_one_that_is(value, p):
    beside = largest_u([value, 20.0], 19.6, 20.4, p)
    assert np.isnan(beside[0])
    assert beside[1] == (0.0 if p == 1.0 else pytest.approx(0.4 / norm.isf((1.0 - p) / 2.0), rel=1e-9, abs=0.0))
