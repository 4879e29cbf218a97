"""Charts: limits worked by hand, frozen limits that come back, what signals and what is said."""

import sys
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.control import (
    KINDS,
    LOOK_AT,
    RULES,
    as_toml,
    chart_constants,
    control_chart,
    limits_from,
    limits_from_toml,
    read_limits,
    save_limits,
    series,
    series_from_text,
)
from lenscalc.control.advice import WATCHED
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.errors import FileError, InputError, UnknownNameError

STEADY = [10.0, 11.0, 9.0, 10.0] * 7  # 28 points: steps 1, 2, 1, 0 …; mean 10


def rng_series(n=40, seed=2, shift_from=None, shift=0.0):
    x = np.random.default_rng(seed).standard_normal(n)
    if shift_from is not None:
        x[shift_from:] += shift
    return series(x)


def test_individuals_by_hand():
    """27 steps: seven each of 1, 2 and 1, six of 0: sum 28, mean 28/27; σ = (28/27)·√π/2; limits 10 ± 3σ; moving range up to D4·28/27."""
    chart = control_chart(series(STEADY))
    sigma = 28 / 27 * np.pi**0.5 / 2
    assert chart.limits.sigma == pytest.approx(sigma, rel=1e-13, abs=0.0)
    assert (chart.level.lower[0], chart.level.upper[0]) == pytest.approx((10 - 3 * sigma, 10 + 3 * sigma))
    assert chart.spread.upper[0] == pytest.approx(28 / 27 * chart_constants(2).D4)
    assert np.isnan(chart.spread.value[0])
    assert chart.spread.value[1:4].tolist() == [1.0, 2.0, 1.0]


def test_a_gap_in_the_baseline_makes_no_step_across_it():
    marked = [True, True, True, False, True, True]
    limits = limits_from(series([0.0, 1.0, 0.0, 50.0, 9.0, 10.0]), baseline=marked)
    assert limits.sigma == pytest.approx(1.0 * np.pi**0.5 / 2)  # steps 1, 1, 1
    assert limits.points == 5


def test_group_means_with_ranges_by_hand():
    """Groups (1, 3), (2, 6), (4, 6): ranges 2, 4, 2, mean 8/3; grand mean 22/6; A2(2) = 3/(d2·√2)."""
    s = series([1.0, 3.0, 2.0, 6.0, 4.0, 6.0], group=["a", "a", "b", "b", "c", "c"])
    chart = control_chart(s, kind="xbar-r")
    c = chart_constants(2)
    assert chart.limits.centre == pytest.approx(22 / 6)
    assert chart.level.upper[0] == pytest.approx(22 / 6 + c.A2 * 8 / 3)
    assert (chart.spread.centre[0], chart.spread.upper[0], chart.spread.lower[0]) == pytest.approx((8 / 3, c.D4 * 8 / 3, 0.0))


def test_group_means_with_deviations_by_hand():
    """Groups (1, 2, 3) and (2, 4, 6): s 1 and 2, mean 1.5; grand mean 3."""
    chart = control_chart(series([1.0, 2.0, 3.0, 2.0, 4.0, 6.0], group=list("aaabbb")), kind="xbar-s")
    c = chart_constants(3)
    assert chart.level.lower[0] == pytest.approx(3 - c.A3 * 1.5)
    assert chart.spread.value.tolist() == pytest.approx([1.0, 2.0])
    assert chart.spread.upper[0] == pytest.approx(c.B4 * 1.5)


@pytest.mark.parametrize("kind", ["xbar-r", "xbar-s"])
def test_groups_of_different_size_have_limits_of_their_own(kind):
    x = np.random.default_rng(5).standard_normal(3 * 400 + 6 * 400)
    group = [f"g{i // 3}" for i in range(1200)] + [f"h{i // 6}" for i in range(2400)]
    chart = control_chart(series(x, group=group), kind=kind)
    assert chart.limits.sigma == pytest.approx(1.0, abs=5 * chart.limits.u_sigma_relative)
    wide, narrow = (chart.level.upper[i] - chart.limits.centre for i in (0, -1))
    assert wide / narrow == pytest.approx(2**0.5)
    assert len(chart.signalling) < 60


