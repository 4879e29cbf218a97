"""Probabilities far in the tails and over wide and narrow limits, coverage factors, budgets: against integrals in 60 digits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured import Case, Rows, accuracy_holds
from mpmath import betainc, erfc, erfinv, exp, findroot, gamma, inf, log1p, mp, mpf, sqrt

from lenscalc import uncertainty
from lenscalc.uncertainty import Estimate, Input, Source

A = Rows(100)


def tail(z):
    """Of the normal law, above z."""
    return erfc(z / sqrt(2)) / 2


def t_tail(z, dof):
    """Of Student's t, above z of 0 or more: half the incomplete beta function of ν/(ν + z²)."""
    part = betainc(dof / 2, mpf(1) / 2, 0, dof / (dof + z * z), regularized=True) / 2 if z != inf else mpf(0)
    return part if z >= 0 else 1 - part


def within(value, u, lower, upper, dof=inf):
    above = (lambda z: tail(z)) if dof == inf else (lambda z: t_tail(z, dof))
    a, b = (lower - value) / u, (upper - value) / u
    return above(a) - above(b) if a > 0 else above(-b) - above(-a) if b < 0 else 1 - above(b) - above(-a)


def not_within(value, u, lower, upper, dof=inf):
    above = (lambda z: tail(z)) if dof == inf else (lambda z: t_tail(z, dof))
    return above((upper - value) / u) + above((value - lower) / u)


def factor(probability, dof):
    return sqrt(2) * erfinv(probability) if dof == inf else findroot(lambda k: 1 - 2 * t_tail(k, dof) - probability, float(near(probability, dof)))


def near(probability, dof):
    from scipy.special import stdtrit

    return stdtrit(float(dof), 0.5 + float(probability) / 2)


def limits_at(lower, width, u, p):
    """The guard band w at which both tails leave 1 − p: the equation itself, halved."""
    low, high = mpf(0), width / 2
    for _ in range(170):
        w = (low + high) / 2
        low, high = (w, high) if tail(w / u) + tail((width - w) / u) > 1 - p else (low, w)
    return lower + w


def line(x0, x1, y0, y1, y2):
    """Least squares through (0, y0), (x0, y1), (x0 + x1, y2) by the normal equations."""
    xs, ys = (mpf(0), x0, mpf(float(x0) + float(x1))), (y0, y1, y2)
    m, k = sum(xs) / 3, sum(ys) / 3
    return sum((x - m) * y for x, y in zip(xs, ys, strict=True)) / sum((x - m) ** 2 for x in xs), k


def of_line(x0, x1, y0, y1, y2):
    found = [uncertainty.fit_line([0.0, a, a + b], [p, q, r]) for a, b, p, q, r in zip(x0, x1, y0, y1, y2, strict=True)]
    return np.array([f.slope for f in found]), np.array([f.intercept for f in found])


def power(a, b, u_a, u_b, dof):
    """a²/b: u² = (2a/b·u_a)² + (a²/b²·u_b)², the degrees of freedom of the first by Welch and Satterthwaite."""
    p, q = (2 * a / b * u_a) ** 2, (a * a / b / b * u_b) ** 2
    return a * a / b, sqrt(p + q), (p + q) ** 2 / (p * p / dof)


def of_propagate(a, b, u_a, u_b, dof):
    rows = zip(a, b, u_a, u_b, dof, strict=True)
    found = [uncertainty.propagate(lambda a, b: a * a / b, {"a": Input(p, s, dof=n), "b": Input(q, t)}) for p, q, s, t, n in rows]
    return tuple(np.array([getattr(f, name) for f in found]) for name in ("value", "u", "dof_effective"))


def of_through(a, b, u_a, u_b, dof):
    one, other = Source("one"), Source("other")
    found = uncertainty.through(lambda a, b: a * a / b, a=Estimate(a, {one: u_a}), b=Estimate(b, {other: u_b}))
    return found.value, found.u


def of_combine(a, b, u_a, u_b, dof):
    """The weights are given, and the second source's scope matters nothing: as an `Estimate` its dof is that of the first."""
    found = []
    for p, q, s, t, n in zip(a, b, u_a, u_b, dof, strict=True):
        e = uncertainty.combine(p * p / q, [(2 * p / q, Estimate(p, {Source("one", dof=n): s})), (p * p / q / q, Estimate(q, {Source("other"): t}))])
        found.append((float(e.u), float(e.dof)))
    return tuple(np.array(found).T)


