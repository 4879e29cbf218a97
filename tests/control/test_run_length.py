"""Average run lengths: against trials of our own in plain loops, and what must hold; printed tables stand in reference_cases/control_charts.toml."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from lenscalc.control import FOUR_RULES, LIMITS_ONLY, RULES, average_run_length, interval_for_run_length, width_for_run_length
from lenscalc.control.design import _solved
from lenscalc.control.limits import check_settings
from lenscalc.control.rules import signalling
from lenscalc.control.rules_run_length import by_trials
from lenscalc.control.run_length import _one_side
from lenscalc.errors import InputError, UnknownNameError


def by_loops(signals, shift, trials, seed=3):
    """Mean and its standard uncertainty; `signals(history)` is asked point by point."""
    draw = np.random.default_rng(seed)
    lengths = []
    for _ in range(trials):
        history = []
        while not history or not signals(history):
            history.append(float(draw.standard_normal()) + shift)
        lengths.append(len(history))
    return np.mean(lengths), np.std(lengths, ddof=1) / trials**0.5


def four(history):
    for side in (1, -1):
        z = [side * x for x in history]
        if z[-1] > 3 or sum(x > 2 for x in z[-3:]) >= 2 or sum(x > 1 for x in z[-5:]) >= 4 or (len(z) >= 8 and all(x > 0 for x in z[-8:])):
            return True
    return False


def six_steady(history):
    last = history[-6:]
    steps = [b - a for a, b in pairwise(last)]
    return len(last) == 6 and (all(s > 0 for s in steps) or all(s < 0 for s in steps))


@pytest.mark.parametrize("shift", [0.5, 1.0])
def test_the_four_rules_by_loops(shift):
    mean, u = by_loops(four, shift, 1500)
    assert average_run_length(shift_sigma=shift).mean == pytest.approx(mean, abs=4 * u)


def test_a_rule_of_trend_by_loops():
    mean, u = by_loops(six_steady, 0.0, 250)
    found = average_run_length(rules=["6-rising-or-falling"])
    assert found.mean == pytest.approx(mean, abs=4 * (u**2 + found.u**2) ** 0.5)
    assert 0 < found.u < 0.01 * found.mean


def test_a_single_limit_is_the_inverse_of_its_chance():
    """1/(2Φ(−3)) = 370.398, and 1/(Φ(−2) + Φ(−4)) = 43.8949 after one sigma; Φ from tables: 1.349898e-3, 2.275013e-2, 3.167e-5."""
    assert average_run_length(rules=LIMITS_ONLY).mean == pytest.approx(1 / (2 * 1.3498980e-3), rel=1e-7, abs=0.0)
    assert average_run_length(rules=LIMITS_ONLY, shift_sigma=1.0).mean == pytest.approx(1 / (2.2750132e-2 + 3.1671e-5), rel=1e-6, abs=0.0)


def test_a_weighted_average_with_all_the_weight_on_the_newest_is_the_plain_chart():
    for exact in (True, False):
        found = average_run_length("ewma", weight=1.0, exact_limits=exact).mean
        assert found == pytest.approx(average_run_length(rules=LIMITS_ONLY).mean, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("weight", "shift"), [(0.05, 1.0), (0.2, 0.5), (0.4, 2.0)])
def test_exact_limits_of_the_weighted_average_by_trials(weight, shift):
    draw, n = np.random.default_rng(11), 100_000
    z, alive, lengths, i = np.zeros(n), np.arange(n), np.zeros(n), 0
    while len(alive):
        i += 1
        z = (1 - weight) * z + weight * (draw.standard_normal(len(z)) + shift)
        out = np.abs(z) > 3 * (weight / (2 - weight) * (1 - (1 - weight) ** (2 * i))) ** 0.5
        lengths[alive[out]] = i
        alive, z = alive[~out], z[~out]
    u = lengths.std() / n**0.5
    assert average_run_length("ewma", weight=weight, shift_sigma=shift).mean == pytest.approx(lengths.mean(), abs=4 * u)


@pytest.mark.parametrize(("shift", "printed"), [(-0.125, 400.28), (0, 124.66), (0.125, 59.30), (0.25, 36.71), (0.5, 20.37), (1, 10.75)])
def test_one_side_of_a_cusum_by_vance(shift, printed):
    """Vance (1986), J. Quality Technology 18, 189, table 1: k = 0, h = 10; quoted in the documentation of the R package spc.

    Left out: 2071.51 at −0.25, where 24 to 300 nodes give 2071.5721.
    """
    assert 1.0 / _one_side(0.0, 10.0, shift, 0.0)[1] == pytest.approx(printed, abs=0.006)


def test_both_sides_without_a_shift_wait_half_as_long_as_one():
    assert average_run_length("cusum", h_sigma=4.0).mean == pytest.approx(0.5 / _one_side(0.5, 4.0, 0.0, 0.0)[1], rel=1e-12, abs=0.0)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.05, 1.0), st.floats(2.0, 3.5), st.floats(0.0, 3.0))
def test_a_larger_shift_is_noticed_sooner_and_its_sign_does_not_matter(weight, width, shift):
    def wait(by):
        return average_run_length("ewma", weight=weight, width_sigma=width, shift_sigma=by).mean

    assert wait(shift) == pytest.approx(wait(-shift), rel=1e-6, abs=0.0)
    assert wait(shift + 0.5) < wait(shift) * (1 + 1e-9)


def test_more_rules_signal_sooner():
    waits = [average_run_length(rules=FOUR_RULES[:k]).mean for k in range(1, 5)]
    assert waits == sorted(waits, reverse=True)
    assert average_run_length(rules=tuple(RULES)).mean < waits[-1]


def test_limits_that_widen_are_followed_until_they_stand():
    """λ = 0.02, L = 2: at 200 nodes on 20 panels, point by point until 0.98²ⁱ is below 1e-17, to the 1e-10 that is told."""
    weight, at, w = 0.02, *np.polynomial.legendre.leggauss(10)
    end, x = 2.0 * (weight / (2.0 - weight)) ** 0.5, ((np.arange(-19.0, 20.0, 2.0)[:, None] + at) / 20.0).ravel()

    def into(start, to):
        density = np.exp(-0.5 * ((end * to * x - (1.0 - weight) * start[:, None]) / weight) ** 2) / (2.0 * np.pi) ** 0.5 / weight
        return density * np.tile(end * to * w / 20.0, 20)

    start, chance, wanted = np.zeros(1), np.ones(1), 0.0
    for i in range(1, 1000):
        to = (1.0 - (1.0 - weight) ** (2 * i)) ** 0.5
        wanted, chance, start = wanted + chance.sum(), chance @ into(start, to), end * to * x
    wanted += chance @ np.linalg.solve(np.eye(200) - into(end * x, 1.0), np.ones(200))
    assert average_run_length("ewma", weight=weight, width_sigma=2.0).mean == pytest.approx(wanted, rel=1e-10, abs=0.0)


@pytest.mark.parametrize("h", [10.0, 95.0])
def test_a_wide_cusum_has_nodes_enough(h):
    """k = 0.5 after half a sigma: the equation at 0 and at 600 nodes on 60 panels, solved as it stands."""
    at, w = np.polynomial.legendre.leggauss(10)
    to = np.concatenate([[0.0], (h * (np.arange(1.0, 120.0, 2.0)[:, None] + at) / 120.0).ravel()])
    into = np.exp(-0.5 * (to - to[:, None]) ** 2) / (2.0 * np.pi) ** 0.5 * np.concatenate([[0.0], np.tile(h * w / 120.0, 60)])
    into[:, 0] = ndtr(-to)
    assert 1.0 / _one_side(0.5, h, 0.5, 0.0)[1] == pytest.approx(np.linalg.solve(np.eye(601) - into, np.ones(601))[0], rel=1e-11, abs=0.0)


@pytest.mark.parametrize(("weight", "width", "shift"), [(0.02, 6.0, 1.0), (0.05, 8.0, 2.0), (0.01, 3.0, 0.5)])
def test_a_slow_average_has_nodes_enough(weight, width, shift):
    """A light weight moves the average little from point to point: the equation at 400 nodes on 40 panels, solved as it stands."""
    end, (at, w) = width * (weight / (2.0 - weight)) ** 0.5, np.polynomial.legendre.leggauss(10)
    y = (end * (np.arange(-39.0, 40.0, 2.0)[:, None] + at) / 40.0).ravel()

    def into(start):
        return np.exp(-0.5 * ((y - (1.0 - weight) * start) / weight - shift) ** 2) / (2.0 * np.pi) ** 0.5 / weight * np.tile(end * w / 40.0, 40)

    wanted = 1.0 + into(0.0) @ np.linalg.solve(np.eye(400) - into(y[:, None]), np.ones(400))
    found = average_run_length("ewma", weight=weight, width_sigma=width, shift_sigma=shift, exact_limits=False).mean
    assert found == pytest.approx(wanted, rel=1e-11, abs=0.0)


def test_what_signals_at_once_has_waited_for_one_point():
    """Ten sigma off every first point lies beyond three sigma, whatever rule of trend is asked beside."""
    assert average_run_length(rules=["beyond-3-sigma", "6-rising-or-falling"], shift_sigma=10.0).mean == 1.0


def test_the_same_question_has_the_same_answer():
    rules = ["6-rising-or-falling"]
    first = average_run_length(rules=rules)
    from lenscalc.control.rules_run_length import by_trials

    by_trials.cache_clear()
    assert average_run_length(rules=rules) == first


@pytest.mark.parametrize(
    ("settings", "told"),
    [({"shift_sigma": 11.0}, "shift_sigma = 11"), ({"weight": 0.0}, "weight = 0: must be 0.01 to 1"), ({"width_sigma": 20.0}, "width_sigma = 20"),
     ({"h_sigma": 0.0}, "h_sigma = 0"), ({"k_sigma": -1.0}, "k_sigma = -1"), ({"head_start_sigma": 6.0}, "head_start_sigma = 6: must be 0 to 3"),
     ({"shift_sigma": float("nan")}, "shift_sigma = nan")],
)  # fmt: skip
def test_settings_outside_their_range(settings, told):
    with pytest.raises(InputError, match=told):
        average_run_length("cusum", **settings)
    with pytest.raises(UnknownNameError, match="kind of chart"):
        average_run_length("cusums")


def cusum_by_hand(k, h, shift, start, runs=20_000):
    """The two sums of many charts, point by point."""
    draw = np.random.default_rng(11)
    up, down, waited = np.full(runs, start), np.full(runs, start), []
    while len(up):
        x = draw.normal(shift, size=len(up))
        up, down = np.maximum(0.0, up + x - k), np.maximum(0.0, down - x - k)
        goes_on = (up <= h) & (down <= h)
        waited.append(len(up))
        up, down = up[goes_on], down[goes_on]
    return sum(waited) / runs


@pytest.mark.parametrize(
    ("k", "h", "shift", "start"), [(0.0, 5.0, 0.0, 2.5), (0.5, 4.0, 1.0, 2.5), (1.0, 2.0, -1.0, 2.0), (0.25, 3.0, 0.5, 1.75), (0.5, 1.0, 0.0, 1.0)]
)
def test_the_highest_start_of_the_sums_waits_as_simulated(k, h, shift, start):
    found = average_run_length("cusum", k_sigma=k, h_sigma=h, shift_sigma=shift, head_start_sigma=start).mean
    assert found == pytest.approx(cusum_by_hand(k, h, shift, start), rel=0.04, abs=0.0)


@pytest.mark.parametrize(("k", "h", "start"), [(0.0, 5.0, 4.5), (0.5, 4.0, 4.0), (0.1, 3.0, 3.0), (0.0, 0.5, 0.26)])
def test_a_start_from_which_both_sums_could_stand_when_one_signals_is_refused(k, h, start):
    """The wait came out as −6.1, 15, −3.0 and 0.9 points, where charts simulated point by point wait 1.6, 27, 1.1 and 1.0."""
    with pytest.raises(InputError, match=f"head_start_sigma = {start:g}: must be 0 to {h / 2 + k:g}$"):
        average_run_length("cusum", k_sigma=k, h_sigma=h, head_start_sigma=start)


@pytest.mark.parametrize(("weight", "printed"), [(0.05, 2.32), (0.1, 2.55), (0.15, 2.65), (0.2, 2.72), (0.25, 2.76)])
def test_limits_for_a_wanted_run_length_by_crowder(weight, printed):
    """Crowder (1989), J. Quality Technology 21, 155: L for a run length of 250, fixed limits; quoted in the documentation of the R package spc."""
    assert width_for_run_length(250.0, weight=weight, exact_limits=False) == pytest.approx(printed, abs=0.0051)


@pytest.mark.parametrize(
    ("width", "shift", "exact"),
    [(5.5, 0.0, 26456849.988632), (6.0, 0.0, 507891078.180244), (7.0, 0.0, 390826596122.918), (6.0, 0.5, 3524106.36141187)],
)
def test_a_long_wait_keeps_its_digits(width, shift, exact):
    """The integral equation with 40 digits and 20 nodes more, by mpmath 1.4.1 (λ = 0.4, limits that stand): 8e-5 off before where L = 7."""
    found = average_run_length("ewma", weight=0.4, width_sigma=width, shift_sigma=shift, exact_limits=False).mean
    assert found == pytest.approx(exact, rel=1e-13, abs=0.0)


@pytest.mark.parametrize("width", [5.0, 6.0, 7.0])
def test_the_longest_waits_of_the_plain_chart_are_the_inverse_of_their_chance(width):
    """All the weight on the newest: 1/(2Φ(−L)) = 1/erfc(L/√2)."""
    found = average_run_length("ewma", weight=1.0, width_sigma=width).mean
    assert found == pytest.approx(1.0 / math.erfc(width / 2.0**0.5), rel=1e-12, abs=0.0)


def test_one_side_of_a_cusum_that_nearly_never_signals():
    """h next to 0 and no allowance left: a point signals alone, with the chance Φ(δ − k) = ½·erfc((k − δ)/√2)."""
    assert 1.0 / _one_side(7.0, 1e-12, 0.5, 0.0)[1] == pytest.approx(2.0 / math.erfc(6.5 / 2.0**0.5), rel=1e-10, abs=0.0)


@pytest.mark.parametrize("wanted", [2.0, 50.0, 370.4, 1e4, 1e6])
def test_what_was_wanted_comes_back(wanted):
    width = width_for_run_length(wanted, weight=0.2)
    assert average_run_length("ewma", weight=0.2, width_sigma=width).mean == pytest.approx(wanted, rel=1e-4, abs=0.0)
    h = interval_for_run_length(wanted, k_sigma=0.5) if wanted >= 10 else None
    assert h is None or average_run_length("cusum", k_sigma=0.5, h_sigma=h).mean == pytest.approx(wanted, rel=1e-4, abs=0.0)


def test_a_run_length_that_nothing_gives():
    for wanted in (1.0, 1.999, 1e6 + 0.5, 1e7, float("nan")):
        with pytest.raises(InputError, match="run_length"):
            width_for_run_length(wanted, weight=0.2)


@pytest.mark.parametrize(
    ("name", "lower", "upper"), [("weight", 0.01, 1.0), ("width_sigma", 0.1, 10.0), ("k_sigma", 0.0, 10.0), ("h_sigma", 0.1, 100.0)]
)
def test_a_setting_may_stand_on_either_limit_that_is_told_and_not_beyond(name, lower, upper):
    setting = {"weight": 0.2, "width_sigma": 3.0, "k_sigma": 0.5, "h_sigma": 5.0, "head_start_sigma": 0.0}
    for value in (lower, upper):
        check_settings(**{**setting, name: value})
    for value in (lower - 1e-4, upper + 1e-4):
        with pytest.raises(InputError, match=f"{name} = .*: must be {lower:g} to {upper:g}$"):
            check_settings(**{**setting, name: value})


def test_the_widest_limits_that_are_looked_at():
    """A plain chart (all the weight on the newest) waits 1/(2Φ(−L)): 1e6 points at L = 4.8916; of a wait that never grows so far it is told."""
    assert width_for_run_length(1e6, weight=1.0) == pytest.approx(4.891638, abs=1e-5)
    with pytest.raises(InputError, match="even limits at 10 sigma signal more often"):
        _solved(1e6, "width_sigma", lambda width: 10.0 * width)


def test_half_a_sigma_is_the_usual_allowance():
    assert interval_for_run_length(465.44) == interval_for_run_length(465.44, k_sigma=0.5)


def test_what_is_solved_has_no_scatter_of_trials():
    assert average_run_length().u == average_run_length("ewma").u == average_run_length("cusum").u == 0.0
    assert average_run_length(rules=["6-rising-or-falling"]).u > 0.0


def test_by_trials_a_trend_up_and_one_down_count_alike_and_the_scatter_is_that_of_the_mean():
    """20 000 waits of about 420 points, nearly geometric: their standard deviation is nearly their mean, its u 1/√20 000 of it."""
    found = average_run_length(rules=["6-rising-or-falling"])
    assert found.u == pytest.approx(found.mean / 20_000**0.5, rel=0.05, abs=0.0)
    lonely = by_trials((RULES["6-rising-or-falling"],), 0.0)
    draw = np.random.default_rng(5).standard_normal((4000, 1500))
    sides = np.array([signalling(row, RULES["6-rising-or-falling"]) for row in draw])
    first = np.where((sides != 0).any(axis=1), (sides != 0).argmax(axis=1) + 1, 1500)
    assert lonely[0] == pytest.approx(first.mean(), rel=0.06, abs=0.0)
