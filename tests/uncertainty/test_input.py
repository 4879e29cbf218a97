"""Inputs: their constructors against the guides, their draws against their own mathematics and against metrolopy 1.1."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.uncertainty import Input, propagate
from lenscalc.uncertainty.draws import draw, drawn, factor_of
from lenscalc.uncertainty.input import BOUNDED, half_width_of_unit_u

N = 400_000


def test_the_first_fields_stay_where_they_were():
    assert Input(1.49, 3e-4, "rectangular", 8.0) == (1.49, 3e-4, "rectangular", 8.0, 0.0)
    assert Input(1.49, 3e-4) == Input(value=1.49, u=3e-4, distribution="normal", dof=math.inf)


def test_from_data_by_hand():
    # 2, 4, 9: mean 5, s² = (9 + 1 + 16)/2 = 13, u = √(13/3)
    assert Input.from_data([2.0, 4.0, 9.0]) == (5.0, pytest.approx(math.sqrt(13.0 / 3.0)), "t", 2.0, 0.0)


# a/√3, a/√6, a/√2 (JCGM 100:2008, 4.3.7, 4.3.9); trapezoid a√((1+β²)/6); limits known to d: √(a²/3 + d²/9), the second quoted in open code
@pytest.mark.parametrize(
    ("kind", "more", "square"),
    [
        ("rectangular", {}, 1 / 3),
        ("triangular", {}, 1 / 6),
        ("arcsine", {}, 1 / 2),
        ("trapezoid", {"top_to_base": 0.5}, 1.25 / 6),
        ("trapezoid", {"top_to_base": 0.0}, 1 / 6),
        ("trapezoid", {}, 1 / 6),
        ("trapezoid", {"top_to_base": 1.0}, 1 / 3),
        ("curvilinear trapezoid", {"limits_known_to": 0.2}, 1 / 3 + 0.01 / 9),
        ("curvilinear trapezoid", {}, 1 / 3),
    ],
)
def test_half_widths(kind, more, square):
    x = Input.from_half_width(7.0, 2.0, kind, **more)
    assert x.u**2 == pytest.approx(4.0 * square if "limits_known_to" not in more else 4.0 * (1 / 3 + 0.01 / 9))
    assert x.value == 7.0


def test_no_degrees_of_freedom_at_all_are_refused():
    for dof in (0.0, -1.0):
        with pytest.raises(InputError, match=f"dof = {dof:g}: degrees of freedom must be above 0"):
            Input.from_certificate(0.0, 1.0, probability=0.95, dof=dof)
    with pytest.raises(InputError, match="k = nan"):
        Input.from_certificate(0.0, 1.0, probability=0.95, dof=math.nan)


def test_certificates():
    assert Input.from_certificate(1.0, 0.0, k=2.0).u == 0.0
    assert Input.from_certificate(50000623.0, 75.0, k=3.0, dof=18.0) == (50000623.0, 25.0, "t", 18.0, 0.0)
    assert Input.from_certificate(0.0, 1.959964, probability=0.95).u == pytest.approx(1.0, abs=1e-6)
    assert Input.from_certificate(0.0, 2.92, probability=0.99, dof=16.0).u == pytest.approx(1.0, abs=0.002)  # JCGM 100:2008, table G.2


@given(st.floats(0.01, 10.0), st.sampled_from(BOUNDED), st.floats(0.0, 1.0))
def test_the_half_width_comes_back(a, kind, shape):
    more = {"trapezoid": {"top_to_base": shape}, "curvilinear trapezoid": {"limits_known_to": shape * a}}
    x = Input.from_half_width(1.0, a, kind, **more.get(kind, {}))
    assert x.u * half_width_of_unit_u(x.distribution, x.shape) == pytest.approx(a, rel=1e-12, abs=0.0)
    assert x.shape == pytest.approx(shape if kind.endswith("trapezoid") else 0.0)  # of which the others have none


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Input.from_data([1.49]), "at least two"),
        (lambda: Input.from_data([1.49, float("nan")]), "reading 2 = nan is not a finite number"),
        (lambda: Input.from_data(["1,49", 1.49]), "must be a list of numbers"),
        (lambda: Input.from_data([]), "at least two"),
        (lambda: Input.from_data([[1.49, 1.48], [1.47, 1.46]]), r"readings of shape \(2, 2\): they must be one list"),
        (lambda: Input.from_data(1.49), "at least two"),
        (lambda: Input.from_half_width(1.0, -0.1), r"half_width = -0\.1: must be 0 or more, and finite"),
        (lambda: Input.from_half_width(1.0, math.inf), "half_width = inf: must be 0 or more, and finite"),
        (lambda: Input.from_half_width(1.0, math.nan), "half_width = nan: must be 0 or more, and finite"),
        (lambda: propagate(lambda a: a, {"a": Input(1.0, math.inf)}), "u of a = inf: a standard uncertainty must be 0 or more, and finite"),
        (lambda: Input.from_half_width(1.0, 0.1, "normal"), "has no half-width"),
        (lambda: Input.from_half_width(1.0, 0.1, "trapezoid", top_to_base=1.5), "shape of this input = 1.5"),
        (lambda: Input.from_half_width(1.0, 0.1, "curvilinear trapezoid", limits_known_to=0.2), "limits_known_to = 0.2"),
        (lambda: Input.from_half_width(1.0, 0.1, "curvilinear trapezoid", limits_known_to=-0.05), r"limits_known_to = -0\.05: must lie between 0"),
        (lambda: Input.from_half_width(1.0, 0.1, limits_known_to=0.05), "limits_known_to = 0.05 belongs to a curvilinear trapezoid: leave it out"),
        (lambda: Input.from_half_width(1.0, 0.1, "trapezoid", limits_known_to=0.05), "limits_known_to = 0.05 belongs to a curvilinear"),
        (lambda: Input.from_half_width(1.0, 0.1, "triangular", top_to_base=0.5), "top_to_base = 0.5 belongs to a trapezoid"),
        (lambda: Input.from_half_width(1.0, 0.1, "curvilinear trapezoid", top_to_base=0.5), "top_to_base = 0.5 belongs to a trapezoid"),
        (lambda: Input.from_certificate(1.0, 0.1), "k or the probability"),
        (lambda: Input.from_certificate(1.0, 0.1, k=2.0, probability=0.95), "one of the two"),
        (lambda: Input.from_certificate(1.0, 0.1, probability=95.0), "0.95, not 95"),
        (lambda: Input.from_certificate(1.0, 0.1, k=0.0), "k = 0"),
        (lambda: Input.from_certificate(1.0, 0.1, k=-2.0), "k = -2.0: a coverage factor must be above 0, and finite"),
        (lambda: Input.from_certificate(1.0, -0.1, k=2.0), "expanded = -0.1"),
        (lambda: propagate(lambda a: a, {"a": Input(1.0, 0.1, dof=0.0)}), "dof of a = 0"),
        (lambda: propagate(lambda a: a, {"a": Input(float("nan"), 0.1)}), "a = nan"),
        (lambda: propagate(lambda a: a, {}), "no inputs"),
    ],
)
def test_what_cannot_be_is_refused(make, message):
    with pytest.raises(InputError, match=message):
        make()


def test_an_unknown_distribution_suggests_a_known_one():
    with pytest.raises(UnknownNameError, match="did you mean rectangular"):
        propagate(lambda a: a, {"a": Input(1.0, 0.1, "rectangle")})


# fourth moments in units of u⁴: normal 3; rectangular 9/5; triangular 12/5; arcsine 3/2; trapezoid β of two rectangular halves 1+β, 1−β:
# 3 − (6/5)·Σw⁴/(Σw²)², w = 1 ± β
@pytest.mark.parametrize(
    ("kind", "shape", "fourth"),
    [
        ("normal", 0.0, 3.0),
        ("rectangular", 0.0, 1.8),
        ("triangular", 0.0, 2.4),
        ("arcsine", 0.0, 1.5),
        ("trapezoid", 0.0, 2.4),
        ("trapezoid", 0.5, 3.0 - 1.2 * (1.5**4 + 0.5**4) / (1.5**2 + 0.5**2) ** 2),
        ("trapezoid", 1.0, 1.8),
        ("curvilinear trapezoid", 0.0, 1.8),
        # half-width a(1 + q·v), v uniform in ±1: E(x²) = E(h²)/3, E(x⁴) = E(h⁴)/5; at q = 1/2: E(h²) = 1 + q²/3, E(h⁴) = 1 + 2q² + q⁴/5
        ("curvilinear trapezoid", 0.5, (1 + 0.5 + 0.0125) / 5 / ((1 + 0.25 / 3) / 3) ** 2),
    ],
)
def test_moments_of_the_draws(kind, shape, fourth):
    x = draw(kind, math.inf, shape, N, np.random.default_rng(7))
    noise = 5.0 / N**0.5
    assert abs(x.mean()) < noise
    assert abs((x * x).mean() - 1.0) < noise * (fourth - 1.0) ** 0.5
    assert (x**4).mean() == pytest.approx(fourth, rel=20.0 / N**0.5, abs=0.0)
    limit = half_width_of_unit_u(kind, shape)
    assert np.abs(x).max() <= limit * (1.0 + (shape if kind.startswith("curvi") else 0.0)) * (1.0 + 1e-12)


def test_the_draws_of_few_readings_are_t():
    x = draw("t", 5.0, 0.0, N, np.random.default_rng(7))
    assert x.std() == pytest.approx((5.0 / 3.0) ** 0.5, rel=0.01, abs=0.0)
    assert np.array_equal(x, draw("normal", 5.0, 0.0, N, np.random.default_rng(7)))


def test_what_has_limits_keeps_them_whatever_its_degrees_of_freedom():
    assert np.abs(draw("rectangular", 2.0, 0.0, N, np.random.default_rng(7))).max() <= 3**0.5


@pytest.mark.parametrize(("kind", "shape"), [("trapezoid", 0.3), ("trapezoid", 0.9), ("curvilinear trapezoid", 0.5), ("curvilinear trapezoid", 0.1)])
def test_shapes_against_metrolopy(kind, shape):
    uc = pytest.importorskip("metrolopy")
    if kind == "trapezoid":
        theirs, mine = (
            uc.TrapezoidalDist(lower_limit=-1.0, upper_limit=1.0, top_to_base_ratio=shape),
            Input.from_half_width(0.0, 1.0, kind, top_to_base=shape),
        )
    else:
        theirs = uc.CurvlinearTrapDist(center=0.0, half_width=1.0, limit_half_range=shape)
        mine = Input.from_half_width(0.0, 1.0, kind, limits_known_to=shape)
    assert mine.u == pytest.approx(uc.gummy(theirs).u, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("r", [-1.0, -0.36, 0.9, 1.0])
def test_the_factor_of_a_correlation_gives_it_back(r):
    """LLᵀ, L without anything above its diagonal."""
    matrix = np.eye(3)
    matrix[0, 2] = matrix[2, 0] = r
    factor = factor_of({x: Input(0.0, 1.0) for x in "abc"}, matrix)
    assert np.array_equal(factor, np.tril(factor))
    assert factor @ factor.T == pytest.approx(matrix, abs=1e-15)


@pytest.mark.parametrize("r", [-1.0, -0.36, 0.9, 1.0])
def test_correlated_draws_have_their_correlation(r):
    inputs = {"a": Input(3.0, 0.2), "exact": Input(5.0, 0.0), "b": Input(-1.0, 0.5), "free": Input(0.0, 1.0, "arcsine")}
    matrix = np.eye(4)
    matrix[0, 2] = matrix[2, 0] = r
    x = drawn(inputs, factor_of(inputs, matrix), N, np.random.default_rng(3))
    assert np.corrcoef(x["a"], x["b"])[0, 1] == pytest.approx(r, abs=4.0 / N**0.5 * (1.0 - r * r) + 1e-12)
    assert (x["a"].mean(), x["a"].std(), x["b"].std()) == pytest.approx((3.0, 0.2, 0.5), rel=0.01, abs=0.0)
    assert np.all(x["exact"] == 5.0)
    assert abs(np.corrcoef(x["a"], x["free"])[0, 1]) < 5.0 / N**0.5


def test_three_correlated_draws_have_their_matrix():
    # JCGM 100:2008, table H.2, rounded
    inputs = {x: Input(0.0, 1.0) for x in "abc"}
    matrix = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])
    x = drawn(inputs, factor_of(inputs, matrix), N, np.random.default_rng(3))
    assert np.corrcoef(list(x.values())) == pytest.approx(matrix, abs=0.01)


@pytest.mark.parametrize("b", [Input(0.0, 1.0, "rectangular"), Input(0.0, 1.0, dof=4.0)])
def test_correlated_inputs_that_are_not_normal_are_refused(b):
    with pytest.raises(InputError, match="b is correlated and not normal"):
        factor_of({"a": Input(0.0, 1.0), "b": b}, np.array([[1.0, 0.5], [0.5, 1.0]]))


def test_two_readings_are_enough():
    """2 and 4: mean 3, s² = 2, u = √(2/2)."""
    assert Input.from_data([2.0, 4.0]) == (3.0, pytest.approx(1.0), "t", 1.0, 0.0)


@pytest.mark.parametrize("wrong", [{"dof": -1.0}, {"dof": 0.0}, {"dof": math.nan}, {"shape": -0.1}, {"shape": 1.1}, {"shape": math.nan}])
def test_degrees_of_freedom_and_a_shape_have_their_ranges(wrong):
    with pytest.raises(InputError, match="degrees of freedom must be above 0" if "dof" in wrong else "lies between 0 and 1"):
        propagate(lambda a: a, {"a": Input(1.0, 0.1, "trapezoid")._replace(**wrong)})


def test_what_is_exact_takes_no_random_numbers():
    """Whether an exact input is named or not, the others are drawn alike; nor does it matter as what it would have been drawn."""
    free, exact = Input(0.0, 1.0), Input(5.0, 0.0, "t", dof=1e-3)
    with_it = drawn({"exact": exact, "free": free}, None, 100, np.random.default_rng(3))
    assert np.array_equal(with_it["free"], drawn({"free": free}, None, 100, np.random.default_rng(3))["free"])
    assert with_it["exact"].tolist() == [5.0] * 100
