"""Grubbs' test: against a search, as often as its level says, and never for rounding."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import t

from lenscalc.errors import InputError
from lenscalc.refractometer import grubbs


def by_search(values, level):
    """The statistic from the sum of squares with and without the suspect, and the critical value by bisection of its tail.

    Leaving one value out takes (n/(n − 1))·d² off the sum of squares: G² = (n − 1)²/n·(1 − S_without/S_all) (Grubbs 1969). For one value named
    beforehand √(n(n − 2))·G/√((n − 1)² − n·G²) is Student's t of n − 2; the n two-sided chances are added.
    """
    x = np.asarray(values)
    n = len(x)
    without = [np.var(np.delete(x, i)) * (n - 1) for i in range(n)]
    least = int(np.argmin(without))
    statistic = ((n - 1) ** 2 / n * (1 - without[least] / (np.var(x) * n))) ** 0.5
    low, high = 0.0, (n - 1) / n**0.5 * (1 - 1e-15)
    for _ in range(200):
        G = (low + high) / 2
        chance = 2 * n * t.sf((n * (n - 2)) ** 0.5 * G / ((n - 1) ** 2 - n * G * G) ** 0.5, n - 2)
        low, high = (G, high) if chance > level else (low, G)
    return least, statistic, low


@pytest.mark.parametrize("n", [3, 4, 5, 8, 20, 50])
@pytest.mark.parametrize("level", [0.01, 0.05, 0.1])
def test_grubbs_against_a_search(n, level):
    x = 1.49 + 1e-4 * np.random.default_rng(n).standard_normal(n)
    found = grubbs(x, level=level)
    least, statistic, critical = by_search(x, level)
    assert (found.position, found.value) == (least + 1, x[least])
    assert found.statistic == pytest.approx(statistic, rel=1e-6, abs=0.0)
    assert found.critical == pytest.approx(critical, rel=1e-7, abs=0.0)
    assert found.is_suspect == (statistic > critical)


@pytest.mark.parametrize("n", [4, 8, 15])
def test_grubbs_alarms_as_often_as_its_level_says(n):
    """Normal readings without an outlier: 5 % of 4,000 sets (four standard errors are 1.4 %)."""
    sets = np.random.default_rng(3).standard_normal((4000, n))
    assert np.mean([grubbs(x).is_suspect for x in sets]) == pytest.approx(0.05, abs=0.014)


@pytest.mark.parametrize("n", [3, 4, 6])
@pytest.mark.parametrize("scatter", [0.2, 1.0, 3.0])
def test_rounding_makes_no_outlier(n, scatter):
    """Readings without an outlier, shown in steps of 1: without the resolution up to 60 % of sets of three are called suspect."""
    random = np.random.default_rng(1)
    sets = np.round(random.uniform(0, 1, (1500, 1)) + scatter * random.standard_normal((1500, n)))
    assert np.mean([grubbs(x, resolution=1.0).is_suspect for x in sets]) < 0.05 + 0.0225  # four standard errors
    if n == 3:
        assert np.mean([grubbs(x).is_suspect for x in sets]) > 0.15


@pytest.mark.parametrize(("x", "suspect"), [([1.49, 1.49, 1.4901], False), ([1.49, 1.49, 1.49, 1.4901], False), ([1.49] * 4 + [1.494], True)])
def test_one_step_is_none_and_many_are_one(x, suspect):
    assert grubbs(x).is_suspect
    assert grubbs(x, resolution=1e-4).is_suspect == suspect


@given(st.lists(st.floats(-1.0, 1.0), min_size=5, max_size=12), st.integers(0, 11), st.sampled_from([-1, 1]))
def test_an_outlier_is_found_where_it_stands(x, at, sign):
    assume(np.ptp(x) > 1e-3)
    at = at % (len(x) + 1)
    found = grubbs([*x[:at], sign * 100.0, *x[at:]])
    assert (found.position, found.value, found.is_suspect) == (at + 1, sign * 100.0, True)


def test_identical_values_hold_no_suspect():
    assert grubbs([1.4907] * 5)[2:] == (0.0, pytest.approx(1.715, abs=5e-4), False)


@pytest.mark.parametrize(
    ("values", "level", "told"),
    [
        ([1.49, 1.5], 0.05, "at least 3"),
        ([1.0, 2.0, np.nan], 0.05, "not a finite number"),
        ([1.0, 2.0, 3.0], 5.0, "level = 5.*0.05 for 5 %"),
        ([1.0, 2.0, 3.0], 0.0, "between 0 and 1"),
        ([1.0, 2.0, 3.0], -0.05, "level = -0.05: must lie between 0 and 1"),
        ([1.0, 2.0, 3.0], 1.0, "level = 1: must lie between 0 and 1"),
    ],
)
def test_what_cannot_be_tested_says_why(values, level, told):
    with pytest.raises(InputError, match=told):
        grubbs(values, level=level)


def test_a_display_adds_its_rectangle_to_the_scatter():
    """Deviations −1, −1, 2 of 1.4900: s² = 3e-8 for steps of 1e-4; a resolution of 2e-4 adds 4e-8/12."""
    found = grubbs([1.4899, 1.4899, 1.4902], resolution=2e-4)
    assert found.statistic == pytest.approx(2e-4 / (3e-8 + 4e-8 / 12) ** 0.5, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("value", "count"), [(1.3001, 6), (1.3005, 7), (1.3009, 7)])
def test_identical_values_hold_no_suspect_though_their_mean_is_rounded(value, count):
    assert np.mean([value] * count) != value
    assert grubbs([value] * count)[2] == 0.0
