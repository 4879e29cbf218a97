"""The wait of each run rule alone, against closed forms, chains that remember every point, and ranks that are counted."""

from itertools import product
from math import cos, tan

import numpy as np
import pytest
from scipy.special import ndtr

from lenscalc.control import RULES, average_run_length, rules_run_length
from lenscalc.control.rules import Rule
from lenscalc.control.rules_run_length import _that_may_count, by_trials


@pytest.mark.parametrize("shift", [0.0, 0.7, -0.7, 10.0])
def test_eight_on_one_side_are_a_run_of_heads_or_of_tails(shift):
    """Feller, Introduction to Probability I, XIII.8, from memory: 1/wait is the sum of q·pʳ/(1 − pʳ) for heads and for tails; fair: 2⁸ − 1."""
    p, q, r = ndtr(shift), ndtr(-shift), 8
    wanted = 1.0 / (q * p**r / (1.0 - p**r) + p * q**r / (1.0 - q**r)) if abs(shift) < 5 else 8.0
    assert average_run_length(rules=["8-on-one-side"], shift_sigma=shift).mean == pytest.approx(wanted, rel=1e-12, abs=0.0)
    assert shift or wanted == pytest.approx(255.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("shift", [0.0, 0.7, -2.5])
@pytest.mark.parametrize(("name", "needed", "among", "beyond"), [("2-of-3-beyond-2-sigma", 2, 3, 2.0), ("4-of-5-beyond-1-sigma", 4, 5, 1.0)])
def test_some_of_several_by_a_chain_that_remembers_all_of_them(name, needed, among, beyond, shift):
    """A state is where each of the last points but one of the pattern lay: above +1, below −1, between 0."""
    chance = {1: ndtr(shift - beyond), -1: ndtr(-shift - beyond), 0: ndtr(beyond - shift) - ndtr(-beyond - shift)}
    states = list(product((0, 1, -1), repeat=among - 1))
    held = np.eye(len(states))
    for i, state in enumerate(states):
        for side, p in chance.items():
            if not (side and (*state, side).count(side) >= needed):
                held[i, states.index((*state[1:], side))] -= p
    wanted = np.linalg.solve(held, np.ones(len(states)))[0]
    assert average_run_length(rules=[name], shift_sigma=shift).mean == pytest.approx(wanted, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("needed", "among"), [(1, 1), (2, 3), (4, 5), (8, 8)])
def test_no_more_is_remembered_than_what_may_still_count(needed, among):
    """A point of so many points ago counts if it lies among the last ones when points to come, all beyond, complete the rule."""
    for seen in range(2**among):
        counts = 0
        for ago in range(1, among):
            if any((seen & (2 ** (among - more) - 1)).bit_count() + more >= needed for more in range(1, among - ago + 1)):
                counts |= seen & 2 ** (ago - 1)
        assert _that_may_count(seen, Rule("", "", "shift", needed, among, 1.0)) == counts


def wait_by_ranks(needed, by_turns):
    """The mean wait for so many in a row rising, or falling, or going by turns: only the ranks of the points matter.

    `held[side, steps]` is the chance that nothing has signalled, by the rank of the newest of n points; the next one's rank among n + 1 is any of
    them alike. Beyond 60 points the chance falls by one factor.
    """
    held, chances = {(0, 0): np.ones(1)}, [1.0, 1.0]
    for n in range(1, 60):
        after = {}
        for (side, steps), chance in held.items():
            below = np.concatenate([[0.0], np.cumsum(chance)]) / (n + 1)  # the newest lies below the next one, which has this rank
            for way, moved in ((1, below), (-1, below[-1] - below)):
                goes_on = steps and (way != side if by_turns else way == side)
                state = (way, steps + 1 if goes_on else 1)
                if state[1] < needed - 1:
                    after[state] = after.get(state, 0.0) + moved
        held = after
        chances.append(float(sum(chance.sum() for chance in held.values())))
    factor = chances[-1] / chances[-2] if held else 0.0
    return sum(chances) + chances[-1] * factor / (1.0 - factor)


@pytest.mark.parametrize("rule", [RULES["6-rising-or-falling"], Rule("", "", "alternating", 4, 4)])
def test_trends_and_alternations_wait_as_their_ranks_say(rule):
    mean, u = by_trials((rule,), 0.0)
    assert mean == pytest.approx(wait_by_ranks(rule.needed, by_turns=rule.pattern == "alternating"), abs=3 * u)


def test_three_rising_or_falling_wait_as_permutations_that_go_by_turns():
    """None among n where the order goes up and down by turns: 2·Eₙ/n! (André 1881), and Σ Eₙ/n! = sec 1 + tan 1: 2·(sec 1 + tan 1) − 2 points."""
    wanted = 2.0 * (1.0 / cos(1.0) + tan(1.0)) - 2.0
    assert wait_by_ranks(3, by_turns=False) == pytest.approx(wanted, rel=1e-12, abs=0.0)
    mean, u = by_trials((Rule("", "", "trend", 3, 3),), 0.0)
    assert mean == pytest.approx(wanted, abs=3 * u)


def test_two_rising_or_falling_are_the_first_two():
    assert by_trials((Rule("", "", "trend", 2, 2),), 0.0) == (2.0, 0.0)


def test_trials_that_go_on_in_another_block_are_counted_through(monkeypatch):
    """Blocks of one point: the first two still are a trend of two, and three in a row wait 2·(sec 1 + tan 1) − 2 points as above."""
    monkeypatch.setattr(rules_run_length, "_BLOCK", 1)
    assert by_trials.__wrapped__((Rule("", "", "trend", 2, 2),), 0.0) == (2.0, 0.0)
    mean, u = by_trials.__wrapped__((Rule("", "", "trend", 3, 3),), 0.0)
    assert mean == pytest.approx(2.0 * (1.0 / cos(1.0) + tan(1.0)) - 2.0, abs=3 * u)
