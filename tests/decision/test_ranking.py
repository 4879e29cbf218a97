"""Scores, and ranks by trials, against what can be worked by hand."""

from math import erf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError
from lenscalc.decision import (
    Criterion,
    Limit,
    keeps,
    rank_candidates,
    rank_trials,
    read_criterion,
    read_limit,
)

TRIALS_NOISE = 0.005  # three standard deviations of a fraction of 100,000 trials are at most 0.0048


def phi(z):
    return (1 + erf(z / sqrt(2))) / 2


def test_ranks_of_two_are_the_closed_form():
    found = rank_trials([20.5, 20.4], u=[0.06, 0.08])
    assert found.probability[0, 0] == pytest.approx(phi(1.0), abs=TRIALS_NOISE)
    assert found.better_than_next_probability[0] == pytest.approx(phi(1.0), abs=TRIALS_NOISE)
    shared = rank_trials([20.5, 20.4], u=[0.3, 0.3], calibration_part=[0.3, 0.3])
    assert shared.probability.tolist() == [[1.0, 0.0], [0.0, 1.0]]


def test_ranks_of_three_are_doubly_stochastic_and_share_ties_by_lot():
    found = rank_trials([20.5, 20.45, 20.4], u=[0.1, 0.2, 0.05], calibration_part=[0.04, -0.05, 0.05])
    assert found.probability.sum(axis=0) == pytest.approx([1, 1, 1])
    assert found.probability.sum(axis=1) == pytest.approx([1, 1, 1])
    assert found.mean_rank.sum() == pytest.approx(6)
    exact = rank_trials([20.0, 20.0, 19.0])
    assert exact.probability[:2, :2] == pytest.approx(np.full((2, 2), 0.5), abs=TRIALS_NOISE)
    assert exact.probability[2].tolist() == [0, 0, 1]
    assert exact.better_than_next_probability[:2].tolist() == [0.5, 1.0]


def test_ranks_have_the_same_bits_on_any_number_of_threads():
    a, b = (rank_trials(np.linspace(20, 21, 40), u=0.1, trials=60_000, seed=4, workers=w) for w in (1, 3))
    assert np.array_equal(a.probability, b.probability)
    assert not np.array_equal(a.probability, rank_trials(np.linspace(20, 21, 40), u=0.1, trials=60_000, seed=5).probability)


def test_score_worked_by_hand():
    """Departures from 20: 0.1, 0.5, 0.2 → 1, 0, 3/4; Abbe 40, 45, 55 → 0, 1/3, 1; weights 2 : 1 → 2/3, 1/9, 5/6."""
    criteria = [Criterion("power_D", "near", 20.0, 2.0), Criterion("abbe_d", "high", None, 1.0)]
    found = rank_candidates({"power_D": [20.1, 19.5, 20.2], "abbe_d": [40.0, 45.0, 55.0]}, criteria)
    assert found.order.tolist() == [2, 0, 1]
    assert found.score == pytest.approx([5 / 6, 2 / 3, 1 / 9], abs=1e-11)
    assert found.weights == pytest.approx({"power_D": 2 / 3, "abbe_d": 1 / 3})
    assert found.pareto.tolist() == [True, True, False]
    assert found.trials is None
    assert np.isnan(found.better_than_next_probability).all()


def test_ties_share_their_rank_whatever_the_last_bit_says():
    found = rank_candidates({"power_D": [20.2, 19.8, 20.1, 20.4]}, [Criterion("power_D", "near", 20.0)])
    assert found.rank.tolist() == [1, 2, 2, 4]
    assert abs(16.1 - 16) != abs(15.9 - 16)
    found = rank_candidates({"power_D": [16.1, 15.9], "abbe_d": [50.0, 50.0]}, [Criterion("power_D", "near", 16.0), Criterion("abbe_d", "high")])
    assert found.pareto.tolist() == [True, True]
    assert found.rank.tolist() == [1, 1]
    assert found.score.tolist() == [1.0, 1.0]
    assert len(found.remarks) == 2