def risks(sd, u, far, guard):
    """Inspection of a normal process about 0 with limits ± far: the double integral as one, to a quadrature of 30 digits."""
    with mp.workdps(30):
        def mass(y):
            return mp.exp(-y * y / (2 * sd * sd)) / (sd * sqrt(2 * mp.pi))

        def accepted(y):
            return within(y, u, -far + guard, far - guard)

        points = [far, far + u, far + 3 * u, far + 8 * u, far + 30 * u]
        consumer = 2 * mp.quad(lambda y: mass(y) * accepted(y), points)
        inner = [0, (far - guard) / 2, far - guard, far]
        return consumer, 2 * mp.quad(lambda y: mass(y) * (1 - accepted(y)), inner)


def of_risks(sd, u, far, guard):
    return uncertainty.global_risks(0.0, sd, u, -far, far, acceptance_lower=-far + guard, acceptance_upper=far - guard)[:2]


P = {"value": A.even(18, 23, 20.0, 20.0, 20.0, 20.1, 30.0, 20.5, 20.5, 20.5), "u": A.log(0.05, 10, 0.3, 1e9, 0.01, 0.05, 0.26, 1e300, 0.02, 0.0118)}
LIMITS = {"lower": 20.1 + 0 * P["value"], "upper": 20.9 + 0 * P["value"]}
ONE_SIDED = {"lower": 20.1 + 0 * P["value"], "upper": np.where(np.arange(100) % 2, np.inf, 20.9)}
MODEL = {"a": A.even(1, 3), "b": A.even(1, 3), "u_a": A.log(1e-6, 0.1), "u_b": A.log(1e-6, 0.1), "dof": A.log(0.1, 50)}
FEW = Rows(6)
NEAR_1 = (1.0 - 1e-9, 1.0 - 1e-13, 1.0 - 1e-15)

CASES = [
    Case(uncertainty.conformance_probability, {**P, **ONE_SIDED}, within),
    Case(uncertainty.nonconformance_probability, {**P, **LIMITS}, not_within),
    Case(uncertainty.specific_risk, {**P, **LIMITS}, lambda value, u, lower, upper: not_within(value, u, lower, upper),
         of=lambda **a: uncertainty.specific_risk(**a, acceptance_lower=-np.inf, acceptance_upper=np.inf).consumers_risk),
    Case(uncertainty.coverage_factor, {"probability": A.even(0.001, 0.999, 0.95, 0.999999999, 0.9999999999999999, 1e-9, 1e-12, 0.95, 0.95),
                                       "dof": A.log(0.5, 1e4, np.inf, np.inf, np.inf, np.inf, 4.0, 1.0, 0.1)}, factor),
    Case(uncertainty.acceptance_limits, {"lower": A.even(-30, 30), "width": A.even(0.5, 2), "U": A.even(0, 0.2, 0.0)},
         lambda lower, width, U: (lower + U, mpf(float(lower) + float(width)) - U),
         of=lambda lower, width, U: uncertainty.acceptance_limits(lower, lower + width, U)[:2], scale=lambda lower, width, U: abs(lower) + width),
    Case(uncertainty.acceptance_limits_at,
         {"lower": FEW.even(0, 0), "width": FEW.even(0.5, 2), "u": FEW.even(0.01, 0.1, 0.03, 0.03, 0.02), "p": FEW.even(0.9, 0.99, *NEAR_1)},
         limits_at, of=lambda lower, width, u, p: uncertainty.acceptance_limits_at(lower, lower + width, u, probability=p).acceptance_lower,
         scale=lambda lower, width, u, p: width),
    Case(uncertainty.measurement_capability, {"lower": A.even(-30, 30), "width": A.even(1e-9, 2), "u": A.log(1e-9, 1)},
         lambda lower, width, u: (mpf(float(lower) + float(width)) - lower) / (4 * u),
         of=lambda lower, width, u: uncertainty.measurement_capability(lower, lower + width, u)),
    Case(uncertainty.process_capability, {"lower": A.even(-1, 0), "upper": A.even(1, 2), "mean": A.even(0, 1), "sd": A.log(1e-9, 1)},
         lambda lower, upper, mean, sd: ((upper - lower) / (6 * sd), min(upper - mean, mean - lower) / (3 * sd)),
         of=lambda **a: tuple(uncertainty.process_capability(**a))),
    Case(uncertainty.uncertainty_ratio, {"tolerance": A.even(0, 2, 0.0), "U": A.log(1e-300, 1)}, lambda tolerance, U: tolerance / U),
    Case(uncertainty.standard_u, {"half_width": A.log(1e-300, 1e3)}, lambda half_width: half_width / sqrt(mpf(3)),
         of=lambda half_width: np.array([uncertainty.standard_u(x, "rectangular") for x in half_width])),
    Case(uncertainty.fit_line, {"x0": A.even(1, 5), "x1": A.even(1, 5), "y0": A.even(1, 2), "y1": A.even(1, 2), "y2": A.even(1, 2)}, line, of=of_line,
         scale=lambda x0, x1, y0, y1, y2: (2 / x0, mpf(1))),
    Case(uncertainty.propagate, MODEL, power, of=of_propagate),
    Case(uncertainty.through, MODEL, lambda **x: power(**x)[:2], of=of_through),
    Case(uncertainty.combine, MODEL, lambda **x: power(**x)[1:], of=of_combine),
    Case(uncertainty.agreement, MODEL, lambda a, b, u_a, u_b, dof: ((a - b) / sqrt(u_a**2 + u_b**2), (a - b) / sqrt(u_a**2 + u_b**2) / 2),
         of=lambda a, b, u_a, u_b, dof: uncertainty.agreement(Estimate(a, {Source("one"): u_a}), Estimate(b, {Source("other"): u_b}))[2:4]),
    Case(uncertainty.global_risks, {"sd": FEW.even(0.1, 0.3), "u": FEW.even(0.02, 0.1), "far": FEW.even(0.3, 0.5), "guard": FEW.even(0, 0.05)}, risks,
         of=of_risks),
]  # fmt: skip
OF_T = {"value": P["value"], "u": A.log(0.05, 1e6), "dof": A.log(0.5, 1e3, 1.0, 2.0, 1e6)}


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


