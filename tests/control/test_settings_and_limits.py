"""A chart's settings that nobody gives, and what lies on a limit."""

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