def test_several_straight_criteria_have_a_closed_form():
    """Scores 0.5·x/1 + 0.5·y/10: Δ = 0, u of it √(2)·√((0.5·0.1)² + (0.05·1)²); with Δ as below, P = Φ(Δ/u)."""
    values = {"x": [1.0, 0.0, 0.9], "y": [0.0, 10.0, 5.0]}
    found = rank_candidates(values, [Criterion("x", "high"), Criterion("y", "high")], u={"x": np.full(3, 0.1), "y": np.full(3, 1.0)})
    assert not found.by_trials
    one = sqrt(0.05**2 + 0.05**2)
    assert found.score == pytest.approx([0.7, 0.5, 0.5])
    assert found.better_than_next_probability[0] == pytest.approx(phi(0.2 / (one * sqrt(2))), abs=1e-9)
    assert found.better_than_next_probability[1] == pytest.approx(0.5, abs=1e-9)
    assert found.trials.better_than_next_probability[0] == pytest.approx(found.better_than_next_probability[0], abs=TRIALS_NOISE)


def test_each_candidate_is_set_against_the_next_with_its_own_part_of_the_calibration():
    """Scores ⅔x + ⅓y/4: ⅔, 5/12, ⅓, whose only error is the calibration's, ⅔·(0.3, 0.1, 0.4): Φ(¼/(⅔·0.2)) and Φ(1/12/(⅔·0.3))."""
    shared = {"x": [0.3, 0.1, 0.4]}
    criteria = [Criterion("x", "high", weight=2.0), Criterion("y", "high")]
    found = rank_candidates({"x": [1.0, 0.5, 0.0], "y": [0.0, 1.0, 4.0]}, criteria, u=shared, calibration_part=shared)
    assert found.score == pytest.approx([2 / 3, 5 / 12, 1 / 3], abs=1e-11)
    assert found.better_than_next_probability[:2] == pytest.approx([phi(15 / 8), phi(5 / 12)], abs=1e-9)


def test_a_near_criterion_agrees_with_its_trials():
    values, us = {"power_D": [20.1, 19.85, 20.3]}, {"power_D": [0.1, 0.12, 0.2]}
    found = rank_candidates(values, [Criterion("power_D", "near", 20.0)], u=us, calibration_part={"power_D": [0.08, 0.06, -0.1]})
    assert found.better_than_next_probability[:2] == pytest.approx(found.trials.better_than_next_probability[:2], abs=TRIALS_NOISE)
    both = rank_candidates(
        {**values, "abbe_d": [40.0, 50.0, 60.0]}, [Criterion("power_D", "near", 20.0), Criterion("abbe_d", "high")], u=us
    )
    assert both.by_trials


columns = st.lists(  # as near the target from below as from above they would be equal, and equal ones stand in the order of the rows
    st.tuples(st.integers(180, 220), st.integers(30, 60), st.integers(1, 9)), min_size=1, max_size=12,
    unique_by=lambda row: (abs(row[0] - 200), *row[1:]),
)  # fmt: skip


@given(columns, st.randoms(use_true_random=False))
def test_the_ranking_does_not_depend_on_the_order_of_rows(rows, random):
    places = list(range(len(rows)))
    random.shuffle(places)

    def ranked(rows):
        x, y, w = np.array(rows, dtype=float).T
        return rank_candidates(
            {"power_D": x / 10, "abbe_d": y}, [Criterion("power_D", "near", 20.0), Criterion("abbe_d", "high")],
            u={"power_D": w / 20}, calibration_part={"power_D": w / 50}, trials=500,
        )  # fmt: skip

    a, b = ranked(rows), ranked([rows[i] for i in places])
    assert [rows[i] for i in a.order] == [rows[places[i]] for i in b.order]
    for x, y in ((a.rank, b.rank), (a.score, b.score), (a.pareto, b.pareto), (a.trials.probability, b.trials.probability)):
        assert np.array_equal(x, y)
    assert np.array_equal(a.better_than_next_probability, b.better_than_next_probability, equal_nan=True)


def test_nobody_and_one():
    none = rank_candidates({"power_D": []}, [Criterion("power_D", "low")], u={"power_D": []})
    assert [np.shape(x) for x in rank_trials([])[:5]] == [(0, 0), (0,), (0,), (0,), (0,)]
    assert (none.order.tolist(), none.trials) == ([], None)
    one = rank_candidates({"power_D": [20.0]}, [Criterion("power_D", "low")], u={"power_D": [0.1]})
    assert (one.rank.tolist(), one.score.tolist(), one.trials.probability.tolist()) == ([1], [1.0], [[1.0]])


