"""Student's density against scipy 1.17's, at odd and broken degrees of freedom; the normal one where they have no end."""

import mpmath as mp
import numpy as np
import pytest
from scipy.stats import norm, t

from lenscalc.uncertainty.conformity import t_density


@pytest.mark.parametrize("dof", [1.0, 2.5, 3.0, 4.0, 7.3, 31.0, np.inf])
def test_students_density_is_that_of_a_library(dof):
    z = np.array([-40.0, -3.0, -0.5, 0.0, 1.0, 2.0, 6.0])
    assert t_density(z, np.full(z.shape, dof)) == pytest.approx(norm.pdf(z) if np.isinf(dof) else t.pdf(z, dof), rel=1e-12, abs=0.0)


@pytest.mark.parametrize("dof", [299.5, 300.0, 300.5, 1000.0])
def test_in_the_middle_it_is_a_ratio_of_two_gamma_functions(dof):
    """Γ((ν + 1)/2)/(Γ(ν/2)·√(πν)) in 30 digits; from 300 on by Stirling's series, whose last term is 2e-14 there."""
    with mp.workdps(30):
        exact = mp.gammaprod([(mp.mpf(dof) + 1) / 2], [mp.mpf(dof) / 2]) / mp.sqrt(mp.pi * dof)
    assert t_density(np.zeros(1), np.array([dof])) == pytest.approx(float(exact), rel=5e-16 if dof > 300 else 1e-14, abs=0.0)
