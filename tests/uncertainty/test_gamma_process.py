"""Risks of inspecting a process that cannot be below 0, most of which may lie there: against the gamma law in many digits."""

import numpy as np
import pytest
from mpmath import erfc, exp, gammainc, linspace, log, loggamma, mp, mpf, quad, sqrt

from lenscalc.uncertainty import global_risks


def conforming(mean, sd, lower, upper):
    """Γ's regularised integral, for large shapes as the integral that it is; no measurement in it."""
    shape, scale = (mpf(mean) / sd) ** 2, mpf(sd) ** 2 / mpf(mean)
    if shape > 1000:
        return quad(lambda y: exp((shape - 1) * log(y / scale) - y / scale - loggamma(shape)) / scale, linspace(mpf(lower), mpf(upper), 9))
    return gammainc(shape, mpf(lower) / scale, mpf(upper) / scale, regularized=True)


def risks(mean, sd, u, lower, upper, w):
    """Both risks by a quadrature in the logarithm of y; what is below 10⁻⁴⁵ is as at 0."""
    mean, sd, u, lower, upper, w = (mpf(x) for x in (mean, sd, u, lower, upper, w))
    shape, scale = (mean / sd) ** 2, sd**2 / mean

    def accepted(y):
        return (erfc((lower + w - y) / (u * sqrt(2))) - erfc((upper - w - y) / (u * sqrt(2)))) / 2

    def over(of, a, b):
        near = mpf(10) ** -45
        below = gammainc(shape, 0, near / scale, regularized=True) * of(mpf(0)) if a == 0 else 0
        knots = [upper - w + k * u for k in (-8, -4, -2, -1, 0, 1, 2, 4, 8)] + [lower + w + k * u for k in (-8, -4, -2, -1, 0, 1, 2, 4, 8)]
        knots += [mpf(10) ** k for k in range(-44, 9, 2)]
        inner = sorted(k for k in set(knots) if max(a, near) < k < b)
        mass = lambda t: exp(shape * (t - log(scale)) - exp(t) / scale - loggamma(shape)) * of(exp(t))  # noqa: E731
        return below + quad(mass, [log(x) for x in (max(a, near), *inner, b)])

    consumer = over(accepted, upper, upper + 12 * u) + (over(accepted, mpf(0), lower) if lower > 0 else 0)
    return consumer, over(lambda y: 1 - accepted(y), lower, upper)


@pytest.mark.parametrize(("mean", "sd"), [(1.0, 0.3), (1.0, 1.0), (1.0, 5.0), (1.5, 17.0), (0.2, 50.0), (1.0, 1e-4), (20.0, 0.01)])
@pytest.mark.parametrize(("lower", "upper"), [(-1.0, 2.0), (-2.0, 1.2), (0.5, 3.0)])
def test_what_conforms_is_the_gamma_law(mean, sd, lower, upper):
    """Limits in standard deviations from the mean, but not below 0; 5e-5 off before where the mean is far below the standard deviation."""
    low, high = max(0.0, mean + lower * sd), mean + upper * sd
    r = global_risks(mean, sd, 0.1 * sd, low, high, acceptance_lower=low, acceptance_upper=high, process="gamma")
    with mp.workdps(30):
        assert r.conforming == pytest.approx(float(conforming(mean, sd, low, high)), rel=2e-12 if sd < 1e-3 * mean else 3e-15, abs=0.0)


@pytest.mark.parametrize(
    ("mean", "sd", "u", "lower", "upper", "w"),
    [(1.0, 5.0, 0.2, 0.0, 2.0, 0.1), (1.5, 17.0, 5.9, 0.005, 1.6, 0.58), (0.2, 47.0, 0.18, 0.85, 1.24, 0.17), (1.0, 0.5, 0.25, 0.0, 2.0, 0.0),
     (1.0, 1e4, 5e4, 0.5, 2e6, 1e5), (1.0, 1e6, 1e5, 0.5, 1e7, 0.1)],
)  # fmt: skip
def test_global_risks_of_a_process_near_0(mean, sd, u, lower, upper, w):
    """88 % off before in the second, whose consumer's risk is nearly all of what lies between 0 and the lower limit; 7 % in the last, whose tail is
    10¹² means long."""
    r = global_risks(mean, sd, u, lower, upper, acceptance_lower=lower + w, acceptance_upper=upper - w, process="gamma")
    with mp.workdps(22):
        assert r[:2] == pytest.approx([float(x) for x in risks(mean, sd, u, lower, upper, w)], rel=3e-14, abs=0.0)


def test_a_process_far_within_its_limits_keeps_a_tiny_risk():
    """Both are normal, so measured less item is too: with ρ their correlation, P(item > h, measured < h − 20u) in 25 digits (by quadrature)."""
    sd, u, limit = mpf(1.68), mpf(0.0081), mpf(0.4)
    with mp.workdps(25):
        inner = lambda y: exp(-y * y / (2 * sd * sd)) / (sd * sqrt(2 * mp.pi)) * erfc((y - limit + 20 * u) / (u * sqrt(2))) / 2  # noqa: E731
        exact = 2 * quad(inner, [limit + k * u / 20 for k in (0, 1, 2, 4, 8, 16, 32, 64, 128)])
    acceptance = 0.4 - 20 * 0.0081
    r = global_risks(0.0, 1.68, 0.0081, -0.4, 0.4, acceptance_lower=-acceptance, acceptance_upper=acceptance)
    assert r.consumers_risk == pytest.approx(float(exact), rel=1e-10, abs=0.0)
    assert float(exact) < 1e-85


def test_many_rows_have_the_bits_of_one():
    sd = np.array([0.3, 1.0, 20.0])
    rows = global_risks(1.0, sd, 0.1, 0.0, 2.0, acceptance_lower=0.1, acceptance_upper=1.9, process="gamma")
    for i, s in enumerate(sd):
        alone = global_risks(1.0, s, 0.1, 0.0, 2.0, acceptance_lower=0.1, acceptance_upper=1.9, process="gamma")
        assert [x[i] for x in rows] == list(alone)