def test_a_group_of_one_reading_is_refused_where_a_spread_is_asked():
    s = series([1.0, 2.0, 3.0], group=["a", "a", "b"], date=["2026-01-05", "2026-01-05", "2026-01-12"])
    with pytest.raises(InputError, match=r"point 2 \(2026-01-12, b\) has one reading"):
        control_chart(s, kind="xbar-r")
    assert control_chart(s).level.value.tolist() == [1.5, 3.0]


@pytest.mark.parametrize("kind", ["individuals", "ewma", "cusum"])
def test_how_far_a_short_baseline_leaves_sigma_open(kind):
    """The relative standard deviation of σ over many baselines of 20 is what the record says."""
    draw = np.random.default_rng(8)
    found = [limits_from(series(draw.standard_normal(20)), kind=kind, baseline=20) for _ in range(800)]
    assert np.std([f.sigma for f in found]) == pytest.approx(found[0].u_sigma_relative, rel=0.1, abs=0.0)
    assert np.mean([f.sigma for f in found]) == pytest.approx(1.0, abs=0.03)


def test_an_average_and_a_sum_of_two_points_by_hand():
    """λ = 0.5, centre 0: 0.5·2 = 1, then 0.5·4 + 0.5·1 = 2.5; limits 3·√(1/3·(1 − 1/4)) = 1.5 and 3·√(1/3·15/16) = 1.677; k = 0.5: 1.5, then 5."""
    s = series([2.0, 4.0])
    ewma = control_chart(s, kind="ewma", centre=0.0, sigma=1.0, weight=0.5)
    assert ewma.level.value.tolist() == [1.0, 2.5]
    assert ewma.level.upper.tolist() == pytest.approx([1.5, 1.5 * 1.25**0.5])
    assert [(x.first, x.last) for x in ewma.signals] == [(1, 1)]
    cusum = control_chart(s, kind="cusum", centre=0.0, sigma=1.0, h_sigma=4.0)
    assert cusum.level.value.tolist() == [1.5, 5.0]
    assert cusum.level.value_below.tolist() == [0.0, 0.0]
    assert control_chart(s, kind="cusum", centre=0.0, sigma=1.0, h_sigma=4.0, head_start_sigma=2.0).level.value.tolist() == [3.5, 7.0]
    wide = control_chart(s, kind="cusum", centre=0.0, sigma=2.0, head_start_sigma=1.5)  # from 3 and −3, by 2 − 1 and 4 − 1; −2 − 1 and −4 − 1
    assert wide.level.value.tolist() == [4.0, 7.0]
    assert control_chart(series([-1.0]), kind="cusum", centre=0.0, sigma=2.0, head_start_sigma=1.5).level.value_below.tolist() == [-3.0]


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(KINDS), st.floats(1e-6, 1e3), st.floats(-1e3, 1e3))
def test_another_unit_changes_no_signal(kind, factor, offset):
    x = np.random.default_rng(3).standard_normal(60)
    x[40:] += 1.5
    group = [f"g{i // 2}" for i in range(60)] if kind.startswith("xbar") else None
    plain = control_chart(series(x, group=group), kind=kind, baseline=12)
    scaled = control_chart(series(factor * x + factor * offset, group=group), kind=kind, baseline=12)
    assert [(s.rule, s.first, s.last, s.side) for s in plain.signals] == [(s.rule, s.first, s.last, s.side) for s in scaled.signals]


@pytest.mark.parametrize("kind", KINDS)
def test_frozen_limits_come_back_and_judge_alike(tmp_path, kind):
    x = np.random.default_rng(3).standard_normal(60)
    s = series(x, group=[f"g{i // 2}" for i in range(60)] if kind.startswith("xbar") else None)
    chart = control_chart(s, kind=kind, baseline=25)
    save_limits(chart.to_freeze, tmp_path / "frozen.toml")
    back = read_limits(tmp_path / "frozen.toml")
    assert back == chart.to_freeze
    again = control_chart(s, limits=back)
    assert np.array_equal(again.level.upper, chart.level.upper)
    assert again.signals == chart.signals
    assert not again.in_baseline.any()
    with pytest.raises(FileError, match="is there already"):
        save_limits(chart.to_freeze, tmp_path / "frozen.toml")
    assert "made_by = \"lenscalc" in as_toml(back)


