"""How well something must be known where certainty is nearly asked for, and where a probability is tiny: by hand and in many digits."""

import numpy as np
import pytest
from mpmath import gamma, mp, mpf, pi, sqrt

from lenscalc import InputError, conformance_probability
from lenscalc.decision import largest_u
from lenscalc.uncertainty.conformity import t_density


@pytest.mark.parametrize("missing", [1e-6, 1e-9, 1e-12, 1e-15, 2.0**-53])
def test_a_limit_on_one_side_is_a_quantile(missing):
    """1 − p = erfc(d/(u√2))/2, so u = d/(√2·erfc⁻¹(2(1 − p))), with 1 − p as the number that p is; 3e-4 off before where 1 − p is 1e-15."""
    p = 1.0 - missing
    with mp.workdps(40):
        exact = mpf(0.5) / (sqrt(mpf(2)) * mpf(_erfcinv(2 * (1 - mpf(p)))))
    assert largest_u(20.0, -np.inf, 20.5, p) == pytest.approx(float(exact), rel=2e-15, abs=0.0)


def _erfcinv(q):
    from mpmath import erfc, findroot, log

    start = sqrt(-log(q))
    return findroot(lambda z: log(erfc(z)) - log(q), (start * 0.9, start))


def test_cauchy_with_one_degree_of_freedom():
    """ν = 1: the tails of ±d are 1 − p = (2/π)·atan(u/d), so u = d·tan(π(1 − p)/2)."""
    p = 1.0 - 1e-12
    assert largest_u(20.0, 19.6, 20.4, p, 1.0) == pytest.approx(float((mpf(20.0) - mpf(19.6)) * mp.tan(pi * (1 - mpf(p)) / 2)), rel=2e-15, abs=0.0)


def test_nothing_is_certain_but_what_has_no_limits():
    assert [float(largest_u(20.0, 19.6, 20.4, 1.0, dof)) for dof in (0.5, 3.0, 1e4, np.inf)] == [0.0] * 4
    assert largest_u(20.0, -np.inf, np.inf, 1.0) == np.inf
    assert np.isnan(largest_u(21.0, 19.6, 20.4, 1.0))


@pytest.mark.parametrize("p", [95.0, -0.1])
def test_a_required_probability_is_a_fraction(p):
    with pytest.raises(InputError, match=f"required_probability = {p:g}: must be 0 to 1; is it in per cent?"):
        largest_u(20.0, 19.6, 20.4, p)


@pytest.mark.parametrize("dof", [0.5, 1.0, 4.0, 1e4, 1e6])
@pytest.mark.parametrize("u", [1e9, 1e160, 1e300])
def test_a_probability_that_is_tiny_keeps_its_digits_with_few_degrees_of_freedom(dof, u):
    """Within ±0.4 of so wide a law: 0.8/u times the density in the middle, Γ((ν + 1)/2)/(√(νπ)·Γ(ν/2)). It was 0 for u beyond 1e154."""
    with mp.workdps(40):
        nu = mpf(dof)
        exact = mpf(0.8) / mpf(u) * mp.exp(mp.loggamma((nu + 1) / 2) - mp.loggamma(nu / 2)) / sqrt(nu * pi)
    assert conformance_probability(0.0, u, -0.4, 0.4, dof) == pytest.approx(float(exact), rel=2e-15, abs=0.0)
    if exact > 1e-290:
        assert largest_u(0.0, -0.4, 0.4, float(exact), dof) == pytest.approx(u, rel=3e-15, abs=0.0)


@pytest.mark.parametrize("dof", [0.5, 100.0, 299.9, 300.1, 1e3, 1e5, 1e6, 1e9])
def test_students_density_in_the_middle(dof):
    """By Γ in 40 digits; 2e-10 off before at ν = 10⁶."""
    with mp.workdps(40):
        nu = mpf(dof)
        exact = mp.exp(mp.loggamma((nu + 1) / 2) - mp.loggamma(nu / 2)) / sqrt(nu * pi)
        assert float(exact) == pytest.approx(float(gamma((nu + 1) / 2) / gamma(nu / 2) / sqrt(nu * pi)), rel=1e-15, abs=0.0)
    assert t_density(0.0, dof) == pytest.approx(float(exact), rel=6e-16, abs=0.0)
