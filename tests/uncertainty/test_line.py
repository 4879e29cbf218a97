"""The fitted line against scipy (linregress, curve_fit) and numpy, and what a line must do. Published lines are in reference_cases/line.toml."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from scipy.stats import linregress

from lenscalc.errors import InputError
from lenscalc.uncertainty import fit_line

# JCGM 100:2008, H.3, table H.6: readings of a thermometer and their corrections, °C
T = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
B = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]

points = st.integers(3, 12).flatmap(
    lambda n: st.tuples(*(st.lists(st.floats(a, b), min_size=n, max_size=n) for a, b in ((0.0, 50.0), (-1.0, 1.0), (0.01, 1.0))))
)


def spread_out(x):
    assume(np.ptp(x) > 1.0)


def can_be_squared(y):
    largest = max(map(abs, y))
    assume(largest == 0 or largest >= 1e-150)


def test_the_thermometer_of_the_guide():
    line = fit_line(T, B, x0=20.0)
    assert (line.intercept, line.u_intercept) == (pytest.approx(-0.1712, abs=5e-5), pytest.approx(0.0029, abs=5e-5))
    assert (line.slope, line.u_slope) == (pytest.approx(0.00218, abs=5e-6), pytest.approx(0.00067, abs=5e-6))
    assert line.correlation == pytest.approx(-0.930, abs=5e-4)
    assert (line.value(30.0), line.u(30.0)) == (pytest.approx(-0.1494, abs=5e-5), pytest.approx(0.0041, abs=5e-5))
    assert line.dof == 9
    assert np.isnan(line.chi2)


def scattered(seed):
    random = np.random.default_rng(seed)
    n = random.integers(3, 15)
    x, u = random.uniform(10.0, 40.0, n), random.uniform(1e-5, 1e-3, n)
    return x, 1.49 - 2e-4 * x + u * random.standard_normal(n), u


@pytest.mark.parametrize("seed", range(20))
def test_unweighted_against_linregress(seed):
    x, y, _ = scattered(seed)
    line, theirs = fit_line(x, y, x0=0.0), linregress(x, y)
    assert line.slope == pytest.approx(theirs.slope, rel=1e-9, abs=0.0)
    assert line.intercept == pytest.approx(theirs.intercept, rel=1e-12, abs=0.0)
    assert line.u_slope == pytest.approx(theirs.stderr, rel=1e-8, abs=0.0)
    assert line.u_intercept == pytest.approx(theirs.intercept_stderr, rel=1e-8, abs=0.0)


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("x0", [0.0, 25.0, 60.0])
def test_weighted_against_curve_fit(seed, x0):
    x, y, u = scattered(seed)
    line = fit_line(x, y, u=u, x0=x0)
    (a, b), cov = curve_fit(lambda x, a, b: a + b * (x - x0), x, y, p0=(1.5, 0.0), sigma=u, absolute_sigma=True, xtol=1e-14, ftol=1e-14)
    assert line.intercept == pytest.approx(a, abs=1e-4 * line.u_intercept)
    assert line.slope == pytest.approx(b, abs=1e-4 * line.u_slope)
    assert line.u_intercept == pytest.approx(cov[0, 0] ** 0.5, rel=1e-5, abs=0.0)
    assert line.u_slope == pytest.approx(cov[1, 1] ** 0.5, rel=1e-5, abs=0.0)
    assert line.correlation == pytest.approx(cov[0, 1] / (cov[0, 0] * cov[1, 1]) ** 0.5, abs=1e-5)
    assert line.chi2 == pytest.approx(np.sum(((y - a - b * (x - x0)) / u) ** 2), rel=1e-6, abs=0.0)
    assert line.dof == np.inf


@given(points, st.booleans(), st.floats(-20.0, 60.0), st.floats(-20.0, 60.0))
def test_the_line_does_not_depend_on_where_it_is_written(xyu, weighted, x0, x):
    xs, y, u = xyu
    spread_out(xs)
    can_be_squared(y)
    u = u if weighted else None
    at_mean, elsewhere = fit_line(xs, y, u=u), fit_line(xs, y, u=u, x0=x0)
    assert at_mean.correlation == 0
    w = np.ones(len(xs)) if u is None else 1 / np.square(u)
    assert at_mean.x0 == pytest.approx(np.average(xs, weights=w))
    assert elsewhere.value(x) == pytest.approx(at_mean.value(x), abs=1e-9)
    assert elsewhere.u(x) == pytest.approx(at_mean.u(x), rel=1e-7, abs=1e-9)
    assert at_mean.u(x) >= at_mean.u_intercept


@given(points, st.booleans(), st.floats(-20.0, 60.0))
def test_the_coefficients_of_the_points_make_the_line(xyu, weighted, x0):
    x, y, u = xyu
    spread_out(x)
    can_be_squared(y)
    line = fit_line(x, y, u=u if weighted else None, x0=x0)
    assert line.intercept_by @ np.array(y) == pytest.approx(line.intercept, abs=1e-12)
    assert line.slope_by @ np.array(y) == pytest.approx(line.slope, abs=1e-12)
    # they are the derivatives: a point that moves takes the parameters with it
    moved = fit_line(x, [y[0] + 1.0, *y[1:]], u=u if weighted else None, x0=x0)
    assert moved.intercept - line.intercept == pytest.approx(line.intercept_by[0], abs=1e-10)
    assert moved.slope - line.slope == pytest.approx(line.slope_by[0], abs=1e-10)
    # a constant is all intercept, a slope of one all slope
    assert np.sum(line.intercept_by) == pytest.approx(1.0, abs=1e-10)
    assert np.sum(line.slope_by) == pytest.approx(0.0, abs=1e-11)
    assert line.slope_by @ np.array(x) == pytest.approx(1.0, abs=1e-9)
    if weighted:  # and carry the u of the points to those of the parameters
        assert np.sqrt(np.sum((line.intercept_by * u) ** 2)) == pytest.approx(line.u_intercept, rel=1e-9, abs=0.0)
        assert np.sqrt(np.sum((line.slope_by * u) ** 2)) == pytest.approx(line.u_slope, rel=1e-9, abs=0.0)


def test_parameters_that_are_exact_are_not_correlated():
    line = fit_line([0.0, 1.0, 2.0], [0.0, 1.0, 2.0], x0=5.0)
    assert (line.u_intercept, line.correlation) == (0.0, 0.0)


def test_points_on_a_line_leave_nothing():
    line = fit_line([0.0, 1.0, 2.0, 4.0], [1.0, 3.0, 5.0, 9.0], x0=0.0)
    assert (line.intercept, line.slope) == (pytest.approx(1.0, abs=1e-14), pytest.approx(2.0, abs=1e-14))
    assert line.u(100.0) < 1e-12


def test_one_u_for_all_and_a_very_small_one():
    x, y = [1.0, 2.0, 4.0], [1.49, 1.48, 1.47]
    line, tiny = fit_line(x, y, u=1e-4), fit_line(x, y, u=1e-150)
    assert line.slope == fit_line(x, y, u=[1e-4] * 3).slope == tiny.slope == fit_line(x, y).slope
    assert tiny.u_slope == pytest.approx(line.u_slope * 1e-146, rel=1e-12, abs=0.0)


def test_two_points_with_their_u_by_hand():
    """Slope 2/1, its u √2·0.1; no degree of freedom is left to scatter in."""
    line = fit_line([1.0, 2.0], [3.0, 5.0], u=0.1)
    assert (line.slope, line.u_slope) == (pytest.approx(2.0, rel=1e-14, abs=0.0), pytest.approx(0.1 * 2**0.5, rel=1e-14, abs=0.0))
    assert (line.dof, line.chi2) == (np.inf, pytest.approx(0.0, abs=1e-20))
    assert np.isnan(line.scatter)


def test_points_far_from_zero_keep_the_digits_of_their_slope():
    """Moments of a day in seconds since 1970; fractions give the sum of squares of the very numbers."""
    x = [1.7e9 + 0.1 * i for i in range(5)]
    exact = [Fraction(a) for a in x]
    middle = sum(exact) / 5
    spread = float(sum((a - middle) ** 2 for a in exact))
    assert fit_line(x, [1.0, 2.0, 3.0, 4.0, 6.0], u=1.0).u_slope == pytest.approx(spread**-0.5, rel=1e-6, abs=0.0)


@pytest.mark.parametrize(("unit_of_x", "unit_of_y"), [(2.0**-490, 2.0**490), (2.0**490, 2.0**-490), (2.0**490, 2.0**490)])
def test_in_the_farthest_units_the_line_is_the_same(unit_of_x, unit_of_y):
    """Powers of two move nothing but the exponent."""
    x, y = np.array([1.0, 2.0, 4.0]), np.array([1.49, 1.48, 1.45])
    here, there = fit_line(x, y), fit_line(x * unit_of_x, y * unit_of_y)
    assert (there.intercept, there.u_intercept, there.scatter) == tuple(unit_of_y * v for v in (here.intercept, here.u_intercept, here.scatter))
    assert (there.slope, there.u_slope) == (here.slope * (unit_of_y / unit_of_x), here.u_slope * (unit_of_y / unit_of_x))


def test_values_that_are_all_zero_are_on_a_line():
    line = fit_line([1.0, 2.0, 3.0], [0.0, 0.0, 0.0])
    assert (line.slope, line.intercept, line.u_slope) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("x", "y", "more", "told"),
    [
        ([1.0, 2.0], [1.0, 2.0], {}, r"2 points.*at least 3"),
        ([1.0], [1.0], {"u": 0.1}, r"1 point:.*at least 2"),
        ([], [], {}, r"0 points"),
        ([1.0, 2.0, 3.0], [1.0, 2.0], {}, "lists of one length"),
        ([[1.0, 2.0, 3.0]], [[1.0, 2.0, 3.0]], {}, "lists of one length"),
        (1.0, 1.0, {}, "lists of one length"),
        ([2.0, 2.0, 2.0], [1.0, 2.0, 3.0], {}, "same x"),
        ([0.1, 0.1, 0.1], [1.0, 2.0, 3.0], {}, "same x"),  # whose mean, as doubles, is 0.10000000000000002
        ([2.0, 2.0, 2.0], [1.0, 2.0, 3.0], {"u": [0.1, 0.2, 0.3]}, "same x"),
        ([1e-150, 1e-150, 1e-150 * (1.0 + 2.0**-52)], [1.0, 2.0, 3.0], {}, "same x"),  # 2e-166 apart, whose square no number holds
        ([1.0, 2.0, np.nan], [1.0, 2.0, 3.0], {}, "finite"),
        ([1.0, 2.0, 3.0], [1.0, np.inf, 3.0], {}, "finite"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"x0": np.nan}, "finite"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"u": [0.1, 0.1]}, "as long as x"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"u": [0.1, 0.0, 0.1]}, "above 0"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"u": -0.1}, "above 0"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"u": np.nan}, "above 0"),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], {"u": np.inf}, "finite"),
        ([0.0, -2e150, 1.0], [1.0, 2.0, 3.0], {},
         r"^the largest x is 2e\+150: its square no number holds beyond 1e-150 to 1e150; state x in another unit$"),
        ([0.0, 1.0, 2.0], [0.0, 2e-151, 1e-151], {}, "^the largest y is 2e-151: its square"),
        ([0.0, 1.0, 2.0], [0.0, 1.0, 1.0], {"u": 1e-151}, "^the largest u is 1e-151: its square"),
    ],
)
def test_what_is_no_line_says_why(x, y, more, told):
    with pytest.raises(InputError, match=told):
        fit_line(x, y, **more)


def test_a_line_as_long_or_as_short_as_it_may_be():
    """Through (0, 1), (1, 3), (2, 5) with x in another unit; the range is named beside what lies outside it."""
    for unit in (0.5e150, 0.5e-150):
        assert fit_line([0.0, unit, 2.0 * unit], [1.0, 3.0, 5.0]).slope == pytest.approx(2.0 / unit, rel=1e-14, abs=0.0)
    with pytest.raises(InputError) as refused:
        fit_line([0.0, 1.0, 1.1e150], [1.0, 2.0, 3.0])
    assert refused.value.limits == (1e-150, 1e150)


@pytest.mark.parametrize(("x", "y"), [(3, 4), (4, 3)])
def test_points_have_both_their_coordinates(x, y):
    with pytest.raises(InputError, match="lists of one length"):
        fit_line(range(x), range(y))
