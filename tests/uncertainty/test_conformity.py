"""Probabilities and coverage factors against the guides and mpmath."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import norm, t

from lenscalc.errors import InputError
from lenscalc.uncertainty import acceptance_limits, conformance_probability, coverage_factor, measurement_capability, nonconformance_probability

inf = np.inf


@pytest.mark.parametrize(
    ("case", "expected", "digits"),
    [
        ((-5.47, 0.05, -inf, -5.40), 0.9192, 4),  # JCGM 106:2012, example of a Zener diode (quoted)
        ((0.0, 0.15, -0.3, 0.3), 0.954, 3),  # two standard deviations either side: any table of the normal distribution
        ((0.0, 0.15, -0.3, 0.3, 4), 0.884, 3),  # t = 2 with 4 degrees of freedom: any table of Student's t
    ],
)
def test_printed_values(case, expected, digits):
    assert conformance_probability(*case) == pytest.approx(expected, abs=0.51 * 10.0**-digits)


def exact(value, u, lower, upper, dof=inf):
    with mp.workdps(60):
        value, u = mp.mpf(value), mp.mpf(u)

        def tail(z):  # P(Z > z)
            if np.isinf(dof):
                return mp.erfc(z / mp.sqrt(2)) / 2
            half = mp.betainc(mp.mpf(dof) / 2, mp.mpf(1) / 2, 0, dof / (dof + z * z), regularized=True) / 2
            return half if z > 0 else 1 - half

        a, b = (mp.mpf(lower) - value) / u, (mp.mpf(upper) - value) / u
        if b < 0:  # both distributions are even: 60 digits are too few for 1 − 1e-100
            a, b = -b, -a
        return float(tail(a) - tail(b))


@given(st.floats(-30.0, 30.0), st.floats(0.5, 5.0), st.sampled_from([inf, 1.0, 3.0, 16.5]))
def test_far_tails_keep_their_digits(z, width, dof):
    """Zones `width` standard uncertainties wide, up to 30 of them away, on either side."""
    assume(dof != 1.0 or min(abs(z), abs(z + width)) > 1e-6)  # there scipy's t with one degree of freedom is off by up to 2e-9
    wanted = exact(0.0, 0.05, 0.05 * z, 0.05 * (z + width), dof)
    assume(wanted > 1e-300)
    assert conformance_probability(0.0, 0.05, 0.05 * z, 0.05 * (z + width), dof) == pytest.approx(wanted, rel=1e-9, abs=0)


@pytest.mark.parametrize("z", [5.0, 10.0, 20.0, 37.0])
def test_one_sided_tails(z):
    with mp.workdps(60):
        wanted = float(mp.erfc(mp.mpf(z) / mp.sqrt(2)) / 2)
    assert conformance_probability(0.0, 1.0, z, inf) == pytest.approx(wanted, rel=1e-9, abs=0)
    assert conformance_probability(0.0, 1.0, -inf, -z) == pytest.approx(wanted, rel=1e-9, abs=0)


def test_no_limits_hold_everything():
    assert conformance_probability(3.0, 1.0, -inf, inf) == 1.0
    assert conformance_probability(3.0, 0.0, -inf, inf) == 1.0


@pytest.mark.parametrize(("value", "expected"), [(0.0, 1.0), (0.3, 1.0), (-0.3, 1.0), (0.30001, 0.0), (-1.0, 0.0)])
def test_an_exact_value_is_inside_or_not(value, expected):
    assert conformance_probability(value, 0.0, -0.3, 0.3) == expected


def test_what_is_missing_stays_missing():
    assert np.isnan(conformance_probability(np.nan, 0.1, -1, 1))
    assert np.isnan(conformance_probability(0.0, np.nan, -1, 1))


@given(st.floats(-0.299, 0.299), st.floats(0.001, 1.0), st.floats(1.0001, 3.0), st.sampled_from([inf, 4.0]))
def test_inside_it_falls_as_u_grows(value, u, factor, dof):
    near = conformance_probability(value, u, -0.3, 0.3, dof)
    assert 0.0 <= conformance_probability(value, factor * u, -0.3, 0.3, dof) <= near <= 1.0


@given(st.floats(-2.0, 2.0), st.floats(0.01, 1.0), st.sampled_from([inf, 2.0]))
def test_inside_below_and_above_are_everything(value, u, dof):
    zones = [(-inf, -0.4), (-0.4, 0.4), (0.4, inf)]
    assert sum(conformance_probability(value, u, a, b, dof) for a, b in zones) == pytest.approx(1.0, abs=1e-13)


def test_arrays_broadcast_and_equal_their_rows():
    values = np.array([[0.0], [0.2]])
    u = np.array([0.0, 0.1, 0.2])
    whole = conformance_probability(values, u, -0.3, 0.3)
    assert whole.tolist() == [[float(conformance_probability(v, x, -0.3, 0.3)) for x in u] for v in (0.0, 0.2)]


@pytest.mark.parametrize(
    ("case", "quantity"),
    [((0, -0.1, -1, 1), "u"), ((0, 0.1, -1, 1, 0), "dof"), ((0, 0.1, -1, 1, -3), "dof"), ((0, 0.1, 1, -1), "lower")],
)
def test_impossible_arguments_are_refused(case, quantity):
    with pytest.raises(InputError) as caught:
        conformance_probability(*case)
    assert caught.value.quantity == quantity


@pytest.mark.parametrize(
    ("p", "dof", "quantity"),
    [(95.0, 4.0, "probability"), (1.5, 4.0, "probability"), (-0.1, 4.0, "probability"), (0.95, 0.0, "dof"), (0.95, -2.0, "dof")],
)
def test_no_coverage_factor_of_what_is_none(p, dof, quantity):
    with pytest.raises(InputError) as caught:
        coverage_factor(p, dof)
    assert caught.value.quantity == quantity
    assert "per cent" in str(caught.value) or quantity == "dof"


def test_coverage_factors_at_both_ends():
    """Nothing is covered by 0, everything by no finite interval; one degree of freedom is Cauchy's law, k = tan(πp/2), two are k² = 2p²/(1 − p²)."""
    assert [float(coverage_factor(p, dof)) for p in (0.0, 1.0) for dof in (3.0, inf)] == [0.0, 0.0, inf, inf]
    p = np.array([1e-9, 0.1, 0.5, 0.95, 0.999999])
    # the tangent loses digits near its pole, not the factor
    assert coverage_factor(p, 1.0) == pytest.approx(np.tan(np.pi * p / 2), rel=2e-10, abs=0.0)
    assert coverage_factor(p, 2.0) == pytest.approx(np.sqrt(2 * p**2 / ((1 - p) * (1 + p))), rel=1e-14, abs=0.0)
    assert coverage_factor(0.9, 1e15) == pytest.approx(coverage_factor(0.9), rel=1e-12, abs=0.0)


