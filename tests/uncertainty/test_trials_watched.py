"""Trials that are watched, cancelled, counted in a histogram at constant memory, or refused."""

import math
import tracemalloc
from itertools import count

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.uncertainty import Estimate, Input, Source, interval_by_trials, run_trials
from lenscalc.uncertainty.histogram import Histogram
from lenscalc.uncertainty.kept_trials import KeptBlocks, Task
from lenscalc.uncertainty.random_trials import values_of
from lenscalc.uncertainty.worked_examples import mass_calibration, sum_of_four


def run(example, **more):
    return run_trials(example.model, example.inputs, example.correlation, **more)


def digits_of(r):
    """Every digit; as text, since nan is not equal to itself."""
    return repr((r.mean, r.u, *r.interval, *r.shortest_interval, r.trials, *r.noise.values()))


def test_progress_counts_up_to_the_whole():
    seen = []
    run(sum_of_four(), trials=200_000, on_progress=lambda done, total: seen.append((done, total)))
    assert seen == [(80_000, 200_000), (160_000, 200_000), (200_000, 200_000)]
    assert not run(sum_of_four(), trials=160_000, on_progress=lambda done, total: 0).stopped  # of all answers False alone ends it
    seen.clear()
    r = run(sum_of_four("rectangular"), on_progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (r.trials, r.trials)
    assert all(done <= total for done, total in seen)


def stops(error):
    def on_progress(done, total):
        if done >= 160_000:
            if error is None:
                return False
            raise error
        return None

    return on_progress


@pytest.mark.parametrize(
    ("error", "reason"), [(None, "gave False"), (RuntimeError("window closed"), "RuntimeError: window closed"), (KeyboardInterrupt(), "interrupted")]
)
@pytest.mark.parametrize("workers", [1, 2])
def test_a_cancelled_run_keeps_what_has_been_run(error, reason, workers):
    r = run(mass_calibration(), trials=10**9, workers=workers, on_progress=stops(error))
    assert r.stopped
    assert reason in r.stop_reason
    whole = run(mass_calibration(), trials=160_000)
    assert not whole.stopped
    assert digits_of(r) == digits_of(whole)
    assert "stopped" in str(r)
    assert "stopped" not in str(whole)


@pytest.mark.parametrize("workers", [1, 2])
def test_an_error_of_the_model_is_not_swallowed(workers):
    def model(a):
        raise RuntimeError("no such lens")

    with pytest.raises(RuntimeError, match="no such lens"):
        run_trials(model, {"a": Input(0.0, 1.0)}, trials=200_000, workers=workers, on_progress=lambda done, total: None)


def test_memory_does_not_grow_with_the_trials():
    """Of two threads both may be at their most at once, or by chance never: they are measured by one alone."""

    def peak(trials, workers):
        tracemalloc.start()
        run(sum_of_four("rectangular"), trials=trials, workers=workers)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    peak(80_000, 2)
    alone = peak(1_600_000, 1)
    assert peak(6_400_000, 1) < 1.3 * alone
    assert peak(6_400_000, 2) < 2.0 * 1.3 * alone


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=50), st.floats(-10.0, 10.0), st.floats(0.1, 10.0), st.floats(0.01, 0.99))
def test_a_quantile_lies_within_its_bin(values, middle, scale, place):
    y = np.array(values)
    h = Histogram(middle, scale)
    h.add(np.bincount(h.bins(y - middle), minlength=h.counts.size), y.min(), y.max())
    assert h.counts.sum() == y.size
    ordered = np.sort(y)
    exact = ordered[min(math.ceil(place * y.size - 1e-9), y.size) - 1]
    assert h.quantile(place) == pytest.approx(exact, abs=2.1 * h.width_at(exact) + 1e-9)
    assert y.min() <= h.quantile(place) <= y.max()


def test_the_ends_from_the_histogram_are_those_of_the_values_themselves():
    kept = []

    def model(a, b):
        y = a * b + np.sin(a)
        kept.append(y)
        return y

    r = run_trials(model, {"a": Input(1.0, 0.5), "b": Input(0.0, 1.0, "rectangular")}, trials=400_000, workers=1)
    y = np.concatenate(kept[1:])  # the first sets the histogram's middle
    assert r.interval == pytest.approx(tuple(np.quantile(y, [0.025, 0.975])), abs=r.resolution)
    assert (r.mean, r.u) == pytest.approx((y.mean(), y.std(ddof=1)), rel=1e-12, abs=0.0)
    ordered = np.sort(y)
    count = int(0.95 * y.size)
    widths = ordered[count:] - ordered[:-count]
    assert r.shortest_interval[1] - r.shortest_interval[0] == pytest.approx(widths.min(), abs=4.0 * r.resolution)


