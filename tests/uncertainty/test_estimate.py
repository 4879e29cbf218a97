"""Estimates against the `uncertainties` library (3.2): the same shared causes must give the same u and covariance."""

from math import sqrt

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.uncertainty import Estimate, Source, budget, combine, decimals_for, estimate, numerical_tolerance, standard_u, with_u

SIZE = 4
coefficients = st.lists(st.floats(-10.0, 10.0), min_size=SIZE, max_size=SIZE)
spreads = st.lists(st.floats(1e-3, 0.1), min_size=SIZE, max_size=SIZE)
positive = st.lists(st.floats(0.5, 2.0), min_size=SIZE, max_size=SIZE)
steps = st.lists(st.tuples(st.sampled_from("+*/r"), st.integers(0, 99), st.integers(0, 99)), min_size=1, max_size=8)


@given(positive, spreads, coefficients, coefficients)
def test_linear_chains_with_shared_causes(values, us, a, b):
    mine = [estimate(v, u, Source(f"x{i}")) for i, (v, u) in enumerate(zip(values, us, strict=True))]
    theirs = [uncertainties.ufloat(v, u) for v, u in zip(values, us, strict=True)]
    p, q = combine(0.0, zip(a, mine, strict=True)), combine(0.0, zip(b, mine, strict=True))
    r = combine(0.0, [(2.0, p), (-3.0, q)])
    P, Q = (sum(c * x for c, x in zip(of, theirs, strict=True)) for of in (a, b))
    R = 2.0 * P - 3.0 * Q
    scale = 1e-12 * 50.0 * sum(us)  # where causes cancel, what is left carries the rounding of what was there
    assert r.u == pytest.approx(R.std_dev, rel=1e-12, abs=scale)
    assert p.covariance(q) == pytest.approx(uncertainties.covariance_matrix([P, Q])[0][1], rel=1e-12, abs=scale)
    assert q.covariance(p) == p.covariance(q)
    assert p.covariance(p) == pytest.approx(p.u**2, rel=1e-14, abs=0.0)


@given(positive, spreads, steps)
def test_products_quotients_and_roots_with_shared_causes(values, us, steps):
    mine = [estimate(v, u, Source(f"x{i}")) for i, (v, u) in enumerate(zip(values, us, strict=True))]
    theirs = [uncertainties.ufloat(v, u) for v, u in zip(values, us, strict=True)]
    for kind, i, j in steps:
        (a, b), (A, B) = ((of[i % len(of)], of[j % len(of)]) for of in (mine, theirs))
        x, y = a.value, b.value
        if kind == "+":
            mine.append(combine(x + y, [(1.0, a), (1.0, b)]))
            theirs.append(A + B)
        elif kind == "*":
            mine.append(combine(x * y, [(y, a), (x, b)]))
            theirs.append(A * B)
        elif kind == "/":
            mine.append(combine(x / y, [(1.0 / y, a), (-x / (y * y), b)]))
            theirs.append(A / B)
        else:
            mine.append(combine(sqrt(x), [(0.5 / sqrt(x), a)]))
            theirs.append(A**0.5)
    for e, E in zip(mine, theirs, strict=True):
        size = sum(abs(p) for p in e.parts.values())
        assert e.value == pytest.approx(E.nominal_value, rel=1e-12, abs=0.0)
        assert e.u == pytest.approx(E.std_dev, rel=1e-12, abs=1e-12 * max(size, abs(e.value)))


def test_what_is_shared_cancels_in_a_difference_and_doubles_in_a_sum():
    shared = Source("calibration", scope="instrument")
    a, b = estimate(1.49, 3e-4, shared), estimate(1.336, 3e-4, shared)
    assert combine(0.154, [(1.0, a), (-1.0, b)]).u == 0.0
    assert combine(2.826, [(1.0, a), (1.0, b)]).u == pytest.approx(6e-4)


def test_sources_are_the_same_where_they_are_equal():
    a, b = estimate(1.0, 0.1, Source("x", "lot")), estimate(1.0, 0.1, Source("x", "lot"))
    other = estimate(1.0, 0.1, Source("x", "lens"))
    assert a.covariance(b) == pytest.approx(0.01)
    assert a.covariance(other) == 0.0


def test_u_by_scope_adds_up():
    e = Estimate(20.0, {Source("a", "instrument"): 0.03, Source("b", "lot"): -0.04, Source("c", "lens"): 0.12})
    assert (e.u_of("instrument"), e.u_of("lot"), e.u_of("lens")) == pytest.approx((0.03, 0.04, 0.12))
    assert e.u_where(lambda s: s.is_common) == pytest.approx(0.05)  # 3-4-5
    assert e.u == pytest.approx(0.13)  # 5-12-13


