"""One limit alone: the largest u is the distance over the quantile of any table."""

from math import inf

import pytest
from scipy.special import ndtri, stdtrit

from lenscalc.decision.adequacy import largest_u


@pytest.mark.parametrize("probability", [0.6, 0.95, 0.999])
@pytest.mark.parametrize("dof", [inf, 4.0])
def test_the_largest_u_below_one_limit_is_the_distance_over_the_quantile(probability, dof):
    """P(value + u·t < limit) = p where u = (limit − value)/t_p: 0.4/1.645 for 95 % (JCGM 106:2012, 7.3.1, from memory; solved for u)."""
    quantile = ndtri(probability) if dof == inf else stdtrit(dof, probability)
    assert largest_u(20.0, -inf, 20.4, probability, dof) == pytest.approx(0.4 / quantile, rel=1e-12)
    assert largest_u(20.0, 19.6, inf, probability, dof) == pytest.approx(0.4 / quantile, rel=1e-12)
