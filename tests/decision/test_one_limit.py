"""One limit alone: the largest u is the distance over the quantile of any table."""

from math import acos, cos, inf, sqrt

import pytest
from scipy.special import ndtri

from lenscalc.decision.adequacy import largest_u


def quantile_of_four(p):
    """Student's t with four degrees of freedom in closed form (Shaw 2006, from memory): scipy 1.14's is good to 6e-12 alone."""
    a = sqrt(4.0 * p * (1.0 - p))
    return 2.0 * sqrt(cos(acos(a) / 3.0) / a - 1.0)


@pytest.mark.parametrize("probability", [0.6, 0.95, 0.999])
@pytest.mark.parametrize("dof", [inf, 4.0])
def test_the_largest_u_below_one_limit_is_the_distance_over_the_quantile(probability, dof):
    """P(value + u·t < limit) = p where u = (limit − value)/t_p: 0.4/1.645 for 95 % (JCGM 106:2012, 7.3.1, from memory; solved for u)."""
    quantile = ndtri(probability) if dof == inf else quantile_of_four(probability)
    assert largest_u(20.0, -inf, 20.4, probability, dof) == pytest.approx(0.4 / quantile, rel=1e-12, abs=0.0)
    assert largest_u(20.0, 19.6, inf, probability, dof) == pytest.approx(0.4 / quantile, rel=1e-12, abs=0.0)