def test_an_array_is_its_rows():
    s, t = Source("s"), Source("t", dof=4)
    whole = Estimate(np.array([1.0, 2.0]), {s: np.array([0.1, 0.2]), t: np.array([0.3, 0.0])})
    for row in range(2):
        alone = Estimate(float(whole.value[row]), {k: float(p[row]) for k, p in whole.parts.items()})
        assert (whole.u[row], whole.dof[row]) == (alone.u, alone.dof)
    assert whole.dof[1] == np.inf


def test_welch_satterthwaite_by_hand():
    # two equal parts of 4 degrees of freedom each: (2u²)²/(2u⁴/4) = 8
    assert Estimate(0.0, {Source("a", dof=4): 0.1, Source("b", dof=4): -0.1}).dof == pytest.approx(8.0)
    # one of them exact in its u: (2u²)²/(u⁴/4) = 16
    assert Estimate(0.0, {Source("a", dof=4): 0.1, Source("b"): 0.1}).dof == pytest.approx(16.0)
    assert Estimate(0.0, {Source("a"): 0.1}).dof == np.inf
    assert Estimate(0.0, {}).dof == np.inf


def test_degrees_of_freedom_of_some_of_the_sources():
    """Of the lens's own, 0.3 with 4 beside an exact 0.4: 0.5⁴/(0.3⁴/4); the lot's are not asked."""
    e = Estimate(0.0, {Source("a", "lens", 4.0): 0.3, Source("b", "lens"): -0.4, Source("c", "lot", 2.0): 5.0})
    assert e.dof_where(lambda s: s.scope == "lens") == pytest.approx(0.5**4 / (0.3**4 / 4.0))
    assert e.dof_where(lambda s: s.name == "b") == np.inf


def test_a_shared_cause_is_one_group_for_the_degrees_of_freedom():
    s = Source("s", dof=4)
    both = combine(0.0, [(1.0, estimate(1.0, 0.1, s)), (1.0, estimate(1.0, 0.1, s))])
    assert both.dof == pytest.approx(4.0)


def test_budget_is_whole_and_in_order():
    e = Estimate(1.49, {Source("a"): 3e-4, Source("b", "lens", 4.0, "t"): -4e-4, Source("nothing"): 0.0})
    lines = budget(e)
    assert [line.source for line in lines] == ["b", "a"]
    assert sum(line.share for line in lines) == pytest.approx(1.0)
    assert (lines[0].part, lines[0].share, lines[0].scope, lines[0].distribution, lines[0].dof) == (-4e-4, pytest.approx(0.64), "lens", "t", 4.0)
    assert budget(Estimate(1.49)) == budget(Estimate(1.49, {Source("nothing"): 0.0})) == []


def test_a_budget_is_that_of_one_case_and_in_any_unit():
    """The first case unless another is named; what is left of rounding, below 1e-12 of u, is no line."""
    a, b = Source("a"), Source("b")
    e = Estimate(np.zeros(3), {a: np.array([3e-8, 1e5, 1e-13]), b: np.array([4e-8, 1e-8, 1.0])})
    of = [[(line.source, line.share) for line in budget(e, case)] for case in (0, 1, 2)]
    assert of == [[("b", pytest.approx(0.64)), ("a", pytest.approx(0.36))], [("a", 1.0)], [("b", 1.0)]]
    assert budget(e) == budget(e, 0)


# JCGM 100:2008, 4.3.7 and 4.3.9 (a/√3, a/√6); arcsine a/√2
@pytest.mark.parametrize(("shape", "square"), [("rectangular", 3), ("triangular", 6), ("arcsine", 2)])
def test_half_widths(shape, square):
    assert standard_u(0.5, shape) ** 2 == pytest.approx(0.25 / square)
    assert standard_u(0.0, shape) == 0.0
    with pytest.raises(ValueError, match="half-width"):
        standard_u(0.5, "normal")


@pytest.mark.parametrize("none", [0.0, -1.0, float("inf"), float("nan")])
def test_what_is_no_uncertainty_rounds_nothing(none):
    assert (decimals_for(none), numerical_tolerance(none)) == (6, 0.0)


@pytest.mark.parametrize(("u", "decimals"), [(0.0314, 3), (0.0996, 2), (0.0994, 3), (0.99, 2), (0.996, 1), (1.23e-4, 5), (123.0, 0)])
def test_two_digits_of_u(u, decimals):
    assert decimals_for(u) == decimals


def test_a_number_is_shown_with_its_u():
    assert with_u(20.469666, 0.0996, "D") == "20.47 D, u 0.10 D"
    assert with_u(1.49021, 1.2e-4) == "1.49021, u 0.00012"
    assert with_u(20.5, float("nan"), "D") == "20.5 D, u unknown"
    assert with_u(1.49, 0.0) == "1.49, taken as exact"
