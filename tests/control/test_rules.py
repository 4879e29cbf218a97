"""Run rules on series made by hand: z in sigma from the centre, the places of the signals worked out by reading the rule."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.control import ALL_RULES, RULES
from lenscalc.control.rules import checked_rules, signalling
from lenscalc.errors import InputError, UnknownNameError


def places(z, rule):
    """Numbers of the points that signal, from 1, with the side as their sign."""
    found = signalling(np.array(z, dtype=float), RULES[rule])
    return [int((i + 1) * side) for i, side in enumerate(found) if side]


@pytest.mark.parametrize(
    ("rule", "z", "wanted"),
    [
        # a point on the line is not beyond it
        ("beyond-3-sigma", [0, 3.0, 3.01, -3.2, 2.9], [3, -4]),
        # 2.1 _ 2.2: the third completes it; then 2.2 and 2.5 within three; the fifth has come back and does not signal, though its three
        # hold two beyond
        ("2-of-3-beyond-2-sigma", [2.1, 0, 2.2, 2.5, 0.1, 0, 2.4], [3, 4]),
        # all three of three
        ("2-of-3-beyond-2-sigma", [2.1, 2.2, 2.3, 0], [2, 3]),
        # the two must lie on the same side
        ("2-of-3-beyond-2-sigma", [2.1, -2.2, 0, -2.3, 0], [-4]),
        # four of the first five; the sixth is beyond and has four among its five; the seventh is not beyond
        ("4-of-5-beyond-1-sigma", [1.1, 1.2, 0.5, 1.3, 1.4, 1.5, 0.2], [5, 6]),
        ("4-of-5-beyond-1-sigma", [-1.1, -1.2, -1.3, -1.4, 0], [-4]),
        # seven above, one on the centre, seven above: never eight; then the eighth
        ("8-on-one-side", [0.1] * 7 + [0.0] + [0.1] * 8, [16]),
        ("8-on-one-side", [-0.1] * 9, [-8, -9]),
        # 1 < 2 < 3 < 4 < 5 < 6 are six points, five steps; equal neighbours break it
        ("6-rising-or-falling", [1, 2, 3, 4, 5, 6, 7, 0], [6, 7]),
        ("6-rising-or-falling", [1, 2, 3, 3, 4, 5, 6, 7], []),
        ("6-rising-or-falling", [0, 9, 8, 7, 6, 5, 4], [-7]),
        # fourteen points by turns: thirteen steps, each against the last
        ("14-alternating", [0, 1] * 7, [14]),
        ("14-alternating", [0, 1] * 6 + [0, 0], []),
        ("14-alternating", [1, 0] * 7 + [2], [-14, 15]),
        # a step further the same way begins anew
        ("14-alternating", [0, 1] * 6 + [2, 1], []),
        ("14-alternating", list(range(20)), []),
    ],
)  # fmt: skip
def test_by_hand(rule, z, wanted):
    assert places(z, rule) == wanted


@given(st.lists(st.floats(-4, 4), min_size=1, max_size=60), st.sampled_from(ALL_RULES))
def test_a_mirrored_series_signals_at_the_same_points_on_the_other_side(z, name):
    z = np.array(z)
    assert np.array_equal(signalling(-z, RULES[name]), -signalling(z, RULES[name]))


@given(st.lists(st.floats(-4, 4), min_size=1, max_size=60), st.sampled_from(ALL_RULES), st.integers(1, 60))
def test_what_comes_later_does_not_change_what_has_signalled(z, name, cut):
    whole = signalling(np.array(z), RULES[name])
    part = signalling(np.array(z[:cut]), RULES[name])
    assert np.array_equal(whole[: len(part)], part)


def test_names():
    assert [rule.name for rule in checked_rules("8-on-one-side")] == ["8-on-one-side"]
    with pytest.raises(UnknownNameError, match="did you mean 8-on-one-side"):
        checked_rules(["8-on-one-sid"])
    with pytest.raises(InputError, match="choose at least one"):
        checked_rules([])


def test_the_rules_of_trend_say_how_many_in_a_row():
    for name, n in (("6-rising-or-falling", 6), ("14-alternating", 14)):
        assert (RULES[name].needed, RULES[name].among) == (n, n)
        assert RULES[name].beyond_sigma != RULES[name].beyond_sigma  # there is none