# JCGM 100:2008, table G.2 (t distribution; from memory, to be confirmed against the text; 16 at 99 % quoted in H.1)
@pytest.mark.parametrize(
    ("p", "dof", "k"),
    [
        (0.95, 1, 12.71), (0.95, 2, 4.30), (0.95, 5, 2.57), (0.95, 10, 2.23), (0.95, 20, 2.09), (0.95, 50, 2.01), (0.95, inf, 1.960),
        (0.99, 1, 63.66), (0.99, 4, 4.60), (0.99, 10, 3.17), (0.99, 16, 2.92), (0.99, inf, 2.576), (0.6827, 1, 1.84), (0.9545, inf, 2.000),
    ],
)  # fmt: skip
def test_coverage_factors(p, dof, k):
    digits = 3 if dof == inf else 2
    assert coverage_factor(p, dof) == pytest.approx(k, abs=0.51 * 10.0**-digits)


@given(st.floats(0.5, 0.999), st.sampled_from([inf, 1.0, 4.5, 30.0]))
def test_a_coverage_interval_holds_its_probability(p, dof):
    k = coverage_factor(p, dof)
    assert conformance_probability(0.0, 1.0, -k, k, dof) == pytest.approx(p, rel=1e-10, abs=0.0)


@pytest.mark.parametrize("value", [20.5, 19.0])
def test_few_degrees_of_freedom_beside_many(value):
    """Inside the limits, where the answer is taken from the middle, and outside, where it is a tail: each row its own law."""
    found = conformance_probability(value, 0.3, 20.1, 20.9, np.array([np.inf, 4.0, np.inf]))
    a, b = (20.1 - value) / 0.3, (20.9 - value) / 0.3
    many, few = norm.cdf(b) - norm.cdf(a), t.cdf(b, 4.0) - t.cdf(a, 4.0)
    assert found.tolist() == pytest.approx([many, few, many], rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("value", "outside"), [(20.1, 0.0), (20.5, 0.0), (20.9, 0.0), (20.0, 1.0), (21.0, 1.0)])
