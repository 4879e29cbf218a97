"""The yield that very few lots fall short of, against mpmath; and the lot that none is worse than."""

import mpmath as mp
import numpy as np
import pytest
from scipy.stats import norm

from lenscalc.decision import yield_quantile


@pytest.mark.parametrize("probability", [1e-6, 1e-12, 3e-16, 1e-17])
def test_a_lot_as_bad_as_one_in_a_very_great_many(probability):
    """In the middle of ±0.4 D the mean of the lot lies beyond z·0.05 D with 2Φ(−z) = p, and the yield there is Φ((T − d)/u) − Φ(−(T + d)/u)."""
    with mp.workdps(40):
        z = mp.findroot(lambda z: mp.log(mp.erfc(z / mp.sqrt(2))) - mp.log(mp.mpf(probability)), (5, 8.6))
        d, T, u = z * mp.mpf("0.05"), mp.mpf("0.4"), mp.mpf("0.05")
        expected = float(mp.ncdf((T - d) / u) - mp.ncdf(-(T + d) / u))
    assert yield_quantile(20.0, 0.05, 0.05, 19.6, 20.4, probability=probability) == pytest.approx(expected, rel=1e-12, abs=0.0)


def test_no_yield_is_so_low_that_no_lot_falls_short_of_it():
    """A normal error has no end, so of the yields that are missed never, the highest is 0; without a common error all lots have one yield."""
    assert yield_quantile(20.0, 0.001, 0.05, 19.6, 20.4, probability=0.0) == 0.0
    assert yield_quantile(20.4, 0.0, 0.05, 19.6, 20.4, probability=np.array([0.0, 0.5, 1.0])) == pytest.approx([0.5] * 3, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("dof", "probability"), [(1.0, 1e-9), (1.0, 0.0), (2.0, 1e-16)])
def test_a_lot_as_bad_as_a_law_of_few_degrees_of_freedom_has_it(dof, probability):
    """ν = 1: |t| is beyond 2/(πp) = 6e8, ν = 2: beyond √(2/p) = 1e8 with probability p: 6 D or 1 D from the middle of ±0.4, where no lens is good.
    The yield was 1: nothing beyond a million u was looked at."""
    assert yield_quantile(20.5, 1e-8, 1e-9, 20.1, 20.9, dof_common=dof, probability=probability) == 0.0


def test_the_yield_that_one_lot_in_ten_falls_short_of_by_a_tangent():
    """ν = 1: |t| is beyond tan(0.45·π) = 6.3138 (t table) with 10 %; then 0.4 − 6.3138·0.05 D are left to the limit, for lenses with u = 0.05 D."""
    expected = norm.cdf(8.0 - np.tan(0.45 * np.pi))
    assert yield_quantile(20.5, 0.05, 0.05, 20.1, 20.9, dof_common=1.0, probability=0.1) == pytest.approx(expected, rel=1e-11, abs=0.0)
