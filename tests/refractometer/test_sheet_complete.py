"""Replicates of a sheet (mountings, sessions, pooled history, drift on the prism) against arithmetic done by hand."""

import time

import numpy as np
import pytest
from made_sheets import POOLED, dof, index, part, reading, sheet, value

from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data


def test_re_reads_of_a_mounting_do_not_shrink_what_mountings_differ_by():
    # mountings 1.4901, 1.4905, 1.4903 (means): s = 2e-4, u = s/√3, ν = 2, whatever was re-read
    n = [1.4900, 1.4902, 1.4904, 1.4906, 1.4903, 1.4903]
    f = index(sheet(reading(n, mounting=[1, 1, 2, 2, 3, 3])))
    assert value(sheet(reading(n, mounting=[1, 1, 2, 2, 3, 3]))) == pytest.approx(1.4903, abs=1e-12)
    assert part(f, "mountings") == pytest.approx(2e-4 / 3**0.5, rel=1e-9, abs=0.0)
    assert dof(f, "mountings") == 2


def test_sessions_stand_above_mountings():
    # days 1.4901 and 1.4905: u = 4e-4/2, one degree of freedom, and that is said
    f = index(sheet(reading([1.4900, 1.4902, 1.4904, 1.4906], mounting=["a", "b", "a", "b"], session=["mon", "mon", "tue", "tue"])))
    assert part(f, "sessions") == pytest.approx(2e-4, rel=1e-9, abs=0.0)
    assert dof(f, "sessions") == 1
    assert any("2 sessions at 546.07 nm, 35 °C tell little of their own scatter (1 degree of freedom)" in w for w in f.warnings)


def test_pooled_history_is_divided_by_mountings_and_by_sessions():
    n = [1.4901, 1.4902, 1.4903, 1.4904]
    nested = {"mounting": [1, 1, 2, 2], "session": ["a", "a", "b", "b"], "u_session": 3e-4, "dof_session": 7}
    f = index(sheet(reading(n, **POOLED, **nested)))
    assert part(f, "repeatability") == pytest.approx(1e-4 / 2**0.5, rel=1e-9, abs=0.0)
    assert part(f, "sessions, pooled") == pytest.approx(3e-4 / 2**0.5, rel=1e-9, abs=0.0)
    assert (dof(f, "repeatability"), dof(f, "sessions, pooled")) == (20, 7)


def test_a_mounting_that_was_read_often_weighs_no_more():
    """One mounting read three times, one once, with a history: the mean of the mountings' means, and u of two mountings."""
    f = index(sheet(reading([1.4901, 1.4901, 1.4901, 1.4905], mounting=[1, 1, 1, 2], **POOLED)))
    assert float(f.index.n.value[0]) == pytest.approx(1.4903, abs=1e-12)
    assert part(f, "repeatability") == pytest.approx(1e-4 / 2**0.5, rel=1e-9, abs=0.0)


def test_sessions_of_unlike_size_weigh_alike():
    """Monday three mountings, Tuesday one: n = (1.4902 + 1.4906)/2, u² = u_m²·(3·(1/6)² + (1/2)²) and u_s²/2."""
    days = {"session": ["mon", "mon", "mon", "tue"], "mounting": [1, 2, 3, 1], "u_session": 2e-4, "dof_session": 5}
    f = index(sheet(reading([1.4901, 1.4902, 1.4903, 1.4906], **POOLED, **days)))
    assert float(f.index.n.value[0]) == pytest.approx(1.4904, abs=1e-12)
    assert part(f, "repeatability") == pytest.approx(1e-4 * (3 / 36 + 1 / 4) ** 0.5, rel=1e-9, abs=0.0)
    assert part(f, "sessions, pooled") == pytest.approx(2e-4 / 2**0.5, rel=1e-9, abs=0.0)


def test_a_drift_on_the_prism_is_carried_back_to_the_start():
    # −1e-4 a minute from 1.4910 and 1.4912, without scatter: the mean at the start is 1.4911
    n = [1.4910 - 1e-4 * t for t in (1, 2, 4)] + [1.4912 - 1e-4 * t for t in (1, 3, 5)]
    f = index(sheet(reading(n, mounting=[1, 1, 1, 2, 2, 2], minutes_after_mounting=[1, 2, 4, 1, 3, 5])))
    assert float(f.index.n.value[0]) == pytest.approx(1.4911, abs=1e-10)
    assert any("drift of -1.0e-04 per minute" in w for w in f.warnings)


