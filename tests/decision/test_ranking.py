"""Pareto sets, scores, probabilities of being better and ranks by trials, against what can be worked by hand."""

from math import erf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError
from lenscalc.decision import (
    Criterion,
    Limit,
    better_probability,
    keeps,
    pareto_set,
    rank_candidates,
    rank_trials,
    read_criterion,
    read_limit,
)

TRIALS_NOISE = 0.005  # three standard deviations of a fraction of 100,000 trials are at most 0.0048


def phi(z):
    return (1 + erf(z / sqrt(2))) / 2


def by_definition(costs):
    """Every row against every other, as the definition reads."""
    return [not any((b <= a).all() and (b < a).any() for b in costs) for a in costs]


@given(st.integers(1, 5).flatmap(lambda k: st.lists(st.tuples(*[st.integers(0, 4)] * k), min_size=1, max_size=40)))
def test_pareto_set_is_that_of_the_definition(rows):
    costs = np.array(rows, dtype=float)
    assert pareto_set(costs).tolist() == by_definition(costs)


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6), st.integers(0, 6)), min_size=1, max_size=30), st.randoms(use_true_random=False))
def test_pareto_set_does_not_depend_on_the_order_of_rows(rows, random):
    costs = np.array(rows, dtype=float)
    places = list(range(len(rows)))
    random.shuffle(places)
    assert pareto_set(costs[places]).tolist() == pareto_set(costs)[places].tolist()


def test_pareto_set_of_many_rows_on_a_front_and_behind_it():
    """A front of x + y + z = 1 and every row of it again, pushed back in all three: the front and nothing else stands."""
    x, y = (np.random.default_rng(5).integers(0, 1000, 3000) for _ in "xy")
    front = np.column_stack([x, y, 5000 - x - y]).astype(float)
    both = np.concatenate([front + 1.0, front])
    found = pareto_set(both)
    assert found[3000:].all()
    # a row that was pushed back may stand only where no row of the front is left and below of it
    assert found[:3000].tolist() == [not (front <= row).all(axis=1).any() for row in both[:3000]]
    assert not found[:3000].any()


def test_blocks_that_fall_to_the_first_of_the_set():
    """A line of 3000 on a front, and 2000 rows each of which lies behind one of its first 2000."""
    i = np.arange(3000)
    front = np.column_stack([i, 3000 - i, np.zeros(3000)])
    found = pareto_set(np.concatenate([front, front[:2000] + 1.0]))
    assert found.tolist() == [True] * 3000 + [False] * 2000


def test_a_hundred_thousand_rows_are_no_matter_of_their_square():
    costs = np.random.default_rng(1).random((100_000, 3))
    found = pareto_set(costs)
    on = costs[found]
    assert 20 < len(on) < 400  # (ln n)²/2 = 66 are expected of independent columns (Bentley et al. 1978, from memory, to be confirmed)
    sample = costs[~found][:500]
    assert all((on <= row).all(axis=1).any() for row in sample)
    line = np.arange(100_000.0)
    assert pareto_set(np.column_stack([line, -line])).all()


@pytest.mark.parametrize(("costs", "told"), [([[1.0, np.nan]], "row 1: a criterion is missing"), (np.zeros((3, 0)), "one column a criterion")])
def test_pareto_set_refuses(costs, told):
    with pytest.raises(InputError, match=told):
        pareto_set(costs)


def test_no_rows_are_no_set():
    assert pareto_set(np.zeros((0, 2))).tolist() == []


@given(st.floats(-1, 1), st.floats(0.01, 1), st.floats(0.01, 1))
def test_two_independent_candidates(difference, u1, u2):
    expected = phi(difference / sqrt(u1 * u1 + u2 * u2))
    assert better_probability(20 + difference, 20.0, u=u1, other_u=u2) == pytest.approx(expected, abs=1e-12)
    assert better_probability(20 + difference, 20.0, u=u1, other_u=u2, direction="low") == pytest.approx(1 - expected, abs=1e-12)