def test_a_hundred_thousand_candidates():
    random = np.random.default_rng(2)
    values = {"power_D": random.normal(20, 1, 100_000), "abbe_d": random.normal(45, 5, 100_000)}
    found = rank_candidates(values, [Criterion("power_D", "near", 20.0), Criterion("abbe_d", "high")], u={"power_D": np.full(100_000, 0.05)})
    assert len(found.trials.mean_rank) == 50
    assert np.isnan(found.better_than_next_probability[50:]).all()
    assert (np.diff(found.score) <= 0).all()


@pytest.mark.parametrize(
    ("values", "criteria", "told"),
    [
        ({"x": [1.0]}, [], "nothing to rank by"),
        ({"x": [1.0]}, [Criterion("x", "low"), Criterion("x", "high")], "named twice"),
        ({"x": [1.0]}, [Criterion("y", "low")], "has no column"),
        ({"x": [1.0, np.nan]}, [Criterion("x", "low")], "row 2: x is missing"),
        ({"x": [1.0], "y": [1.0, 2.0]}, [Criterion("x", "low"), Criterion("y", "low")], "different lengths"),
        ({"x": [1.0]}, [Criterion("x", "near")], "needs a target"),
    ],
)
def test_ranking_refuses(values, criteria, told):
    with pytest.raises(InputError, match=told):
        rank_candidates(values, criteria)


def test_uncertainties_that_cannot_belong_to_the_values():
    with pytest.raises(InputError, match=r"x: u = -0.1: a standard uncertainty must be 0 or more"):
        rank_candidates({"x": [1.0, 2.0]}, [Criterion("x", "low")], u={"x": [0.1, -0.1]})
    with pytest.raises(InputError, match=r"an array of shape \(2, 1\) does not go with 3 candidates and 2 criteria"):
        rank_trials([[20.5, 50.0], [20.4, 51.0], [20.3, 52.0]], u=[[0.1], [0.2]])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("power_D=19", "equality is =="),
        ("power_D>=19,5", "decimals with a point"),
        ("power_D>=19 and abbe_d>40", "one comparison a limit"),
        ("__import__('os').getcwd()>1", "write NAME OP NUMBER"),
        ("19<power_D", "write NAME OP NUMBER"),
        ("power_D>=nan", "write NAME OP NUMBER"),
        ("", "write NAME OP NUMBER"),
    ],
)
def test_a_limit_is_no_code(text, told):
    with pytest.raises(InputError, match=told):
        read_limit(text)


def test_limits_and_what_they_keep():
    assert read_limit(" abbe_d<4.5e1 ") == Limit("abbe_d", "<", 45.0)
    values = [1.0, 2.0, 3.0, np.nan, np.inf]
    for comparison, kept in {"<": 1, "<=": 2, ">": 2, ">=": 3, "==": 1, "!=": 3}.items():
        assert keeps(Limit("x", comparison, 2.0), values).sum() == kept
    assert keeps(Limit("x", "!=", 2.0), values).tolist() == [True, False, True, False, True]


@pytest.mark.parametrize("text", ["power_D", "power_D:best", "power_D:near", "power_D:near=", "power_D:low=3", "power D:low", "power_D:near=1,5"])
def test_a_criterion_is_no_code(text):
    with pytest.raises(InputError, match="write NAME:low, NAME:high or NAME:near=TARGET"):
        read_criterion(text)


def test_criteria():
    assert read_criterion("power_D:near=labelled_power_D").target == "labelled_power_D"
    assert read_criterion("power_D : near = -5e0", 2.0) == Criterion("power_D", "near", -5.0, 2.0)
    for weight in (0.0, -1.0, np.inf, np.nan):
        with pytest.raises(InputError, match="must be above 0"):
            read_criterion("power_D:low", weight)
        with pytest.raises(InputError, match="must be above 0"):
            rank_candidates({"x": [1.0]}, [Criterion("x", "low", weight=weight)])
