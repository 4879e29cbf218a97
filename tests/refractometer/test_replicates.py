"""Replicates: nested means against an analysis of variance written here, their coverage, and Grubbs' test. Published data are in reference_cases/."""

from itertools import groupby

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import t

from lenscalc.errors import InputError
from lenscalc.refractometer import mean_of, nested_mean

SHOWN = st.integers(0, 40).map(lambda k: 1.488 + k * 1e-4)  # an index as an instrument shows it

designs = st.lists(  # sessions of mountings of readings, as uneven as a day comes
    st.lists(st.lists(SHOWN, min_size=1, max_size=4), min_size=1, max_size=4), min_size=1, max_size=4
)


def flat(design):
    """Readings and labels; the mountings are counted anew in each session."""
    rows = [(y, m, s) for s, mounts in enumerate(design) for m, readings in enumerate(mounts) for y in readings]
    return {"readings": [r[0] for r in rows], "mounting": [r[1] for r in rows], "session": [r[2] for r in rows]}


def by_textbook(values):
    """Balanced nested analysis of variance of an array sessions × mountings × readings: mean squares, then components by their expectations.

    E(MS_reading) = σ_r², E(MS_mounting) = σ_r² + r·σ_m², E(MS_session) = σ_r² + r·σ_m² + r·m·σ_s².
    """
    S, m, r = values.shape
    of_mounting, of_session = values.mean(axis=2), values.mean(axis=(1, 2))
    ms_reading = np.sum((values - of_mounting[:, :, None]) ** 2) / (S * m * (r - 1))
    ms_mounting = r * np.sum((of_mounting - of_session[:, None]) ** 2) / (S * (m - 1))
    ms_session = r * m * np.sum((of_session - values.mean()) ** 2) / (S - 1)
    return {
        "value": values.mean(), "u": (ms_session / values.size) ** 0.5, "s_reading": ms_reading**0.5,
        "s_mounting": max(0.0, (ms_mounting - ms_reading) / r) ** 0.5, "s_session": max(0.0, (ms_session - ms_mounting) / (r * m)) ** 0.5,
        "f_ratio": ms_session / ms_mounting,
    }  # fmt: skip


@pytest.mark.parametrize("shape", [(2, 2, 2), (4, 3, 2), (3, 5, 4), (10, 2, 3)])
@pytest.mark.parametrize("seed", range(5))
def test_three_levels_against_the_textbook(shape, seed):
    random = np.random.default_rng(seed)
    S, m, r = shape
    values = (
        1.49 + 3e-4 * random.standard_normal((S, 1, 1)) + 2e-4 * random.standard_normal((S, m, 1)) + 1e-4 * random.standard_normal(shape)
    )
    found = nested_mean(**flat(values.tolist()))
    for name, value in by_textbook(values).items():
        assert getattr(found, name) == pytest.approx(value, rel=1e-8, abs=1e-12), name
    assert (found.level, found.sessions, found.mountings, found.readings) == ("sessions", S, S * m, S * m * r)
    assert (found.dof, found.f_dof) == (S - 1, (S - 1, S * (m - 1)))


@pytest.mark.parametrize("seed", range(5))
def test_two_levels_against_the_textbook(seed):
    """One session: the mountings are the textbook's upper groups."""
    values = np.random.default_rng(seed).normal(1.49, 2e-4, (5, 1)) + np.random.default_rng(seed + 100).normal(0, 1e-4, (5, 3))
    found = nested_mean(values.ravel(), mounting=np.repeat(range(5), 3).tolist())
    ms_reading = np.sum((values - values.mean(axis=1, keepdims=True)) ** 2) / 10
    ms_mounting = 3 * np.sum((values.mean(axis=1) - values.mean()) ** 2) / 4
    assert found.u == pytest.approx((ms_mounting / 15) ** 0.5, rel=1e-9, abs=0.0)
    assert found.s_reading == pytest.approx(ms_reading**0.5, rel=1e-9, abs=0.0)
    assert found.s_mounting == pytest.approx(max(0.0, (ms_mounting - ms_reading) / 3) ** 0.5, rel=1e-8, abs=0.0)
    assert found.f_ratio == pytest.approx(ms_mounting / ms_reading, rel=1e-8, abs=0.0)
    assert (found.level, found.dof, found.f_dof) == ("mountings", 4, (4, 10))
    assert np.isnan(found.s_session)