def test_a_fully_shared_calibration_is_no_difference():
    alike = {"u": 0.3, "other_u": 0.3, "calibration_part": 0.3, "other_calibration_part": 0.3}
    assert better_probability(20.001, 20.0, **alike) == 1.0
    assert better_probability(20.0, 20.0, **alike) == 0.5
    other_way = {**alike, "other_calibration_part": -0.3}  # the same error moves the two apart: it counts twice
    assert better_probability(20.3, 20.0, **other_way) == pytest.approx(phi(0.3 / 0.6), abs=1e-12)
    # 0.03 and 0.04 are the candidates' own: √(0.03² + 0.04²) = 0.05
    own = {"u": 0.05, "other_u": sqrt(0.0032), "calibration_part": 0.04, "other_calibration_part": 0.04}
    assert better_probability(20.05, 20.0, **own) == pytest.approx(phi(1.0), abs=1e-12)


value = st.floats(-2, 2)
u = st.floats(0, 1)


@given(value, value, u, u, st.floats(-1, 1), st.floats(-1, 1))
def test_one_of_the_two_is_better(a, b, u1, u2, f, g):
    for direction, target in (("low", None), ("high", None), ("near", 0.25)):
        one = better_probability(
            a, b, u=u1, other_u=u2, calibration_part=f * u1, other_calibration_part=g * u2, direction=direction, target=target
        )
        other = better_probability(
            b, a, u=u2, other_u=u1, calibration_part=g * u2, other_calibration_part=f * u1, direction=direction, target=target
        )
        assert 0 <= one <= 1
        assert one + other == pytest.approx(1.0, abs=1e-9)


def test_near_a_target_by_drawing():
    random = np.random.default_rng(8)
    z, e1, e2 = random.standard_normal((3, 1_000_000))
    for a, b, own1, own2, p, q in ((20.1, 19.7, 0.1, 0.2, 0.05, 0.1), (20.0, 20.0, 0.1, 0.3, 0.0, 0.2), (20.3, 20.3, 0.0, 0.2, 0.2, -0.2)):
        drawn = np.mean(np.abs(a + p * z + own1 * e1 - 20) < np.abs(b + q * z + own2 * e2 - 20))
        found = better_probability(
            a, b, u=np.hypot(own1, p), other_u=np.hypot(own2, q), calibration_part=p, other_calibration_part=q, direction="near", target=20.0
        )
        assert found == pytest.approx(drawn, abs=0.0016)  # three standard deviations


def test_near_with_nothing_uncertain():
    near = {"direction": "near", "target": 20.0}
    assert better_probability(20.1, 20.2, **near) == 1.0
    assert better_probability(20.25, 20.125, **near) == 0.0
    assert better_probability(20.5, 19.5, **near) == 0.5  # as far on either side
    assert better_probability(20.0, 20.1, u=0.1, other_u=0.0, **near) == pytest.approx(2 * phi(1.0) - 1, abs=1e-9)  # |z| below 1
    assert better_probability(20.1, 20.0, u=0.1, other_u=0.0, **near) == pytest.approx(0.0, abs=1e-12)  # nothing is nearer than on it


@pytest.mark.parametrize(
    ("given_", "told"),
    [
        ({"u": -0.1}, "must be 0 or more"),
        ({"u": 0.1, "calibration_part": 0.2}, "larger than the whole u"),
        ({"direction": "near"}, "needs a target"),
        ({"direction": "up"}, "must be low, high or near"),
    ],
)
def test_better_refuses(given_, told):
    with pytest.raises(InputError, match=told):
        better_probability(20.0, 20.1, **given_)


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


def test_a_near_criterion_agrees_with_its_trials():
    values, us = {"power_D": [20.1, 19.85, 20.3]}, {"power_D": [0.1, 0.12, 0.2]}
    found = rank_candidates(values, [Criterion("power_D", "near", 20.0)], u=us, calibration_part={"power_D": [0.08, 0.06, -0.1]})
    assert found.better_than_next_probability[:2] == pytest.approx(found.trials.better_than_next_probability[:2], abs=TRIALS_NOISE)
    both = rank_candidates(
        {**values, "abbe_d": [40.0, 50.0, 60.0]}, [Criterion("power_D", "near", 20.0), Criterion("abbe_d", "high")], u=us
    )
    assert both.by_trials


columns = st.lists(st.tuples(st.integers(180, 220), st.integers(30, 60), st.integers(1, 9)), min_size=1, max_size=12, unique=True)


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
    with pytest.raises(InputError, match="must be above 0"):
        read_criterion("power_D:low", 0.0)