def test_marked_points_apart_have_no_step():
    with pytest.raises(InputError, match="the baseline has 2 points, and no two of them follow each other: a moving range needs two"):
        limits_from(series(STEADY), baseline=[i in (0, 2) for i in range(len(STEADY))])


def test_one_point_is_judged_by_frozen_limits():
    limits = limits_from(series(STEADY))
    chart = control_chart(series([20.0], date=["2026-03-02"]), limits=limits)
    assert chart.sentence == "1 of 1 point signals, first point 1 (2026-03-02): one point beyond three sigma, above the centre."
    with pytest.raises(InputError, match="the baseline has 1 point: a moving range needs two"):
        control_chart(series([20.0]))


@pytest.mark.parametrize(
    ("change", "told"),
    [({"kind": "pie"}, "kind = 'pie': must be one of"), ({"sigma": 0.0}, "sigma = 0.0: must be above 0"),
     ({"sigma": -0.1}, "sigma = -0.1: must be above 0"), ({"points": -3}, "points = -3: must be above 0"), ({"sigma": "wide"}, "must be a number"),
     ({"centre": 10**400}, "centre = 1000000000000000000000000000000000000000: must be a number"), ({"points": 10**400}, "0000: must be a number"),
     ({"sigma": float("inf")}, "sigma = inf: must be a number"), ({"centre": float("nan")}, "centre = nan: must be a number"),
     ({"points": 2.5}, "whole number"), ({"centr": 1.0}, "unknown key 'centr'; did you mean centre?"), ({"made_by": 3}, "must be text"),
     ({"centre": None}, "centre is missing"), ({"remarks": "none"}, "list of texts"), ({"weight": 0.2}, "unknown key 'weight'")],
)  # fmt: skip
def test_a_changed_record_is_told(change, told):
    import tomli_w

    table = {"kind": "individuals", "centre": 1.0, "sigma": 0.1, "points": 25, "first": "a", "last": "b", "u_sigma_relative": 0.2, "made_by": "x"}
    table = {key: value for key, value in (table | change).items() if value is not None}
    with pytest.raises(InputError) as caught:
        limits_from_toml(tomli_w.dumps({"limits": table}), "mine.toml")
    assert str(caught.value).startswith("mine.toml: [limits] ")
    assert told in str(caught.value)
    with pytest.raises(InputError, match=r"must hold the one table \[limits\]"):
        limits_from_toml("a = 1")


def test_limits_and_a_baseline_are_not_both_taken():
    limits = limits_from(series(STEADY), kind="ewma")
    for more, told in (({"kind": "cusum"}, "frozen limits are of the kind ewma"), ({"baseline": 5}, "give either"), ({"weight": 0.1}, "give either")):
        with pytest.raises(InputError, match=told):
            control_chart(series(STEADY), limits=limits, **more)
    with pytest.raises(UnknownNameError, match="thing to watch"):
        control_chart(series(STEADY), of="people")
    with pytest.raises(UnknownNameError, match="did you mean individuals"):
        control_chart(series(STEADY), kind="individual")


def test_a_baseline_that_does_not_vary():
    with pytest.raises(InputError, match=r"all 25 of its points are 1.33299, and limits would have no width"):
        control_chart(series([1.33299] * 30), baseline=25)
    with pytest.raises(InputError, match="no group has any spread"):
        control_chart(series([1.0, 1.0, 2.0, 2.0], group=list("aabb")), kind="xbar-r")
    with pytest.raises(InputError, match="no group has any spread"):
        control_chart(series([1.33299] * 3 + [0.1] * 3, group=list("aaabbb")), kind="xbar-s")
    assert control_chart(series([1.33299] * 30), baseline=25, sigma=2e-5).signals == ()


