"""Risks of inspecting a process that cannot be below 0, most of which may lie there: against the gamma law in many digits."""

import numpy as np
import pytest
from mpmath import erfc, exp, gammainc, linspace, log, loggamma, mp, mpf, quad, sqrt

from lenscalc.uncertainty import global_risks
from lenscalc.uncertainty.gamma_process import _at_mean


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
        knots += [mpf(10) ** k for k in range(-44, 15, 2)]
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
     (1.0, 1e4, 5e4, 0.5, 2e6, 1e5), (1.0, 1e6, 1e5, 0.5, 1e7, 0.1), (1.0, 1e6, 1.2e6, 0.8, 1.8e13, 1.5e6)],
)  # fmt: skip
def test_global_risks_of_a_process_near_0(mean, sd, u, lower, upper, w):
    """88 % off before in the second, whose consumer's risk is nearly all of what lies between 0 and the lower limit; 7 % in the last but one, whose
    tail is 10¹² means long."""
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


@pytest.mark.parametrize("unit", [1e-3, 1.0, 1e3])
@pytest.mark.parametrize(
    ("sd", "lower"),
    [(1.0, 40.0), (5.0, 2.5), (5.0, 1000.0), (30.0, 15.0), (30.0, 36_000.0), (0.1, 3.0)],  # 40 scales out; or 20 of a narrow process's sd
)
def test_the_long_tail_of_a_process_keeps_its_digits_in_any_unit(unit, sd, lower):
    """Of mean 1 it is Γ(k, k·lower)/Γ(k) with the shape k = 1/sd²; down to 1e-41."""
    r = global_risks(unit, sd * unit, 1e-6 * unit, lower * unit, np.inf, acceptance_lower=lower * unit, acceptance_upper=np.inf, process="gamma")
    with mp.workdps(30):
        shape = 1 / mpf(sd) ** 2
        assert r.conforming == pytest.approx(float(gammainc(shape, shape * mpf(lower), mp.inf, regularized=True)), rel=2e-14, abs=0.0)


@pytest.mark.parametrize("mean", [0.0, 16.0])
@pytest.mark.parametrize(("sd", "u", "guard"), [(2.0**-6, 2.0**-3, 0.0), (2.0, 2.0**-7, 20 * 2.0**-7)])
def test_a_tiny_risk_does_not_depend_on_where_the_limits_lie(mean, sd, u, guard):
    """Limits 32 sd from the process, or acceptance 20 u within them: beyond a limit all falls off within 1/32 sd or 1/20 u. In 22 digits."""
    with mp.workdps(22):
        half, falls = mpf("0.5"), min(mpf(sd) ** 2 * 2, mpf(u) / 20)
        mass = lambda y: exp(-y * y / (2 * mpf(sd) ** 2)) / (sd * sqrt(2 * mp.pi)) * erfc((y - half + guard) / (u * sqrt(2)))  # noqa: E731
        exact = mass(half) * quad(lambda y: mass(y) / mass(half), [half + k * falls for k in (0, 4, 12, 28, 60)])  # either side's half; of size 1
    w = 0.5 - guard
    r = global_risks(mean, sd, u, mean - 0.5, mean + 0.5, acceptance_lower=mean - w, acceptance_upper=mean + w)
    assert r.consumers_risk == pytest.approx(float(exact), rel=2e-12, abs=0.0)


@pytest.mark.parametrize("shape", [29.5, 30.0, 30.5, 40.0, 1e4])
def test_the_density_at_the_mean_in_many_digits(shape):
    """k^k·e^−k/Γ(k) in mean units: by Stirling's series from a shape of 30 on, where Γ has lost a digit before."""
    with mp.workdps(30):
        exact = exp(mpf(shape) * log(shape) - shape - loggamma(shape))
    assert _at_mean(np.array(shape)) == pytest.approx(float(exact), rel=1e-15 if shape > 30 else 2e-14, abs=0.0)


def test_the_tail_of_a_narrow_process_is_not_cut_off_in_any_unit():
    """Mean 1024 and sd 8, a shape of 2¹⁴: 16 sd above the mean, where 1e-53 is left. The logarithm, 118, is known to 2¹⁴·2⁻⁵⁷: 1.1e-13."""
    r = global_risks(1024.0, 8.0, 1e-3, 1152.0, np.inf, acceptance_lower=1152.0, acceptance_upper=np.inf, process="gamma")
    with mp.workdps(30):
        shape, y = mpf(2**14), mpf("1.125")  # in means; ∫ (t/y)^(k−1)·e^(−k(t−y)) dt, of size 1/k, times the density at y
        part = quad(lambda t: exp((shape - 1) * log(t / y) - shape * (t - y)), [y + k / shape for k in (0, 8, 32, 128, 512)])
        exact = part * exp(shape * log(shape * y) - shape * y - loggamma(shape)) / y
        assert r.conforming == pytest.approx(float(exact), rel=4e-13, abs=0.0)