@given(st.lists(SHOWN, min_size=2, max_size=12))
def test_without_labels_each_reading_is_a_mounting(y):
    plain, labelled = nested_mean(y), nested_mean(y, mounting=list(range(len(y))))
    mean = mean_of(y)
    assert (plain.value, plain.u, plain.dof) == (pytest.approx(mean.value, abs=1e-15), pytest.approx(mean.u, abs=1e-15), mean.dof)
    assert repr(plain) == repr(labelled)  # nan where the readings do not tell
    assert mean.u == pytest.approx(np.std(y, ddof=1) / len(y) ** 0.5, abs=1e-15)


@given(st.lists(SHOWN, min_size=2, max_size=6), st.lists(st.integers(1, 5), min_size=6, max_size=6))
def test_reading_a_mounting_again_changes_nothing(y, times):
    """Every mounting shows the same when it is read again: however often, the mean, u and ν stay."""
    once = nested_mean(y)
    again = nested_mean(np.repeat(y, times[: len(y)]), mounting=np.repeat(range(len(y)), times[: len(y)]).tolist())
    assert (again.value, again.u, again.dof) == (pytest.approx(once.value, abs=1e-15), pytest.approx(once.u, abs=1e-15), once.dof)


@given(st.lists(SHOWN, min_size=2, max_size=6), st.integers(2, 20), st.data())
def test_reads_of_one_mounting_never_make_it_many(y, count, data):
    """New reads of the first mounting, scattered but with its mean, shrink nothing, though the spread of all readings over √N would."""
    scatter = np.array(data.draw(st.lists(st.integers(-5, 5), min_size=count, max_size=count))) * 1e-5
    first = y[0] + scatter - scatter.mean()
    m = nested_mean([*first, *y[1:]], mounting=[0] * count + list(range(1, len(y))))
    assert m.u == pytest.approx(nested_mean(y).u, abs=1e-15)
    assert m.dof == len(y) - 1


@given(designs, st.randoms(use_true_random=False))
def test_the_order_of_the_readings_does_not_matter(design, random):
    rows = flat(design)
    assume(len(design) > 1 or len(design[0]) > 1)
    order = list(range(len(rows["readings"])))
    random.shuffle(order)
    one, other = nested_mean(**rows), nested_mean(**{k: [v[i] for i in order] for k, v in rows.items()})
    for name in ("value", "u", "s_reading", "s_mounting", "s_session"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), abs=1e-9, nan_ok=True), name
    for name in ("dof", "level", "sessions", "mountings", "readings", "f_dof"):
        assert getattr(one, name) == getattr(other, name), name


@given(designs, st.floats(-0.1, 0.1), st.floats(0.1, 10.0))
def test_an_offset_moves_the_mean_alone_and_a_scale_scales(design, offset, scale):
    rows = flat(design)
    assume(len(design) > 1 or len(design[0]) > 1)
    one, other = nested_mean(**rows), nested_mean(**{**rows, "readings": [scale * y + offset for y in rows["readings"]]})
    assert other.value == pytest.approx(scale * one.value + offset, abs=1e-13)
    for name in ("u", "s_reading", "s_mounting", "s_session"):
        assert getattr(other, name) == pytest.approx(scale * getattr(one, name), abs=1e-9, nan_ok=True), name


@given(designs)
def test_the_mean_is_of_means_level_by_level(design):
    rows = flat(design)
    assume(len(design) > 1 or len(design[0]) > 1)
    by_session = [np.mean([np.mean(mount) for mount in mounts]) for mounts in design]
    m = nested_mean(**rows)
    assert m.value == pytest.approx(np.mean(by_session), abs=1e-13)
    top = by_session if len(design) > 1 else [np.mean(mount) for mount in design[0]]
    assert m.u == pytest.approx(np.std(top, ddof=1) / len(top) ** 0.5, abs=1e-13)


@given(designs, SHOWN)
def test_identical_readings_have_exactly_no_spread(design, y):
    assume(len(design) > 1 or len(design[0]) > 1)
    rows = flat([[[y] * len(mount) for mount in mounts] for mounts in design])
    m = nested_mean(**rows)
    assert (m.value, m.u) == (y, 0.0)
    assert {x for x in (m.s_reading, m.s_mounting, m.s_session) if not np.isnan(x)} <= {0.0}
    assert np.isnan(m.f_ratio)


# sessions, mountings in each, readings of each; standard deviations of sessions, mountings and readings
COVERED = {
    "mountings read unevenly": ([[1, 5, 2, 3, 1, 4]], (0.0, 3e-4, 1e-4)),
    "sessions of two mountings": ([[2, 2]] * 4, (2e-4, 2e-4, 1e-4)),
}


