"""Right at the edges of a ranking: nobody, one, ties, what is alike, and the first of several that are wrong."""

import numpy as np
import pytest
from scipy.stats import norm

from lenscalc import InputError
from lenscalc.decision import (
    Criterion,
    better_probability,
    pareto_set,
    rank_candidates,
    rank_trials,
)


def test_two_alike_may_each_have_either_rank():
    found = rank_trials([20.0, 20.0], u=0.1)
    assert found.seed == 1
    assert found.rank_lower.tolist() == [1.0, 1.0]
    assert found.rank_upper.tolist() == [2.0, 2.0]
    one = rank_trials(20.0, u=0.1)
    assert one.probability.tolist() == [[1.0]]


def test_ranking_names_the_criterion_whose_parts_cannot_be():
    criteria = [Criterion("power_D", "high"), Criterion("abbe_d", "high")]
    values = {"power_D": [20.0, 21.0], "abbe_d": [40.0, 50.0]}
    with pytest.raises(InputError, match="abbe_d: the calibration's part"):
        rank_candidates(values, criteria, u={"abbe_d": [1.0, 1.0]}, calibration_part={"abbe_d": [2.0, 2.0]})


def test_one_candidate_is_not_alike_to_anybody():
    assert rank_candidates({"abbe_d": [40.0]}, [Criterion("abbe_d", "high")]).remarks == ()
    assert rank_candidates({"abbe_d": [40.0, 40.0]}, [Criterion("abbe_d", "high")]).remarks != ()
    assert len(rank_candidates({"abbe_d": []}, [Criterion("abbe_d", "high")]).order) == 0


def test_the_short_list_holds_fifty():
    many = np.linspace(40.0, 50.0, 60)
    found = rank_candidates({"abbe_d": many}, [Criterion("abbe_d", "high")], u={"abbe_d": np.full(60, 0.1)}, trials=100)
    assert found.trials.mean_rank.size == 50
    assert found.trials.seed == 1


@pytest.mark.parametrize("unit", [1.0, 1e-3, 1e-15, 1e12])
def test_a_ranking_does_not_depend_on_the_unit(unit):
    """Costs of 1, 3 and 2 of anything are normalised to 1, 0 and ½."""
    for criterion in (Criterion("x", "low"), Criterion("x", "near", 0.0)):
        found = rank_candidates({"x": [unit, 3.0 * unit, 2.0 * unit]}, [criterion])
        assert found.order.tolist() == [0, 2, 1]
        assert found.score == pytest.approx([1.0, 0.5, 0.0], abs=1e-11)


def test_one_criterion_may_come_without_a_second_dimension():
    assert pareto_set([3.0, 1.0, 2.0, 1.0]).tolist() == [False, True, False, True]
    with pytest.raises(InputError, match="one row a candidate"):
        pareto_set(3.0)


def test_one_trial_is_enough_to_be_one():
    assert rank_trials([1.0, 2.0], u=0.1, trials=1).probability.sum(axis=1).tolist() == [1.0, 1.0]
    for trials in (0, 1.5, np.inf, np.nan):
        with pytest.raises(InputError, match="must be a whole number, 1 or more"):
            rank_trials([1.0, 2.0], u=0.1, trials=trials)


@pytest.mark.parametrize(("rare", "low", "high"), [(0.033, 1, 2), (0.02, 2, 2)])
def test_ranks_run_from_the_quantile_at_two_and_a_half_per_cent(rare, low, high):
    """The worse of two is the better one in Φ(−z) of the trials, where z stands for the distance over √2·u."""
    found = rank_trials([0.0, norm.isf(rare) * 2**0.5 * 0.1], u=0.1, directions="high", trials=100_000)
    assert found.probability[0, 0] == pytest.approx(rare, abs=0.002)
    assert (found.rank_lower[0], found.rank_upper[0]) == (low, high)
    assert (found.rank_lower[1], found.rank_upper[1]) == (1, 3 - low)