@pytest.mark.parametrize(
    ("values", "baseline", "told"),
    [
        (rng_series(12), 12, "the baseline is too short: 12 points leave sigma open by 27 %"),
        (rng_series(40), 22, "the baseline is short: 22 points"),
        (rng_series(40), None, "no baseline is named"),
        (series([1.0, 2.0] * 15), 30, "holds only 2 different values"),
        (series(np.sin(np.arange(40) / 6.0)), 40, "neighbouring points of the baseline are alike"),
        (rng_series(40, shift_from=20, shift=6.0), 30, "the baseline itself signals"),
    ],
)
def test_what_there_is_to_mind_about_a_baseline(values, baseline, told):
    chart = control_chart(values, baseline=baseline)
    assert any(told in text for text in chart.remarks)
    assert any(told in text for text in chart.to_freeze.remarks)


@pytest.mark.parametrize(("jumps", "told"), [(1, "point 5)"), (3, "point 15)"), (4, "point 15 and others)")])
def test_the_first_three_of_a_baselines_signals_are_named(jumps, told):
    x = [0.1 * (-1) ** i for i in range(100)]
    for jump in range(jumps):
        x[5 * jump + 4] = 30.0
    of_limits = control_chart(series(x), baseline=100, rules="beyond-3-sigma", kind="ewma", weight=1.0)
    assert told in of_limits.remarks[-1]


def test_every_point_as_columns():
    plain = control_chart(series(STEADY), baseline=4).columns
    assert plain["point"] == list(range(1, 29))
    assert plain["plotted"] == plain["value"] == STEADY
    assert plain["baseline"] == [True] * 4 + [False] * 24
    assert "plotted_below" not in plain
    sums = control_chart(series([2.0, -4.0]), kind="cusum", centre=0.0, sigma=1.0).columns  # with k = 0.5: 1.5, then 3.5 below
    assert (sums["plotted"], sums["plotted_below"]) == ([1.5, 0.0], [0.0, -3.5])


def test_a_sigma_that_was_given_is_not_open():
    assert limits_from(series(STEADY), sigma=0.5).u_sigma_relative == 0.0


def test_neighbours_are_called_alike_beyond_two_standard_errors_of_their_correlation():
    """1/√n is the standard error of a correlation of nothing: at 25 points 0.4 is the border."""
    draw, told = np.random.default_rng(4), []
    for _ in range(60):
        e = draw.standard_normal(26)
        x = e[1:] + 0.5 * e[:-1]
        off = x - x.mean()
        r = off[1:] @ off[:-1] / (off @ off)
        told.append(any("are alike" in text for text in limits_from(series(x), baseline=25).remarks))
        assert told[-1] == (r > 0.4)
    assert 5 < sum(told) < 55


def test_which_side_in_words():
    by_turns = control_chart(series([1.0, -1.0] * 7), rules=["14-alternating"], centre=0.0, sigma=1.0)
    assert by_turns.signals[0].sentence.endswith("last downwards")
    by_turns = control_chart(series([-1.0, 1.0] * 7), rules=["14-alternating"], centre=0.0, sigma=1.0)
    assert by_turns.signals[0].sentence.endswith("last upwards")
    # seven in a group range over 0.076 to 1.924 times their mean range (NIST/SEMATECH e-Handbook, 6.3.2.1): one of none, one of three times as much
    groups = [[0.0, 1, 2, 3, 4, 5, 6]] * 8 + [[3.0] * 7] + [[3.0 * i - 6 for i in range(7)]]
    spreads = control_chart(series([x for g in groups for x in g], group=[f"g{i // 7}" for i in range(70)]), kind="xbar-r", baseline=8)
    assert [(s.first, s.look_at, s.sentence.split(" stands ")[1]) for s in spreads.signals] == [
        (8, LOOK_AT["instrument"]["less spread"], "below its lower limit"), (9, LOOK_AT["instrument"]["spread"], "above its upper limit"),
    ]  # fmt: skip


