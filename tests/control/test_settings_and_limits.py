"""A chart's settings that nobody gives, and what lies on a limit."""

import numpy as np
import pytest

from lenscalc.control import LIMITS_ONLY, as_toml, control_chart, limits_from, limits_from_toml, series
from lenscalc.errors import InputError

STEADY = [10.0, 11.0, 9.0, 10.0] * 7


def test_a_point_on_its_limit_is_not_beyond_it():
    """About 0 with sigma 1 the limits are ±3 (NIST/SEMATECH e-Handbook, 6.3.2, from memory); a sum about 0 with k = 0.5 stands at 5 = h after 5.5."""
    assert control_chart(series([0.0, 3.0, 0.0, -3.0, 0.0]), centre=0.0, sigma=1.0, rules=["beyond-3-sigma"]).signals == ()
    assert len(control_chart(series([0.0, 3.0 + 1e-9, 0.0]), centre=0.0, sigma=1.0, rules=["beyond-3-sigma"]).signals) == 1
    assert control_chart(series([5.5, 0.0]), kind="cusum", centre=0.0, sigma=1.0).signals == ()
    assert len(control_chart(series([5.5 + 1e-9, 0.0]), kind="cusum", centre=0.0, sigma=1.0).signals) == 1
    for side in (1.0, -1.0):  # all the weight on the newest, limits at three sigma
        assert control_chart(series([3.0 * side, 0.0]), kind="ewma", weight=1.0, centre=0.0, sigma=1.0).signals == ()
        assert control_chart(series([5.5 * side, 0.0]), kind="cusum", centre=0.0, sigma=1.0).signals == ()


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


def test_a_level_and_a_spread_that_signal_at_one_point_are_told_by_the_level():
    """0, then 9 at a sigma of 1: beyond three sigma, and a step beyond 3.267·2/√π (NIST/SEMATECH e-Handbook, 6.3.2.2)."""
    chart = control_chart(series([0.0, 9.0]), centre=0.0, sigma=1.0)
    assert [(s.part, s.first) for s in chart.signals] == [("level", 1), ("spread", 1)]
    assert chart.sentence == "1 of 2 points signals, first point 2: one point beyond three sigma, above the centre."


def test_how_soon_goes_by_the_chart_s_own_rules():
    """One point beyond three sigma alone waits 1/(2Φ(−3)) = 370.398 points; Φ(−3) = 1.3498980e-3 from tables."""
    chart = control_chart(series(STEADY), rules=LIMITS_ONLY)
    assert chart.how_soon([0.0])[0.0] == pytest.approx(1 / (2 * 1.3498980e-3), rel=1e-7, abs=0.0)


@pytest.mark.parametrize(("points", "told"), [(19, "the baseline is too short: 19 points"), (20, "the baseline is short: 20 points"),
                                              (24, "the baseline is short: 24 points"), (25, None), (26, None)])  # fmt: skip
def test_twenty_points_are_short_and_twenty_five_are_not(points, told):
    """What the remark itself asks for: 20, better 25 or more."""
    remarks = [text for text in limits_from(series(np.arange(30) * 7 % 30), baseline=points).remarks if "short" in text]
    assert [text.startswith(told) for text in remarks] == [True] * (told is not None)


@pytest.mark.parametrize("entries", [1, 3])
@pytest.mark.parametrize("name", ["date", "label", "id", "group", "baseline"])
def test_a_column_of_another_length_is_told(name, entries):
    with pytest.raises(InputError, match=f"{name} and value must be lists of one length, not {entries} and 2"):
        series([1.0, 2.0], **{name: ["2026-01-05", "2026-01-06", "2026-01-07"][:entries]})


def test_frozen_limits_beside_another_table_are_refused():
    text = as_toml(limits_from(series(STEADY)))
    assert limits_from_toml(text).points == 28
    with pytest.raises(InputError, match=r"must hold the one table \[limits\]"):
        limits_from_toml(text + "\n[more]\na = 1\n")
