"""What a baseline's remarks do not say, and a file without a reading."""

from itertools import pairwise

import pytest

from lenscalc import InputError
from lenscalc.control import (
    average_run_length,
    baseline_points,
    chart_constants,
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


@pytest.mark.parametrize("kind", ["individuals", "ewma", "cusum"])
def test_a_sigma_that_is_lost_beside_the_centre_is_refused(kind):
    """1.333 ± 3e-20 is 1.333: points on it stood nowhere (0/0), and all others beyond."""
    with pytest.raises(InputError, match="sigma = 1e-20: limits so near to their centre are lost"):
        limits_from(series([1.333, 1.3331, 1.333]), kind=kind, sigma=1e-20)
    with pytest.raises(InputError, match="sigma = 1e-05: limits so near"):
        limits_from(series([1.333, 1.3331, 1.333]), kind=kind, sigma=1e-5, centre=1e12)


@pytest.mark.parametrize(("last", "points"), [("2026-03-31", 3), ("20260331", 3), ("2026-03-31T09:00", 2)])
def test_the_last_day_of_a_stretch_is_meant_whole(last, points):
    """Also in the standard's short form (ISO 8601: YYYYMMDD); a time ends the stretch there."""
    dates = ["2026-03-01T08:00", "2026-03-31T09:00", "2026-03-31T15:00", "2026-04-01T08:00"]
    assert baseline_points(series([1.0, 2.0, 3.0, 4.0], date=dates), f"2026-03-01:{last}").sum() == points


@pytest.mark.parametrize(
    ("asked", "limits"),
    [(lambda: average_run_length("ewma", shift_sigma=10.5), (-10.0, 10.0)), (lambda: average_run_length("ewma", shift_sigma=-10.5), (-10.0, 10.0)),
     (lambda: chart_constants(1), (2, 100)), (lambda: chart_constants(101), (2, 100))],
)  # fmt: skip
def test_the_limits_of_a_setting_travel_with_the_error(asked, limits):
    with pytest.raises(InputError) as caught:
        asked()
    assert caught.value.limits == limits