@pytest.mark.parametrize("design", COVERED)
def test_the_interval_covers_what_it_says(design):
    """5,000 designs: the 95 % interval of t holds the true value in 94–96 % (three standard errors of such a count are 0.9 %)."""
    sessions, (s_session, s_mounting, s_reading) = COVERED[design]
    labels = [(s, m) for s, mounts in enumerate(sessions) for m, r in enumerate(mounts) for _ in range(r)]
    session, mounting = [a for a, _ in labels], [b for _, b in labels]
    reads = [len(list(g)) for _, g in groupby(labels)]
    of_session = [a for (a, _), _ in groupby(labels)]
    random = np.random.default_rng(7)
    inside = 0
    for _ in range(5000):
        mounts = s_session * random.standard_normal(len(sessions))[of_session] + s_mounting * random.standard_normal(len(reads))
        m = nested_mean(1.49 + np.repeat(mounts, reads) + s_reading * random.standard_normal(len(labels)), mounting, session)
        inside += abs(m.value - 1.49) <= K[m.dof] * m.u
    assert 0.94 <= inside / 5000 <= 0.96


K = {float(dof): float(t.ppf(0.975, dof)) for dof in range(1, 20)}


@pytest.mark.parametrize(
    ("readings", "more", "told"),
    [
        ([1.49], {}, "one reading has no spread"),
        ([], {}, "there are no readings, and so no mean and no spread"),
        ([[1.49, 1.4901], [1.4902, 1.49]], {}, "readings of shape \\(2, 2\\)"),
        ([1.49, 1.4901], {"mounting": [1, 1]}, "all 2 readings are of one mounting"),
        ([1.49, 1.4901], {"mounting": [1]}, "mounting names 1 reading, n holds 2"),
        ([1.49, 1.4901], {"session": ["a", "b", "c"]}, "session names 3 readings, n holds 2"),
        ([1.49, np.nan], {}, "reading 2 = nan is not a finite number: leave it out"),
        (["1,49", 1.4901], {}, "must be a list of numbers, decimals with a point"),
        ([1.49, np.inf], {"session": [1, 2]}, "not a finite number"),
    ],
)
def test_what_has_no_spread_says_why(readings, more, told):
    with pytest.raises(InputError, match=told):
        nested_mean(readings, **more)


@pytest.mark.parametrize(
    ("readings", "told"), [([1.49], "one reading has no spread"), ([], "there are no readings"), ([1.49, np.nan], "not a finite number")]
)
def test_a_mean_of_one_or_of_no_number_is_refused(readings, told):
    with pytest.raises(InputError, match=told):
        mean_of(readings)


def test_sessions_of_one_mounting_each_are_judged_by_the_readings():
    """Three sessions of one mounting with three readings: F has 3 − 1 and 9 − 3 degrees of freedom. Means 0, 1, 2, of variance 1, thrice; within them
    the variance is 1: F = 3.
    """
    found = nested_mean([s + x for s in (0.0, 1.0, 2.0) for x in (-1.0, 0.0, 1.0)], mounting=[s for s in "abc" for _ in range(3)],
                        session=[s for s in "xyz" for _ in range(3)])  # fmt: skip
    assert found.f_ratio == pytest.approx(3.0)
    assert found.f_dof == (2.0, 6.0)


def test_sessions_of_unlike_size_share_what_a_session_holds_in_the_mean():
    """Three and four readings, a mounting a session: (MS_session − MS_reading)/3.5 is the variance of sessions."""
    a, b = np.array([0.0, 1.0, 2.0]), np.array([5.0, 6.0, 7.0, 8.0])
    ms_reading = (np.sum((a - a.mean()) ** 2) + np.sum((b - b.mean()) ** 2)) / 5
    grand = np.concatenate([a, b]).mean()
    ms_session = 3 * (a.mean() - grand) ** 2 + 4 * (b.mean() - grand) ** 2
    found = nested_mean([*a, *b], mounting=["m"] * 3 + ["n"] * 4, session=["x"] * 3 + ["y"] * 4)
    assert found.s_session == pytest.approx(((ms_session - ms_reading) / 3.5) ** 0.5, rel=1e-12, abs=0.0)


def test_mountings_read_once_scatter_with_their_readings():
    """Without re-reads the spread of the mountings is all there is: that of numpy."""
    y = [1.4901, 1.4904, 1.4906]
    found = nested_mean(y)
    assert found.s_mounting == pytest.approx(np.std(y, ddof=1), rel=1e-9, abs=0.0)
    assert np.isnan([found.s_reading, found.s_session, found.f_ratio]).all()
