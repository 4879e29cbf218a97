"""A chart's settings that nobody gives, and what lies on a limit."""

import numpy as np
import pytest

from lenscalc.control import control_chart, limits_from, series
from lenscalc.errors import InputError

STEADY = [10.0, 11.0, 9.0, 10.0] * 7


def test_a_point_on_its_limit_is_not_beyond_it():
    """About 0 with sigma 1 the limits are ±3 (NIST/SEMATECH e-Handbook, 6.3.2, from memory); a sum about 0 with k = 0.5 stands at 5 = h after 5.5."""
    assert control_chart(series([0.0, 3.0, 0.0, -3.0, 0.0]), centre=0.0, sigma=1.0, rules=["beyond-3-sigma"]).signals == ()
    assert len(control_chart(series([0.0, 3.0 + 1e-9, 0.0]), centre=0.0, sigma=1.0, rules=["beyond-3-sigma"]).signals) == 1
    assert control_chart(series([5.5, 0.0]), kind="cusum", centre=0.0, sigma=1.0).signals == ()
    assert len(control_chart(series([5.5 + 1e-9, 0.0]), kind="cusum", centre=0.0, sigma=1.0).signals) == 1


def test_settings_that_nobody_gives_are_the_handbook_s():
    """NIST/SEMATECH e-Handbook, from memory: a weight of 0.2 to 0.3 and three sigma (6.3.2.4); k half of a shift of one sigma, h 4 or 5 (6.3.2.3)."""
    ewma, cusum = (control_chart(series(STEADY), kind=kind) for kind in ("ewma", "cusum"))
    assert ewma.limits.settings == {"weight": 0.2, "width_sigma": 3.0}
    assert cusum.limits.settings == {"k_sigma": 0.5, "h_sigma": 5.0, "head_start_sigma": 0.0}
    assert list(ewma.how_soon()) == [0.0, 0.5, 1.0, 2.0]


@pytest.mark.parametrize("sigma", [0.0, -1.0, float("inf"), float("nan")])
def test_a_sigma_that_is_none_is_refused(sigma):
    with pytest.raises(InputError, match="must be a number above 0"):
        limits_from(series(STEADY), sigma=sigma)


def test_frozen_limits_of_another_kind_are_refused_whichever_comes_first():
    for kind, other in (("individuals", "ewma"), ("ewma", "cusum")):
        frozen = limits_from(series(STEADY), kind=kind)
        with pytest.raises(InputError, match=f"kind = {other}: the frozen limits are of the kind {kind}"):
            control_chart(series(STEADY), limits=frozen, kind=other)
        with pytest.raises(InputError, match=f"kind = {kind}: the frozen limits are of the kind {other}"):
            control_chart(series(STEADY), limits=limits_from(series(STEADY), kind=other), kind=kind)


def test_two_equal_points_do_not_alternate():
    """Fourteen points that go up and down by turns signal (the rule's own words); with two alike in their middle they do not."""
    to_and_fro = [0.0, 0.1] * 7
    found = [
        [s.rule for s in control_chart(series(x), centre=0.0, sigma=1.0, rules=["14-alternating"]).signals]
        for x in (to_and_fro, [*to_and_fro[:7], 0.0, *to_and_fro[:6]])
    ]
    assert found == [["14-alternating"], []]


def test_the_lower_limit_of_the_spread_of_large_groups():
    """Twenty groups of ten readings, 0 to 9: s is √(82.5/9) in each, its limits 0.284 and 1.716 of that (B3 and B4 as printed, from memory)."""
    chart = control_chart(series(np.tile(np.arange(10.0), 20), group=[str(i // 10) for i in range(200)]), kind="xbar-s")
    s = (82.5 / 9.0) ** 0.5
    assert (chart.spread.lower[0], chart.spread.upper[0]) == pytest.approx((0.284 * s, 1.716 * s), abs=6e-4 * s)