def test_a_scatter_as_small_as_its_centre_has_limits():
    """Steps of 2e-9 about 1e-9: σ = 2e-9·√π/2."""
    assert limits_from(series([0.0, 2e-9] * 15)).sigma == pytest.approx(2e-9 * np.pi**0.5 / 2, rel=1e-12, abs=0.0)


def test_a_good_baseline_has_nothing_to_mind():
    assert control_chart(series_from_text(demo_text(WATER_CHECKS)), baseline=25).remarks == ()


def test_the_demo_drift_is_found_by_all_three_after_the_baseline():
    for kind in ("individuals", "ewma", "cusum"):
        chart = control_chart(series_from_text(demo_text(WATER_CHECKS)), kind=kind, baseline=25)
        assert chart.signals
        assert all(s.first >= 25 and s.side == 1 for s in chart.signals)


def test_the_point_that_signals_says_which_rule_and_what_to_look_at():
    x = [0.5, -0.5] * 15
    x[27] = 9.0
    for of in WATCHED:
        chart = control_chart(series(x), baseline=25, of=of)
        beyond = next(s for s in chart.signals if s.rule == "beyond-3-sigma")
        assert beyond.sentence == "Point 28: one point beyond three sigma, above the centre"
        assert beyond.look_at == LOOK_AT[of]["jump"]
        assert any(s.part == "spread" and s.look_at == LOOK_AT[of]["spread"] for s in chart.signals)
    assert all(word in " ".join(LOOK_AT["instrument"].values()) for word in ("temperature", "clean", "contact liquid", "lamp", "prism"))
    assert all(word in " ".join(LOOK_AT["material"].values()) for word in ("drying", "equilibration", "composition", "temperature", "operator"))


def test_a_hundred_thousand_points_take_a_second_or_two():
    x = np.random.default_rng(1).standard_normal(100_000)
    start = time.process_time()
    for kind in ("individuals", "ewma", "cusum"):
        chart = control_chart(series(x), kind=kind, baseline=1000)
        # about as many signals as the run lengths say: a run of rules may signal several times, so only its order of size
        assert 100_000 / chart.by_chance.mean / 5 < len(chart.signals) < 100_000 / chart.by_chance.mean * 5
    assert time.process_time() - start < 20


@pytest.mark.parametrize(("step", "words"), [(1.0, "rising"), (-1.0, "falling")])
def test_a_stretch_is_named_by_its_ends_where_both_have_a_name(step, words):
    """Seven points in one direction: the sixth signals, and so does the seventh."""
    x = [step * i for i in range(7)]
    nameless = control_chart(series(x), rules=["6-rising-or-falling"], centre=0.0, sigma=10.0)
    assert [s.sentence for s in nameless.signals] == [f"Points 6 to 7: {RULES['6-rising-or-falling'].sentence}, {words}"]
    labelled = series(x, label=[f"lot {i}" for i in range(1, 8)])
    told = control_chart(labelled, rules=["6-rising-or-falling"], centre=0.0, sigma=10.0).signals[0].sentence
    assert told.startswith("Points 6 to 7 (lot 6 to lot 7): ")
    half = series(x, label=[*["" for _ in range(6)], "last"])
    assert control_chart(half, rules=["6-rising-or-falling"], centre=0.0, sigma=10.0).signals[0].sentence.startswith("Points 6 to 7: ")


def test_a_column_says_which_points_signal():
    x = [0.5, -0.5] * 15
    x[27] = 9.0
    chart = control_chart(series(x), rules="beyond-3-sigma", kind="ewma", weight=1.0, centre=0.0, sigma=1.0)
    assert [i for i, signals in enumerate(chart.columns["signals"]) if signals] == [27]