def test_an_exact_value_on_a_limit_is_within(value, outside):
    """A tolerance interval has its limits among its values (JCGM 106:2012, 3.3.5, from memory); beside it a value that is not exact."""
    found = nonconformance_probability(np.array([value, 20.5]), np.array([0.0, 0.2]), 20.1, 20.9)
    assert found.tolist() == [outside, pytest.approx(2.0 * norm.cdf(-2.0), rel=1e-12, abs=0.0)]
    assert nonconformance_probability(value, 0.0, 20.1, 20.9) == outside


def test_the_first_that_cannot_be_is_told():
    with pytest.raises(InputError, match=r"u = -0\.1: a standard uncertainty"):
        conformance_probability(0.0, [0.2, 0.0, -0.1, -0.3], -1.0, 1.0)
    for call in (lambda dof: conformance_probability(0.0, 0.1, -1.0, 1.0, dof), lambda dof: coverage_factor(0.95, dof)):
        with pytest.raises(InputError, match=r"dof = -2: degrees of freedom"):
            call([3.0, 0.5, -2.0, 0.0])
    for call, told in (
        (lambda U: acceptance_limits(0.0, 1.0, U), r"U = -0\.1: an expanded uncertainty must be 0 or more"),
        (lambda u: measurement_capability(0.0, 1.0, u), r"u = -0\.1: must be 0 or more"),
    ):
        with pytest.raises(InputError, match=told):
            call([0.2, 0.0, -0.1, -0.3])


def test_what_is_not_known_holds_not_even_limits_that_are_none():
    assert np.isnan(conformance_probability(0.0, np.nan, -inf, inf))


@pytest.mark.parametrize(("low", "high"), [(-0.9, -1e-8), (-1e-8, 0.9), (-0.9, -0.1), (0.2, 0.95)])
def test_cauchys_law_from_its_middle(low, high):
    """One degree of freedom: arctan/π; scipy 1.17's own function is off by 1.6e-9 beside 0."""
    assert conformance_probability(0.0, 1.0, low, high, 1.0) == pytest.approx((np.arctan(high) - np.arctan(low)) / np.pi, rel=1e-15, abs=0.0)


@pytest.mark.parametrize("width", [0.01, 0.02, 0.04, 0.2, 0.49, 1.0])
def test_over_a_part_of_a_far_tail_the_digits_stay(width):
    """20 u away the density falls by e within 0.05 u: what the last bit of z = 20 moves is 400 times 2⁻⁵³."""
    wanted = exact(0.0, 1.0, 20.0, 20.0 + width)
    assert conformance_probability(0.0, 1.0, 20.0, 20.0 + width) == pytest.approx(wanted, rel=4e-13, abs=0.0)


@pytest.mark.parametrize("z", [10.0, 1e3, 1e5, 1e8])
def test_cauchys_law_far_out(z):
    """One degree of freedom: arctan(z + 1) − arctan z = arctan(1/(1 + z(z + 1))), of which a difference of two tails leaves nothing."""
    wanted = np.arctan(1.0 / (1.0 + z * (z + 1.0))) / np.pi
    assert conformance_probability(0.0, 1.0, z, z + 1.0, 1.0) == pytest.approx(wanted, rel=4e-13, abs=0.0)
    assert conformance_probability(0.0, 1.0, -z - 1.0, -z, 1.0) == pytest.approx(wanted, rel=4e-13, abs=0.0)


@pytest.mark.parametrize("dof", [3.0, 30.0, 1000.0, inf])
def test_beyond_a_coverage_interval_lies_what_it_leaves(dof):
    """Of a probability of 1 − 2⁻⁴³ the digits are in the rest."""
    k = coverage_factor(1.0 - 2.0**-43, dof)
    assert nonconformance_probability(0.0, 1.0, -k, k, dof) == pytest.approx(2.0**-43, rel=1e-12, abs=0.0)