def test_the_drifts_own_error_acts_by_the_mean_time():
    # one slope for two mountings, numpy's least squares with two starts; ν = 6 − 3
    n, t, m = [1.4901, 1.4898, 1.4897, 1.4904, 1.4903, 1.4899], [1.0, 2, 3, 1, 2, 3], [1, 1, 1, 2, 2, 2]
    A = np.array([[time, label == 1, label == 2] for time, label in zip(t, m, strict=True)], dtype=float)
    solution, residual, *_ = np.linalg.lstsq(A, n, rcond=None)
    u_slope = (residual[0] / 3 * np.linalg.inv(A.T @ A)[0, 0]) ** 0.5
    f = index(sheet(reading(n, mounting=m, minutes_after_mounting=t)))
    assert float(f.index.n.value[0]) == pytest.approx(np.mean(solution[1:]), abs=1e-12)
    assert part(f, "drift on the prism") == pytest.approx(2.0 * u_slope, rel=1e-6, abs=0.0)
    assert dof(f, "drift on the prism") == 3


def test_a_drift_over_sessions():
    """By hand. Two mountings on Monday fall by 1.2e-4 and 0.8e-4 in ten minutes, one on Tuesday by 1.0e-4: the slope is −1e-5 a minute, what is left
    ±1e-5, ∓1e-5 and 0, so u² = 4e-10/(6 − 3 − 1)/150. Starts 1.49119, 1.49141 and 1.49172: the days 1.4913 and 1.49172, their mean 1.49151, its u
    half their difference. In that mean the times weigh as the readings do: (5 + 5)/4 + 7/2 = 6 minutes. Tuesday's mounting 1 is not Monday's.
    """
    n, minutes = [1.4912, 1.49108, 1.4914, 1.49132, 1.4917, 1.4916], [0, 10, 0, 10, 2, 12]
    labels = {"mounting": [1, 1, 2, 2, 1, 1], "session": ["mon"] * 4 + ["tue"] * 2}
    f = index(sheet(reading(n, minutes_after_mounting=minutes, **labels)))
    assert float(f.index.n.value[0]) == pytest.approx(1.49151, abs=1e-12)
    assert part(f, "sessions") == pytest.approx(2.1e-4, rel=1e-9, abs=0.0)
    assert dof(f, "sessions") == 1
    assert part(f, "drift on the prism") == pytest.approx(6.0 * (4e-10 / 2 / 150) ** 0.5, rel=1e-9, abs=0.0)
    assert dof(f, "drift on the prism") == 2


def test_a_drift_that_bends_is_refused():
    n = [1.4910 - 1e-4 * t * t + 1e-7 * (t % 2) for t in range(1, 8)] * 2
    with pytest.raises(SheetError, match=r"\[reading\] at 546.07 nm, 35 °C: .*the drift bends.*read sooner after mounting, or cover"):
        index(sheet(reading(n, mounting=[1] * 7 + [2] * 7, minutes_after_mounting=list(range(1, 8)) * 2)))


def test_ten_thousand_replicates_are_read_quickly():
    n = [1.4900 + 1e-4 * (i * 7 % 5) for i in range(10_000)]
    start = time.process_time()
    f = index(sheet(reading(n)))
    assert time.process_time() - start < 5
    assert float(f.index.n.value[0]) == pytest.approx(np.mean(n), abs=1e-12)
    assert part(f, "replicates") == pytest.approx(np.std(n, ddof=1) / 100, rel=1e-9, abs=0.0)
    assert any("10000 readings" in w and "say so with mounting" in w for w in f.warnings)


@pytest.mark.parametrize(("slope", "seen"), [(-1e-4, "is seen"), (0.0, "is not seen beyond scatter")])
def test_a_drift_is_called_seen_where_chance_makes_it_less_often_than_once_in_twenty(slope, seen):
    """Scatter of 2e-5 by turns: a slope of 1e-4 a minute is many of its u, none is none."""
    n = [1.4910 + slope * t + 2e-5 * off for t, off in zip((1, 2, 3, 4, 5, 6), (1, -1, -1, 1, 1, -1), strict=True)]
    told = index(sheet(reading(n, mounting=[1] * 6, minutes_after_mounting=[1, 2, 3, 4, 5, 6], **POOLED))).warnings
    assert any(f"on the prism {seen};" in w for w in told), told


@pytest.mark.parametrize(("given", "told"), [({}, True), ({"u_session": 1e-4, "dof_session": 8}, False), ({"session": ["a", "a", "b"]}, False)])
def test_what_another_day_would_read_is_missing_where_nothing_says_it(given, told):
    three = {"session": ["a", "a", "b"]} if "u_session" in given else {}
    data = sheet(reading([1.4901, 1.4902, 1.4903], **POOLED, **given, **three))
    del data["instrument"]["u_operator"]
    assert any("u_operator, or sessions" in w for w in sheet_from_data(data).remarks) == told


def test_thirty_readings_are_many():
    for count, told in ((29, False), (30, True)):
        n = [1.4900 + 1e-4 * (i % 3) for i in range(count)]
        assert any(f"{count} readings" in w and "mounting of its own" in w for w in sheet_from_data(sheet(reading(n))).remarks) == told
