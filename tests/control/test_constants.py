"""The constants of control charts, against closed forms; the printed tables stand in reference_cases/control_charts.toml."""

from itertools import pairwise
from math import asin, gamma, pi, sqrt

import numpy as np
import pytest

from lenscalc.control import chart_constants
from lenscalc.errors import InputError


def test_ranges_of_two_three_and_four_in_closed_form():
    """Range of two: |x − y|, mean 2/√π, variance 2 − 4/π. Of three: mean 3/√π. Of four: (6/√π)·(1 − (2/π)·asin(1/√3)·…) by order statistics.

    Of four the mean is 2·E x₍₄₎ = (6/√π)·(1/2 + asin(1/3)/π) (Bose and Gupta 1959, from memory).
    """
    assert chart_constants(2).d2 == pytest.approx(2 / sqrt(pi), rel=1e-14, abs=0.0)
    assert chart_constants(2).d3 == pytest.approx(sqrt(2 - 4 / pi), rel=1e-13, abs=0.0)
    assert chart_constants(3).d2 == pytest.approx(3 / sqrt(pi), rel=1e-14, abs=0.0)
    assert chart_constants(4).d2 == pytest.approx(6 / sqrt(pi) * (0.5 + asin(1 / 3) / pi), rel=1e-13, abs=0.0)


@pytest.mark.parametrize("n", [2, 3, 5, 10, 50])
def test_the_mean_deviation_by_the_gamma_function(n):
    assert chart_constants(n).c4 == pytest.approx(sqrt(2 / (n - 1)) * gamma(n / 2) / gamma((n - 1) / 2), rel=1e-13, abs=0.0)


@pytest.mark.parametrize("n", [3, 7, 25])
def test_trials_of_the_range(n):
    x = np.random.default_rng(7).standard_normal((200_000, n))
    ranges = np.ptp(x, axis=1)
    found = chart_constants(n)
    assert found.d2 == pytest.approx(ranges.mean(), abs=5 * found.d3 / 200_000**0.5)
    assert found.d3 == pytest.approx(ranges.std(), rel=0.01, abs=0.0)


def test_a_range_grows_with_the_group_and_scatters_less():
    found = [chart_constants(n) for n in range(2, 101)]
    assert all(a.d2 < b.d2 and a.c4 < b.c4 < 1 and a.D4 > b.D4 for a, b in pairwise(found))
    assert [c.D3 + c.D4 for c in found if c.D3 > 0] == pytest.approx([2.0] * 94)


def test_a_lower_limit_below_nothing_is_nothing():
    """The tables print 0 for B3 up to groups of five and for D3 up to groups of six, and the first values beyond: 0.030 and 0.076 (from memory)."""
    assert [chart_constants(n).B3 for n in range(2, 6)] == [0.0] * 4
    assert [chart_constants(n).D3 for n in range(2, 7)] == [0.0] * 5
    assert pytest.approx(0.030, abs=5e-4) == chart_constants(6).B3
    assert pytest.approx(0.076, abs=5e-4) == chart_constants(7).D3


@pytest.mark.parametrize(("n", "printed"), [(2, (2.659, 0.0, 3.267)), (5, (1.427, 0.0, 2.089)), (10, (0.975, 0.284, 1.716))])
def test_limits_of_the_standard_deviation_as_printed(n, printed):
    """A3, B3 and B4 of the tables of control charts (from memory, to be confirmed against the text)."""
    found = chart_constants(n)
    assert pytest.approx(list(printed), abs=6e-4) == [found.A3, found.B3, found.B4]


@pytest.mark.parametrize("n", [1, 0, -3, 101, 2.5, True, float("inf"), float("nan"), "five", None])
def test_a_group_that_has_no_constants(n):
    with pytest.raises(InputError, match=r"^n = [^\n]*: must be a whole number, 2 to 100|^n = [^\n]* is not a number$"):
        chart_constants(n)


def test_single_readings_have_no_spread():
    with pytest.raises(InputError) as caught:
        chart_constants(1)
    said = "n = 1: must be a whole number, 2 to 100; the readings of a group for its spread; chart single readings as individuals"
    assert str(caught.value) == said


@pytest.mark.parametrize(("n", "d2", "d3"), [(2, 1.128, 0.853), (5, 2.326, 0.864), (10, 3.078, 0.797), (25, 3.931, 0.708)])
def test_the_range_of_a_group_as_printed(n, d2, d3):
    """d2 and d3 of the tables of control charts (from memory, to be confirmed against the text)."""
    c = chart_constants(n)
    assert (c.d2, c.d3) == pytest.approx((d2, d3), abs=6e-4)