def test_one_uncertain_criterion_near_a_target_needs_no_trials():
    values, u = {"x": [20.1, 20.4]}, {"x": [0.1, 0.1]}
    found = rank_candidates(values, [Criterion("x", "near", 20.0)], u=u)
    assert not found.by_trials
    assert found.better_than_next_probability[0] == better_probability(20.1, 20.4, u=0.1, other_u=0.1, direction="near", target=20.0)
    two = rank_candidates({**values, "y": [1.0, 2.0]}, [Criterion("x", "near", 20.0), Criterion("y", "low")], u=u)
    assert two.by_trials


def test_nobody_is_ranked_where_nobody_is_there():
    nobody = rank_candidates({"x": []}, [Criterion("x", "low")])
    assert [len(a) for a in (nobody.order, nobody.rank, nobody.score, nobody.pareto, nobody.remarks)] == [0, 0, 0, 0, 0]
    assert nobody.rank.dtype == nobody.order.dtype == np.int64


def test_of_several_that_are_missing_the_first_is_named():
    with pytest.raises(InputError, match="row 2: x is missing"):
        rank_candidates({"x": [1.0, np.nan, np.inf, 2.0]}, [Criterion("x", "low")])


def test_of_three_alike_the_one_that_is_known_best_lies_in_the_middle_half_the_time():
    """Of one criterion, by which all are alike: the two that scatter lie on both sides of the third in half of the trials, and not in a third."""
    found = rank_candidates({"x": [1.0, 1.0, 1.0]}, [Criterion("x", "low")], u={"x": [1e-6, 1.0, 1.0]}, trials=40_000)
    best = int(np.flatnonzero(found.order == 0)[0])
    assert found.trials.probability[best, 1] == pytest.approx(0.5, abs=0.02)


def test_one_candidate_has_no_next():
    alone = rank_candidates({"x": [1.0]}, [Criterion("x", "low")], u={"x": [0.1]})
    assert np.isnan(alone.better_than_next_probability).tolist() == [True]


def test_a_criterion_in_which_all_are_alike_tells_nobody_apart_however_uncertain():
    """What decides is x alone, off by 1 with u of 1 each: Φ(1/√2)."""
    values = {"x": [1.0, 2.0], "alike": [5.0, 5.0]}
    found = rank_candidates(values, [Criterion("x", "low"), Criterion("alike", "low")], u={"x": [1.0, 1.0], "alike": [3.0, 3.0]}, trials=20_000)
    assert found.remarks == ("all candidates are alike in alike: it tells nobody apart",)
    assert found.better_than_next_probability[0] == pytest.approx(norm.cdf(1 / 2**0.5), abs=1e-9)
    assert found.trials.probability[0, 0] == pytest.approx(norm.cdf(1 / 2**0.5), abs=0.015)


def test_candidates_that_are_all_nothing_are_alike():
    found = rank_candidates({"x": [0.0, 0.0]}, [Criterion("x", "low")])
    assert found.rank.tolist() == [1, 1]


def test_of_columns_named_twice_the_first_such_is_told():
    with pytest.raises(InputError, match=r"^the criterion y is named twice$"):
        rank_candidates({"x": [1.0], "y": [2.0], "z": [3.0]}, [Criterion(name, "low") for name in "xyzyz"])


def test_the_short_list_may_hold_one_and_holds_a_whole_number():
    """Of 1.5 there was a TypeError."""
    alone = rank_candidates({"x": [1.0, 2.0]}, [Criterion("x", "low")], u={"x": 0.1}, among=1).trials
    assert alone.probability.tolist() == [[1.0]]
    for among in (0, 1.5, np.inf, np.nan):
        with pytest.raises(InputError, match=f"^among = {among}: must be a whole number, 1 or more$"):
            rank_candidates({"x": [1.0, 2.0]}, [Criterion("x", "low")], u={"x": 0.1}, among=among)


