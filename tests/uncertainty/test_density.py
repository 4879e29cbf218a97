"""Student's density against scipy 1.17's, at odd and broken degrees of freedom; the normal one where they have no end."""

import numpy as np
import pytest
from scipy.stats import norm, t

from lenscalc.uncertainty.conformity import t_density


@pytest.mark.parametrize("dof", [1.0, 2.5, 3.0, 4.0, 7.3, 31.0, np.inf])
def test_students_density_is_that_of_a_library(dof):
    z = np.array([-40.0, -3.0, -0.5, 0.0, 1.0, 2.0, 6.0])
    assert t_density(z, np.full(z.shape, dof)) == pytest.approx(norm.pdf(z) if np.isinf(dof) else t.pdf(z, dof), rel=1e-12, abs=0.0)