@example([1, 2, 2, 3], 2.0, 2.0)  # values that are the cuts themselves
@given(st.lists(st.integers(-20, 20), min_size=1, max_size=60), st.floats(-25.0, 25.0), st.floats(-25.0, 25.0))
def test_a_place_is_found_with_any_cuts(values, below, above):
    d = np.array(values, dtype=float)
    kept = KeptBlocks(Histogram(0.0, 1.0), (below, above), d.size, 0.95)
    assert [kept._from_below(d, place) for place in range(1, d.size + 1)] == sorted(values)
    assert [kept._from_above(d, higher) for higher in range(d.size)] == sorted(values, reverse=True)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"trials": 100}, "must be a whole number, 10000 or more; fewer leave the ends"),
        ({"trials": 9999}, "must be a whole number, 10000 or more; fewer leave the ends"),
        ({"trials": 20_000.5}, "whole number"),
        ({"probability": 95}, r"0\.95, not 95"),
        ({"probability": 0.0}, "probability = 0: must lie above 0"),
        ({"probability": -0.5}, "probability = -0.5: must lie above 0"),
        ({"digits": 0}, "digits = 0"),
        ({"digits": 4}, "digits = 4"),
        ({"workers": 0}, "workers = 0"),
        ({"workers": 1.5}, "workers = 1.5"),
        ({"workers": math.inf}, "workers = inf"),
        ({"workers": math.nan}, "workers = nan"),
        ({"seed": -1}, "seed = -1"),
        ({"seed": 1.5}, "seed = 1.5"),
        ({"seed": math.inf}, "seed = inf"),
        ({"seed": math.nan}, "seed = nan"),
    ],
)
def test_what_cannot_be_is_refused(more, message):
    with pytest.raises(InputError, match=message):
        run_trials(lambda a: a, {"a": Input(0.0, 1.0)}, **more)


@pytest.mark.parametrize(
    ("model", "inputs", "message"),
    [
        (lambda a: np.log(a), {"a": Input(1.0, 1.0)}, r"no finite number in \d+ of 10000 trials, the first at a = -"),
        (lambda a: a[:3], {"a": Input(1.0, 1.0)}, "one real number a trial"),
        (lambda a: a * 1j, {"a": Input(1.0, 1.0)}, "one real number a trial"),
        (lambda a: "many", {"a": Input(1.0, 1.0)}, "one real number a trial"),
        (lambda a: a, {"a": Input(1.0, 1.0, "t", 2.0)}, "no standard deviation"),
        (lambda a: a, {"a": Input(1.0, -1.0)}, "u of a"),
        (lambda a: a, {}, "no inputs"),
    ],
)
def test_models_and_inputs_that_cannot_be_are_refused(model, inputs, message):
    with pytest.raises(InputError, match=message):
        run_trials(model, inputs, trials=20_000)


def test_of_trials_without_a_number_the_first_is_told():
    with pytest.raises(InputError, match=r"^the model gives no finite number in 2 of 4 trials, the first at a = -1, b = 6$"):
        values_of(lambda a, b: np.log(a) + b, {"a": np.array([1.0, -1.0, 2.0, -3.0]), "b": np.array([5.0, 6.0, 7.0, 8.0])}, 4)


@pytest.mark.parametrize("kind", ["normal", "rectangular", "triangular", "arcsine"])
def test_the_interval_of_an_estimate_is_that_of_the_same_model(kind):
    of_estimate = interval_by_trials(Estimate(1.49, {Source("a", distribution=kind): 3e-4, Source("b", dof=5.0): -1e-4}), trials=400_000)
    same = run_trials(lambda a, b: 1.49 + a - b, {"a": Input(0.0, 3e-4, kind), "b": Input(0.0, 1e-4, dof=5.0)}, trials=400_000)
    assert (of_estimate.lower, of_estimate.upper) == pytest.approx(same.interval, abs=3.0 * max(same.noise["lower"], same.noise["upper"]))
    assert of_estimate.spread == pytest.approx(same.u, rel=0.01, abs=0.0)


@pytest.mark.parametrize("workers", [1, 2])
def test_an_interrupt_before_anything_was_run_goes_on_as_one(workers):
    calls = count()

    def model(x):
        if next(calls) > 0:  # the first of them is the look where the middle lies
            raise KeyboardInterrupt
        return x

    with pytest.raises(KeyboardInterrupt):
        run_trials(model, {"x": Input(0.0, 1.0)}, trials=10**6, workers=workers)


def test_a_block_holds_a_hundred_values_beyond_its_interval():
    """JCGM 101:2008, 7.9.4 b: 100/(1 − p) trials a block, at 99.5 % 20,000; a run that stops by itself stops behind whole ones."""
    r = run_trials(lambda x: x, {"x": Input(0.0, 1.0)}, probability=0.995, digits=1)
    assert r.trials % 20_000 == 0