def test_students_t_keeps_its_digits_from_the_middle_into_the_tails():
    from measured import worst

    measured = worst(Case(uncertainty.conformance_probability, {**OF_T, **LIMITS}, within))
    print(f"\nconformance_probability with finite dof: measured {measured:.1e}")
    assert measured < 3e-13


@pytest.mark.parametrize("dof", [0.5, 1.0, 4.0, 30.0, np.inf])
def test_between_limits_that_lie_close_together_the_digits_stay(dof):
    """2e-7 of u wide and up to 20 u away: 1e-9 off before, 7e-5 where it is 5e-13 wide."""
    low, width = np.array([-20.0, -3.0, -1.5, -1e-3, -1e-7, 0.2, 1.0, 5.0, 20.0])[:, None], np.array([2.0**-40, 1e-9, 2e-7, 1e-3, 0.02, 0.2])
    high = low + width  # as doubles
    with mp.workdps(60):
        exact = [[float(within(mpf(0), mpf(1), mpf(float(a)), mpf(float(b)), inf if dof == np.inf else mpf(dof))) for b in row]
                 for a, row in zip(low[:, 0], high, strict=True)]  # fmt: skip
    np.testing.assert_allclose(uncertainty.conformance_probability(0.0, 1.0, low, high, dof), exact, rtol=4e-13)


@pytest.mark.parametrize("dof", [1.0, 3.0, 7.0, 30.0, 1e3, 1e6])
def test_far_in_the_tail_the_digits_stay_from_narrow_limits_to_wide_ones(dof):
    """Student's density over 0.001 to 1 u, by mpmath's quadrature in 40 digits: 4e-11 off before with ν = 3, where it falls as 1/z⁴ alone."""
    low, width = np.array([-60.0, -30.0, -12.0, 4.0])[:, None], np.array([1e-3, 4e-3, 0.01, 0.02, 0.05, 0.2, 1.0])
    high = low + width
    with mp.workdps(40):
        v = mpf(dof)
        middle = gamma((v + 1) / 2) / gamma(v / 2) / sqrt(v * mp.pi)

        def between(a, b):
            """In parts of the density in the middle of the panels, or the quadrature would take so small a part for nothing."""
            top = log1p((a + b) ** 2 / 4 / v)
            parts = mp.quad(lambda t: exp((v + 1) / 2 * (top - log1p(t * t / v))), mp.linspace(a, b, 11), method="gauss-legendre")
            return middle * exp(-(v + 1) / 2 * top) * parts

        exact = np.array([[float(between(mpf(float(a)), mpf(float(b)))) for b in row] for a, row in zip(low[:, 0], high, strict=True)])
    found, held = uncertainty.conformance_probability(0.0, 1.0, low, high, dof), exact > 1e-250
    np.testing.assert_allclose(found[held], exact[held], rtol=4e-13)


