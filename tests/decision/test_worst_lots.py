"""The yield that very few lots fall short of, against mpmath; and the lot that none is worse than."""

import mpmath as mp
import numpy as np
import pytest

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