def test_limits_frozen_from_one_point_are_read_and_from_none_are_not():
    import tomli_w

    table = {"kind": "individuals", "centre": 1.0, "sigma": 0.1, "points": 1, "first": "a", "last": "a", "u_sigma_relative": 0.0, "made_by": "x"}
    assert limits_from_toml(tomli_w.dumps({"limits": table})).points == 1
    assert limits_from_toml(tomli_w.dumps({"limits": table | {"centre": -sys.float_info.max}})).centre == -sys.float_info.max
    for key, value in (("points", 0), ("sigma", 0.0)):
        with pytest.raises(InputError, match=f"{key} = 0.*: must be above 0"):
            limits_from_toml(tomli_w.dumps({"limits": table | {key: value}}))


def test_how_far_two_groups_of_two_leave_sigma_open():
    """Of the range of two: d2 = 2/√π, d3 = √(2 − 4/π); of two groups u/σ = (d3/d2)·√2/2. Of the deviation of two: c4 = √(2/π), √(1 − c4²)/c4."""
    groups = series([1.0, 2.0, 1.0, 4.0], group=["a", "a", "b", "b"])
    for kind, one in (("xbar-r", (2 - 4 / np.pi) ** 0.5 * np.pi**0.5 / 2), ("xbar-s", ((1 - 2 / np.pi) * np.pi / 2) ** 0.5)):
        assert limits_from(groups, kind=kind, baseline=2).u_sigma_relative == pytest.approx(one / 2**0.5, rel=1e-6, abs=0.0)


def test_a_baseline_is_named_by_date_else_by_label_else_by_number():
    x = [1.0, 2.0, 1.5, 2.5]
    for more, ends in (
        ({"date": ["2026-01-01", "2026-01-02", "2026-01-03", "2026-01-04"], "label": ["a", "b", "c", "d"]}, ("2026-01-01", "2026-01-03")),
        ({"label": ["a", "b", "c", "d"]}, ("a", "c")),
        ({}, ("point 1", "point 3")),
    ):
        limits = limits_from(series(x, **more), baseline=3)
        assert (limits.first, limits.last) == ends


def test_a_sum_that_falls_signals_below_and_one_that_rises_above():
    for step, side, words in ((1.0, 1, "above its upper limit"), (-1.0, -1, "below its lower limit")):
        chart = control_chart(series([2.0 * step] * 8), kind="cusum", centre=0.0, sigma=1.0)
        assert {s.side for s in chart.signals} == {side}
        assert all(s.sentence.endswith(words) for s in chart.signals)


def test_five_points_of_few_values_are_told_and_four_are_not():
    told = [any("different values" in text for text in limits_from(series([1.0, 2.0] * 5), baseline=n).remarks) for n in (4, 5, 6)]
    assert told == [False, True, True]


def test_what_stands_beyond_its_limit_is_named_by_its_chart():
    x = [0.5, -0.5] * 15
    x[27] = 9.0
    single = control_chart(series(x), baseline=25)
    assert any(s.part == "spread" and "the step from the point before stands" in s.sentence for s in single.signals)
    groups = [[0.0, 1.0, 2.0]] * 9 + [[0.0, 10.0, 20.0]]
    grouped = control_chart(series([v for g in groups for v in g], group=[f"g{i // 3}" for i in range(30)]), kind="xbar-r", baseline=9)
    assert any(s.part == "spread" and "the range" in s.sentence for s in grouped.signals)


def test_a_group_that_is_too_large_is_refused():
    with pytest.raises(InputError, match="n = 101: must be a whole number, 2 to 100; the readings of a group for its spread"):
        limits_from(series(np.arange(202.0), group=["a"] * 101 + ["b"] * 101), kind="xbar-r", baseline=2)


@pytest.mark.parametrize(
    ("values", "told"),
    [([1.0] * 3 + [2.0] * 3, True), ([1.0, 2.0, 3.0, 4.0, 5.0, 1.0], False), ([1.0, 2.0, 3.0, 4.0, 4.0, 4.0], True), ([1.0, 2.0, 3.0] * 2, True)],
)
def test_fewer_than_five_different_values_are_a_coarse_resolution(values, told):
    assert any("different values" in text for text in limits_from(series(values), baseline=6).remarks) == told