def test_what_lies_far_off_does_not_coarsen_the_ends():
    """Three values in a thousand lie a million u away: the bins are as wide as the rest of the law asks for, about 1e-4 of its u at the ends."""
    r = run_trials(lambda x, far: x + 1e6 * (far > 2.75), {"x": Input(0.0, 0.5), "far": Input(0.0, 1.0)}, trials=100_000)
    assert r.u > 1e4
    assert r.resolution < 1e-3


def test_two_blocks_whose_means_differ_by_hand():
    """0 and 2, then 10 and 12: mean 6, Σ(y − 6)² = 36 + 16 + 16 + 36 = 104."""
    kept = KeptBlocks(Histogram(0.0, 1.0), (-1.0, 1.0), 2, 0.5)
    none = np.zeros_like(kept.histogram.counts)
    kept.add(Task(np.array([[2.0, 1.0, 2.0, 0.0, 2.0], [2.0, 11.0, 2.0, 10.0, 12.0]]), none, 0.0, 12.0))
    assert (kept.trials, kept.mean, kept.squares) == (4, 6.0, 104.0)
    assert kept.u == pytest.approx((104 / 3) ** 0.5)
    # of two blocks the average of the means scatters by 5, of the lower ends too: 2s = 10; that of their u not at all
    assert kept.noise.tolist() == [10.0, 0.0, 10.0, 10.0]
    # of u = 5.9 two digits end at 0.1, δ = 0.05: 10/0.05 = 200 times nearer takes 200² times the trials
    assert kept.estimate(10**9, None, 2, 1.0) == 4 * 200**2
    assert kept.estimate(1000, None, 2, 1.0) == 1000
    assert kept.estimate(10**9, 500, 2, 1.0) == 500


def test_the_shortest_interval_may_begin_with_the_first_value():
    """Of 0, 0.1, 0.2, 0.3 and 5 four in five lie from 0 to 0.3; all lie below the greatest, be it beyond all bins."""
    y = np.array([0.0, 0.1, 0.2, 0.3, 5.0])
    h = Histogram(0.2, 1.0)
    h.add(np.bincount(h.bins(y - 0.2), minlength=h.counts.size), y.min(), y.max())
    assert h.intervals(0.8)[1] == pytest.approx((0.0, 0.3), abs=1e-4)
    far = np.array([0.0] * 9 + [1e300])
    h = Histogram(0.0, 1.0)
    h.add(np.bincount(h.bins(far), minlength=h.counts.size), far.min(), far.max())
    assert h.quantile(1.0) == 1e300
    assert h.quantile(0.0) == h.quantile(1e-9) == 0.0


def test_nothing_lies_above_the_greatest_value_below_nothing():
    """−1 is the edge of a bin: w = −½."""
    h = Histogram(0.0, 1.0)
    h.add(np.bincount(h.bins(np.full(3, -1.0)), minlength=h.counts.size), -1.0, -1.0)
    assert h.quantile(1.0) == -1.0
    assert h.intervals(0.95) == ((-1.0, -1.0), (-1.0, -1.0))


def test_a_bin_in_the_middle_is_as_wide_as_stated():
    """2/131072 of the scale, 1.5e-5, and nine times that at |z| = 2: 1.4e-4."""
    h = Histogram(0.0, 1.0)
    assert (h.width_at(0.0), h.width_at(2.0)) == pytest.approx((2.0 / 131_072, 18.0 / 131_072), rel=1e-12, abs=0.0)


def test_two_blocks_whose_spreads_differ_by_hand():
    """−1, 1, then −2, 2: u = √2 and √8 (s² over n − 1), which lie √2 apart: 2s of their average is √2, that of the means 0."""
    kept = KeptBlocks(Histogram(0.0, 1.0), (-1.0, 1.0), 2, 0.5)
    kept.add(Task(np.array([[2.0, 0.0, 2.0, -1.0, 1.0], [2.0, 0.0, 8.0, -2.0, 2.0]]), np.zeros_like(kept.histogram.counts), -2.0, 2.0))
    assert kept.noise.tolist() == pytest.approx([0.0, 2.0**0.5, 1.0, 1.0])


def test_a_result_in_words():
    """A constant is all of them; 12 800 trials are told as such."""
    r = run_trials(lambda a: 0.0 * a + 7.0, {"a": Input(0.0, 1.0)}, trials=12_800, probability=0.9)
    assert str(r) == "7.000000, u 0.000000; 90 %: 7.000000 to 7.000000, shortest 7.000000 to 7.000000; 12800 trials"
