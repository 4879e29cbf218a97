"""What a baseline's remarks do not say, and a file without a reading."""

import math
from itertools import pairwise

import pytest

from lenscalc import InputError
from lenscalc.control import (
    average_run_length,
    baseline_points,
    chart_constants,
    control_chart,
    interval_for_run_length,
    limits_from,
    series,
    width_for_run_length,
)
from lenscalc.control.series_file import read_series


def test_groups_of_one_mean_are_not_too_coarse():
    """Six groups of 1 and 3: their means are all 2, and their ranges tell the spread, σ = 2/d2."""
    found = limits_from(series([1.0, 3.0] * 6, group=[str(i // 2) for i in range(12)]), kind="xbar-r")
    assert (found.centre, found.sigma) == (2.0, pytest.approx(2.0 / chart_constants(2).d2))
    assert not any("different values" in remark for remark in found.remarks)


def test_a_file_of_column_names_alone_has_no_values(tmp_path):
    path = tmp_path / "names.csv"
    path.write_text("date,value\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"a line of column names \(date,value\) and a line a reading"):
        read_series(path)


def test_neighbours_just_at_the_bound_are_not_called_alike():
    """25 whole numbers about 100: Σ of neighbours' products 32 over Σ of squares 80 is 0.4, two standard errors 2/√25 and no more."""
    off = [0, -1, -3, 0, 1, 0, -3, -1, 3, 2, 3, 3, 1, 3, 0, -1, -2, 0, 0, -3, 0, 0, 0, 0, -2]
    assert (sum(off), sum(a * b for a, b in pairwise(off)), sum(a * a for a in off)) == (0, 32, 80)
    assert not any("are alike" in remark for remark in limits_from(series([100.0 + x for x in off])).remarks)
    assert any("are alike" in remark for remark in limits_from(series([100.0 + x for x in sorted(off)])).remarks)


def test_the_nearest_limits_have_their_own_wait():
    """A slow average needs points to reach even limits at 0.1 sigma: for that wait they are the answer, for a shorter one there is none."""
    wait = average_run_length("ewma", weight=0.01, width_sigma=0.1, exact_limits=False).mean
    assert wait > 2.0
    assert width_for_run_length(wait, weight=0.01, exact_limits=False) == pytest.approx(0.1, rel=1e-6, abs=0.0)
    with pytest.raises(InputError, match=r"even limits as near as 0\.1 sigma signal more rarely"):
        width_for_run_length(0.999 * wait, weight=0.01, exact_limits=False)


def test_a_sum_without_allowance_signals_soon_whatever_its_interval():
    """A free walk between 0 and h = 100 lasts some h² points."""
    with pytest.raises(InputError, match="even limits at 100 sigma signal more often"):
        interval_for_run_length(1e6, k_sigma=0.0)


def test_a_stretch_may_run_to_the_last_day_that_there_is():
    s = series([1.0, 2.0, 3.0], date=["2026-01-05", "2026-01-12T23:59", "2026-01-13"])
    assert baseline_points(s, "2026-01-06:9999-12-31").tolist() == [False, True, True]
    assert baseline_points(s, ":2026-01-12").tolist() == [True, True, False]
    assert baseline_points(s, ":2026-01-12T23:58").tolist() == [True, False, False]


def test_a_mark_that_is_missing_marks_nothing():
    """A column of a table holds nan where nothing was written, and that is true to Python."""
    assert series([1.0, 2.0, 3.0], baseline=[True, float("nan"), None]).baseline.tolist() == [True, False, False]
    assert series([1.0, 2.0], baseline=[float("nan"), None]).baseline is None
    with pytest.raises(InputError, match="row 2: baseline = 'no': must be True, False or nothing"):
        series([1.0, 2.0], baseline=[True, "no"])


@pytest.mark.parametrize("kind", ["individuals", "ewma", "cusum"])
def test_a_sigma_that_is_lost_beside_the_centre_is_refused(kind):
    """1.333 ± 3e-20 is 1.333: points on it stood nowhere (0/0), and all others beyond."""
    with pytest.raises(InputError, match="sigma = 1e-20: limits so near to their centre are lost"):
        limits_from(series([1.333, 1.3331, 1.333]), kind=kind, sigma=1e-20)
    with pytest.raises(InputError, match="sigma = 1e-05: limits so near"):
        limits_from(series([1.333, 1.3331, 1.333]), kind=kind, sigma=1e-5, centre=1e12)
    with pytest.raises(InputError, match="sigma = 1e-15: limits so near"):
        limits_from(series([1.0, 1.1, 1.0]), kind=kind, sigma=1e-15, centre=-1.0)
    assert limits_from(series([1.0, 1.1, 1.0]), kind=kind, sigma=math.nextafter(1e-15, 1.0), centre=-1.0).sigma > 1e-15


@pytest.mark.parametrize(("last", "points"), [("2026-03-31", 3), ("20260331", 3), ("2026-03-31T09:00", 2)])
def test_the_last_day_of_a_stretch_is_meant_whole(last, points):
    """Also in the standard's short form (ISO 8601: YYYYMMDD); a time ends the stretch there."""
    dates = ["2026-03-01T08:00", "2026-03-31T09:00", "2026-03-31T15:00", "2026-04-01T08:00"]
    assert baseline_points(series([1.0, 2.0, 3.0, 4.0], date=dates), f"2026-03-01:{last}").sum() == points


@pytest.mark.parametrize(
    ("asked", "limits"),
    [(lambda: average_run_length("ewma", shift_sigma=10.5), (-10.0, 10.0)), (lambda: average_run_length("ewma", shift_sigma=-10.5), (-10.0, 10.0)),
     (lambda: width_for_run_length(1.0, weight=0.2), (2.0, 1e6)), (lambda: chart_constants(1), (2, 100)), (lambda: chart_constants(101), (2, 100))],
)  # fmt: skip
def test_the_limits_of_a_setting_travel_with_the_error(asked, limits):
    with pytest.raises(InputError) as caught:
        asked()
    assert caught.value.limits == limits


@pytest.mark.parametrize(("points", "told"), [(2, "too short"), (3, "too short"), (19, "too short"), (20, "short"), (24, "short")])
def test_how_far_so_few_points_leave_sigma_open(points, told):
    """A mean moving range over d2 has a variance of (0.8264·n − 1.082)/(n − 1)² of σ² (Cryer and Ryan, J. Quality Technology 22 (1990) 187, from
    memory)."""
    found = limits_from(series([1.0, 3.0, 2.0, 5.0, 4.0, 6.0] * 4), baseline=points)
    wanted = (0.8264 * points - 1.082) ** 0.5 / (points - 1)
    assert found.u_sigma_relative == pytest.approx(wanted, rel=2e-4, abs=0.0)
    take = "take 20, better 25 or more" if told == "too short" else "25 or more are better"
    assert found.remarks[0] == f"the baseline is {told}: {points} points leave sigma open by {100 * wanted:.0f} %; {take}"


def test_a_baseline_of_one_group_leaves_sigma_open_by_what_ranges_of_two_scatter():
    """d3/d2 = √(2 − 4/π)·√π/2 = 0.756 of two readings."""
    found = limits_from(series([1.0, 2.0, 1.0, 4.0], group=["a", "a", "b", "b"]), kind="xbar-r", baseline=1)
    assert found.remarks == ("the baseline is too short: 1 point leaves sigma open by 76 %; take 20, better 25 or more",)
    more = limits_from(series([1.0, 2.0, 1.0, 4.0] * 12, group=[i // 2 for i in range(48)]), kind="xbar-r", baseline=21)  # by √21 less: 0.1649
    assert "the baseline is short: 21 points leave sigma open by 16 %; 25 or more are better" in more.remarks


def test_points_that_are_marked_name_the_baseline():
    x, marks = [1.0, 3.0, 2.0, 5.0, 4.0, 6.0] * 5, [True] * 25 + [False] * 5
    for found in (limits_from(series(x, baseline=marks)), limits_from(series(x), baseline=25), limits_from(series(x, baseline=marks), baseline=25)):
        assert not any("no baseline is named" in remark for remark in found.remarks)
    assert limits_from(series(x)).remarks[0] == (
        "no baseline is named: the limits come from all points, also from those that they judge; name one and freeze it"
    )


def test_a_baseline_of_nothing_but_0_does_not_vary():
    with pytest.raises(InputError, match="the baseline does not vary: all 25 of its points are 0, and limits would have no width"):
        limits_from(series([0.0] * 30), baseline=25)


def test_values_whose_squares_are_nothing_have_limits_all_the_same():
    """Of scatter below 1e-162 float64 keeps no squares: there was a ZeroDivisionError. Steps of 1, 1, 2 and 0 by turns, mean 28/27."""
    limits = limits_from(series([1e-170, 2e-170, 3e-170, 1e-170] * 7))
    assert limits.sigma == pytest.approx(28e-170 / 27 * math.pi**0.5 / 2, rel=1e-12, abs=0.0)
    assert not any("are alike" in remark for remark in limits.remarks)


@pytest.mark.parametrize(("baseline", "told"), [("3:", False), ("2:", True), (":1", False), (":2", True)])
def test_a_signal_beside_the_baseline_is_not_its_own(baseline, told):
    chart = control_chart(series([0.0, 9.0, 0.0, 1.0, 0.0]), baseline=baseline, centre=0.0, sigma=1.0, kind="ewma", weight=1.0)
    assert [s.first for s in chart.signals] == [1]
    assert any("the baseline itself signals (point 2)" in remark for remark in chart.remarks) == told


def test_twenty_points_are_asked_whether_they_are_alike():
    """Ten of 0 and ten of 1: Σ of neighbours' products is 4.25, Σ of squares 5: 0.85 is beyond 2/√20. Nineteen are too few to be asked."""
    found = [limits_from(series([0.0] * 10 + [1.0] * n), baseline=10 + n).remarks[-1] for n in (10, 9)]
    assert found[0] == "neighbouring points of the baseline are alike (correlation 0.85): limits from steps between them are too narrow"
    assert "are alike" not in found[1]


@pytest.mark.parametrize(
    ("setting", "said"),
    [({}, "these rules on the level signal about once in 92 points"), ({"kind": "cusum"}, "such a cumulative sum signals about once in 465 points"),
     ({"kind": "ewma", "weight": 1.0}, "such a weighted average signals about once in 370 points")],
)  # fmt: skip
def test_how_often_a_chart_signals_by_chance_is_said(setting, said):
    """Points: 91.75 (the four rules; NIST/SEMATECH e-Handbook, 6.3.2), 370.4 (three sigma alone), 465.44 (k = 0.5, h = 5; Lucas and Crosier 1982)."""
    chart = control_chart(series([1.0, 3.0, 2.0, 5.0, 4.0, 6.0] * 5), baseline=25, **setting)
    assert chart.chance_sentence == f"Where nothing has moved, {said} by chance."


def test_a_long_text_for_a_baseline_is_told_by_its_first_twenty_signs():
    text = "0123456789" * 11
    with pytest.raises(InputError) as caught:
        baseline_points(series([1.0, 2.0]), text)
    assert str(caught.value).startswith("baseline = '01234567890123456789' … names no stretch: give a number of points (25), a stretch")


def test_how_many_points_signal_is_said():
    chart = control_chart(series([0.0, 9.0, 0.0, -9.0]), centre=0.0, sigma=1.0, kind="ewma", weight=1.0)
    assert chart.sentence == "2 of 4 points signal, first point 2: the weighted average stands above its upper limit."


def test_a_point_on_a_line_is_not_beyond_it_whatever_its_last_bits():
    """1.332990 and a sigma of 5e-7 as decimals: three sigma above lies 1.3329915, of which float64 makes 3.0000000004 sigma."""
    assert control_chart(series([1.33299, 1.3329915]), centre=1.33299, sigma=5e-7, rules=["beyond-3-sigma"]).signals == ()