def test_each_is_near_to_a_target_of_its_own():
    """Departures of 0.1, 0.2, 0.3, each from its own target, u = 0.1 and nothing shared: b − a and b + a are independent with u·√2, so that
    P(|a| < |b|) = Φ(d)Φ(s) + Φ(−d)Φ(−s) with d, s = (b ∓ a)/(u√2)."""
    found = rank_candidates({"x": [20.1, 21.2, 22.3], "t": [20.0, 21.0, 22.0]}, [Criterion("x", "near", "t")], u={"x": 0.1}, trials=100)
    assert found.order.tolist() == [0, 1, 2]
    for i, (a, b) in enumerate([(0.1, 0.2), (0.2, 0.3)]):
        d, s = (b - a) / (0.1 * 2**0.5), (b + a) / (0.1 * 2**0.5)
        expected = norm.cdf(d) * norm.cdf(s) + norm.cdf(-d) * norm.cdf(-s)
        assert found.better_than_next_probability[i] == pytest.approx(expected, rel=1e-12, abs=0.0)


def test_those_that_tie_below_the_best_are_better_than_each_other_half_the_time():
    """Exact values: 21 is better than 20 in every trial, 20 than 20 in none, which counts half."""
    assert rank_trials([21.0, 20.0, 20.0], trials=100).better_than_next_probability[:2].tolist() == [1.0, 0.5]


def test_where_all_tie_every_rank_is_drawn_by_lot():
    assert rank_trials([20.0, 20.0], trials=20_000).probability == pytest.approx(np.full((2, 2), 0.5), abs=0.02)  # five standard errors


def test_a_seed_is_0_or_more():
    assert rank_trials([1.0, 2.0], u=0.1, trials=10, seed=0).seed == 0
    with pytest.raises(InputError, match=r"^seed = -1: must be a whole number, 0 or more$"):
        rank_trials([1.0, 2.0], u=0.1, seed=-1)


def test_a_rank_that_is_held_in_just_97_5_per_cent_of_the_trials_is_the_upper_one():
    """39 trials of 40: what lies beyond holds 2.5 %. One of 2.5 % is the first among sixty series of trials, several times over."""
    series = [rank_trials([0.0, norm.isf(0.975) * 2**0.5 * 0.1], u=0.1, trials=40, seed=seed) for seed in range(60)]
    just = [found for found in series if found.probability[0, 0] == 39 / 40]
    assert just
    assert {found.rank_upper[0] for found in just} == {1.0}


@pytest.mark.parametrize("table", [np.ones((3, 2)), np.ones((2, 2)), np.ones((2, 3))])
def test_a_list_of_uncertainties_has_one_for_each_candidate(table):
    """A list of one for each criterion was taken as such, unless there were as many candidates."""
    many, criteria = table.shape
    whole = rank_trials(table, u=np.full((many, criteria), 0.1), trials=100)
    assert rank_trials(table, u=np.full(many, 0.1), trials=100).probability.tolist() == whole.probability.tolist()
    if many != criteria:
        with pytest.raises(InputError, match=rf"^an array of shape \({criteria},\) does not go with {many} candidates and {criteria} criteria$"):
            rank_trials(table, u=np.full(criteria, 0.1))


def test_what_is_near_a_target_and_exact_takes_no_digits_from_what_is_uncertain():
    """Each criterion is half of the score, and they differ by 1 in all; x has u of 0.6 of its span each, 0.3 of the score: Φ(1/(0.3·√2))."""
    values = {"x": [1.0, 2.0], "y": [0.0, 3e-7]}
    found = rank_candidates(values, [Criterion("x", "low"), Criterion("y", "near", 0.0)], u={"x": [0.6, 0.6]}, trials=100)
    assert not found.by_trials
    assert found.better_than_next_probability[0] == pytest.approx(norm.cdf(1.0 / (0.3 * 2**0.5)), rel=1e-11, abs=0.0)