@pytest.mark.parametrize("z", [1.0, 8.0, 20.0, 37.0])
def test_the_tail_keeps_its_digits_to_the_end_of_the_numbers(z):
    """At 37 standard uncertainties 5.7e-300 is left, but for what the last bit of z, 2^−53 of it, makes of exp(−z²/2): z²·2^−53."""
    assert uncertainty.conformance_probability(0.0, 1.0, z, np.inf) == pytest.approx(float(tail(mpf(z))), rel=1e-15 + z * z * 2.0**-53, abs=0.0)
    assert uncertainty.conformance_probability(0.0, 1.0, -np.inf, -z) == pytest.approx(float(tail(mpf(z))), rel=1e-15 + z * z * 2.0**-53, abs=0.0)


@pytest.mark.parametrize(("lower", "upper", "expected"), [(-np.inf, np.inf, 1.0), (-np.inf, 1.0, 0.5), (0.0, np.inf, 0.5), (0.0, 1.0, 0.0)])
@pytest.mark.parametrize("dof", [np.inf, 4.0])
def test_where_nothing_is_known_only_a_limit_at_infinity_holds(lower, upper, expected, dof):
    """u → ∞: Φ of both finite limits goes to a half."""
    assert uncertainty.conformance_probability(0.3, np.inf, lower, upper, dof) == expected
    assert uncertainty.conformance_probability(0.3, 1e300, lower, upper, dof) == pytest.approx(expected, abs=1e-15)


@pytest.mark.parametrize("u", [1e-300, 5e-324, 1e-10])
def test_u_to_nothing_is_the_certain_answer(u):
    assert uncertainty.conformance_probability(20.5, u, 20.1, 20.9) == 1.0 == uncertainty.conformance_probability(20.5, 0.0, 20.1, 20.9)
    assert uncertainty.conformance_probability(20.0, u, 20.1, 20.9) == 0.0 == uncertainty.conformance_probability(20.0, 0.0, 20.1, 20.9)


@pytest.mark.parametrize("dof", [1e-3, 0.1, 1.0, 1e12])
def test_welch_and_satterthwaite_with_one_source_give_its_own_degrees_of_freedom(dof):
    assert float(Estimate(1.0, {Source("a", dof=dof): 3e-5}).dof) == pytest.approx(dof, rel=1e-15, abs=0.0)
    small = Estimate(1.0, {Source("a", dof=dof): 3e-70, Source("b"): 3e-70})
    assert float(small.dof) == pytest.approx(4.0 * dof, rel=1e-15, abs=0.0)


NUMBER = st.floats(-50, 50)
U = st.one_of(st.just(0.0), st.floats(1e-12, 1e6))
DOF = st.one_of(st.just(np.inf), st.floats(0.5, 1e6))


@given(value=NUMBER, u=U, lower=NUMBER, width=st.floats(1e-9, 50), dof=DOF)
def test_below_inside_and_above_are_one(value, u, lower, width, dof):
    upper = lower + width
    outside = uncertainty.nonconformance_probability(value, u, lower, upper, dof)
    if u > 0 or value not in (lower, upper):  # an exact value on a limit is inside, and on both sides' edges
        assert uncertainty.conformance_probability(value, u, lower, upper, dof) + outside == pytest.approx(1.0, abs=1e-12)


@given(value=NUMBER, u=U, lower=NUMBER, width=st.floats(0, 50), wider=st.floats(0, 10), dof=DOF)
def test_a_wider_tolerance_never_lowers_the_probability(value, u, lower, width, wider, dof):
    upper = lower + width
    narrow = uncertainty.conformance_probability(value, u, lower, upper, dof)
    wide = uncertainty.conformance_probability(value, u, lower - wider, upper + wider, dof)
    assert wide >= narrow * (1.0 - 1e-11)


@given(value=st.floats(10, 30), u=st.floats(1e-6, 1), half=st.floats(0.01, 2), scale=st.sampled_from([1e-3, 100.0, 2.0**-20, 2.0**20]))
def test_a_probability_does_not_depend_on_the_unit(value, u, half, scale):
    """D or 1/mm, %, or any other: value, u and limits in the same unit."""
    lower, upper = value - half / 3, value + half
    scaled = uncertainty.conformance_probability(value * scale, u * scale, lower * scale, upper * scale)
    assert scaled == pytest.approx(uncertainty.conformance_probability(value, u, lower, upper), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("missing", range(5))
def test_what_is_not_known_gives_no_probability(missing):
    """nan in any argument: nan out, never the answer of some other law."""
    given = [20.5, 0.2, 20.1, 20.9, 5.0]
    given[missing] = np.nan
    assert np.isnan(uncertainty.conformance_probability(*given))


def test_degrees_of_freedom_that_are_not_known_are_not_infinite_ones_between_limits_that_lie_close_together():
    assert np.isnan(uncertainty.conformance_probability(20.5, 0.2, 20.49, 20.491, np.nan))
