"""Trials: exact laws, the same bits on any number of workers, adaptive stopping; metrolopy 1.1 beside them."""

import math
import os
import threading
from itertools import count

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.uncertainty import Input, propagate, run_trials, sobol_indices
from lenscalc.uncertainty.blocks import before_blocks, cores, generator, in_order
from lenscalc.uncertainty.worked_examples import comparison_loss, logarithm, mass_calibration, sum_of_four

Z = 1.959963984540054


def run(example, **more):
    return run_trials(example.model, example.inputs, example.correlation, **more)


def digits_of(r):
    """Every digit; as text, since nan is not equal to itself."""
    return repr((r.mean, r.u, *r.interval, *r.shortest_interval, r.trials, *r.noise.values()))


# --- exact laws -----------------------------------------------------------------------------------------------------------------------


def test_sum_of_four_rectangular():
    """2√3(2 − (3/5)^¼) = 3.8794 (JCGM 101:2008, 9.2.3, closed form in reference_cases/guides_trials.toml)."""
    r = run(sum_of_four("rectangular"), trials=4_000_000)
    exact = 2.0 * 3.0**0.5 * (2.0 - 0.6**0.25)
    assert r.interval == pytest.approx((-exact, exact), abs=1.5 * r.noise["upper"])
    assert (r.mean, r.u) == (pytest.approx(0.0, abs=1.5 * r.noise["mean"]), pytest.approx(2.0, abs=1.5 * r.noise["u"]))


@settings(max_examples=10)
@given(st.floats(-0.95, 0.95), st.floats(0.1, 3.0), st.sampled_from([0.5, 0.95, 0.99]), st.integers(0, 10**6))
def test_a_linear_model_with_correlated_normals_is_normal(r, scale, p, seed):
    inputs = {"a": Input(1.0, 0.3 * scale), "b": Input(2.0, 0.4 * scale)}
    found = run_trials(lambda a, b: a - 2.0 * b, inputs, {("a", "b"): r}, trials=200_000, seed=seed, probability=p)
    linear = propagate(lambda a, b: a - 2.0 * b, inputs, {("a", "b"): r})
    n = found.noise  # 2s of a batch of 20 averages: 2.5 of them is more than four standard deviations
    assert found.mean == pytest.approx(-3.0, abs=2.5 * n["mean"])
    assert found.u == pytest.approx(linear.u, abs=2.5 * n["u"])
    assert found.interval == pytest.approx(linear.interval(p), abs=2.5 * max(n["lower"], n["upper"]))


@pytest.mark.parametrize("mean", [0.0, 0.5, 2.0])
def test_a_square_follows_the_noncentral_chi_square_law(mean):
    from scipy.stats import ncx2

    r = run_trials(lambda x: x * x, {"x": Input(mean, 1.0)}, trials=2_000_000)
    law = ncx2(1, max(mean * mean, 1e-12))
    for place in (0.01, 0.025, 0.3, 0.5, 0.9, 0.975, 0.999):
        wanted = float(law.ppf(place))
        s = math.sqrt(place * (1 - place) / r.trials) / float(law.pdf(wanted))
        assert r.histogram.quantile(place) == pytest.approx(wanted, abs=5.0 * s + 1e-9), place
    assert r.u**2 == pytest.approx(2.0 + 4.0 * mean * mean, rel=0.01, abs=0.0)


def test_the_shortest_interval_of_an_exponential_starts_at_0():
    """X1² + X2² at 0 is exponential: shortest 0 to 2u²·ln 20, symmetric −2u²·ln 0.975 to −2u²·ln 0.025."""
    r = run(comparison_loss(0.0), trials=1_000_000)
    assert r.shortest_interval == pytest.approx((0.0, 50.0 * math.log(20.0)), abs=0.7)
    assert r.interval == pytest.approx((-50.0 * math.log(0.975), -50.0 * math.log(0.025)), abs=1.0)
    assert r.shortest_interval[1] - r.shortest_interval[0] < r.interval[1] - r.interval[0]


@pytest.mark.parametrize("x", [0.010, 0.050])
def test_both_intervals_of_the_comparison_loss(x):
    """X1² + X2² is a noncentral chi-square law of two degrees of freedom; the ends of its shortest interval from scipy."""
    from scipy.optimize import minimize_scalar
    from scipy.stats import ncx2

    r = run(comparison_loss(x), trials=2_000_000)
    law = ncx2(2, (x / 0.005) ** 2, scale=25.0)
    lowest = minimize_scalar(lambda q: law.ppf(q + 0.95) - law.ppf(q), bounds=(1e-9, 0.05 - 1e-9), method="bounded", options={"xatol": 1e-10}).x
    lower, upper = law.ppf(lowest), law.ppf(lowest + 0.95)
    assert r.interval == pytest.approx((law.ppf(0.025), law.ppf(0.975)), abs=2.0 * r.noise["upper"])
    # how long it is, is known better than where it lies
    assert r.shortest_interval[1] - r.shortest_interval[0] == pytest.approx(upper - lower, abs=2.0 * r.noise["upper"])
    assert r.shortest_interval[0] == pytest.approx(lower, abs=0.04 * r.u)


def test_few_readings_are_drawn_as_t():
    r = run_trials(lambda a: a, {"a": Input(0.0, 1.0, "t", 4.0)}, trials=1_000_000)
    assert r.interval[1] == pytest.approx(2.776, abs=0.02)  # t of 4 degrees of freedom at 95 % (JCGM 100:2008, table G.2: 2.78)
    assert r.u == pytest.approx(2.0**0.5, abs=0.02)


def test_a_law_with_long_tails_keeps_its_ends():
    r = run_trials(lambda a, b: a / b, {"a": Input(0.0, 1.0), "b": Input(0.0, 1.0)}, trials=500_000)  # Cauchy: neither mean nor u
    assert r.interval == pytest.approx((-12.706, 12.706), rel=0.03, abs=0.0)  # tan(0.475π)


def test_two_spikes_and_a_constant():
    r = run_trials(lambda a: np.sign(a), {"a": Input(0.0, 1.0)}, trials=100_000)
    assert r.interval == pytest.approx((-1.0, 1.0), abs=1e-4)
    same = run_trials(lambda a: 0.0 * a + 7.0, {"a": Input(0.0, 1.0)}, trials=20_000)
    assert (same.mean, same.u, same.interval, same.shortest_interval) == (7.0, 0.0, (7.0, 7.0), (7.0, 7.0))
    assert same.resolution < 1e-9  # nothing is there to resolve
    exact = run_trials(lambda a: 2.0 * a, {"a": Input(1.5, 0.0)}, trials=20_000)
    assert (exact.mean, exact.u, exact.interval) == (3.0, 0.0, (3.0, 3.0))


@pytest.mark.parametrize("scale", [1e-100, 1.0, 1e100])
def test_most_values_the_same(scale):
    # above 1.2816 lie 10 %: nine in ten are exactly 0
    r = run_trials(lambda a: scale * np.maximum(a - 1.2816, 0.0), {"a": Input(0.0, 1.0)}, trials=400_000)
    assert r.interval == pytest.approx((0.0, scale * (Z - 1.2816)), abs=0.01 * scale)
    assert r.histogram.counts.sum() == 400_000
    nothing = run_trials(lambda a: 0.0 * a, {"a": Input(0.0, 1.0)}, trials=20_000)
    assert (nothing.mean, nothing.u, nothing.interval, nothing.shortest_interval) == (0.0, 0.0, (0.0, 0.0), (0.0, 0.0))


@settings(max_examples=20)
@given(st.floats(-5.0, 5.0), st.floats(0.01, 10.0))
def test_a_scaled_and_shifted_model_has_the_scaled_and_shifted_result(shift, scale):
    inputs = {"a": Input(0.3, 0.2, "triangular"), "b": Input(1.0, 0.1)}
    plain = run_trials(lambda a, b: a * b, inputs, trials=20_000, workers=1)
    moved = run_trials(lambda a, b: shift + scale * (a * b), inputs, trials=20_000, workers=1)
    wanted = [shift + scale * x for x in (plain.mean, *plain.interval, *plain.shortest_interval)]
    assert [moved.mean, *moved.interval, *moved.shortest_interval] == pytest.approx(wanted, rel=1e-6, abs=1e-3 * scale * plain.u)
    assert moved.u == pytest.approx(scale * plain.u, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("kind", "dof"), [("normal", math.inf), ("rectangular", math.inf), ("arcsine", math.inf), ("t", 6.0)])
def test_against_metrolopy(kind, dof):
    uc = pytest.importorskip("metrolopy")
    inputs = {"a": Input(3.0, 0.3, kind, dof), "b": Input(2.0, 0.1)}
    mine = run_trials(lambda a, b: a * b * b, inputs, trials=1_000_000)
    a = {
        "normal": lambda: uc.gummy(3.0, 0.3),
        "rectangular": lambda: uc.gummy(uc.UniformDist(center=3.0, half_width=0.3 * 3**0.5)),
        "arcsine": lambda: uc.gummy(uc.ArcSinDist(center=3.0, half_width=0.3 * 2**0.5)),
        "t": lambda: uc.gummy(uc.TDist(3.0, 0.3, 6.0)),
    }[kind]()
    y = a * uc.gummy(2.0, 0.1) ** 2
    uc.Distribution.set_seed(1)
    y.p, y.cimethod = 0.95, "symmetric"
    uc.gummy.simulate([y], n=1_000_000)
    n = mine.noise  # theirs is as large
    assert mine.mean == pytest.approx(y.xsim, abs=3.0 * n["mean"])
    assert mine.u == pytest.approx(y.usim, abs=3.0 * n["u"])
    assert mine.interval == pytest.approx(tuple(y.cisim), abs=3.0 * max(n["lower"], n["upper"]))


# --- repeatable -----------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trials", [10_000, 123_457, 800_000])
def test_the_same_bits_on_any_number_of_workers(trials):
    results = [run(mass_calibration(), trials=trials, workers=w, seed=5) for w in (1, 2, 4)]
    assert digits_of(results[0]) == digits_of(results[1]) == digits_of(results[2])
    assert results[0].trials == trials


def test_the_same_bits_of_an_adaptive_run():
    results = [run(sum_of_four("rectangular"), workers=w) for w in (1, 2, 4)]
    assert digits_of(results[0]) == digits_of(results[1]) == digits_of(results[2])


def test_another_seed_gives_another_result():
    one, other = (run(mass_calibration(), trials=20_000, seed=s) for s in (1, 2))
    assert one.mean != other.mean


def test_a_thread_has_a_block_each_and_one_more_waits():
    taken = count()
    stream = in_order(lambda block, size: size, (next(taken) for _ in range(50)), 2)
    next(stream)
    assert next(taken) == 4  # the one handed back, two at work, one waiting
    stream.close()


def test_blocks_come_back_in_order_and_few_are_under_way():
    started = []

    def task(block, size):
        started.append(block)
        return block * size

    stream = in_order(task, iter([1] * 50), 2)
    assert [next(stream) for _ in range(3)] == [0, 1, 2]
    assert len(started) <= 3 + 4
    stream.close()
    assert len(started) < 50


# --- how long, how sure ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("digits", [1, 2])
def test_an_adaptive_run_ends_when_the_noise_lies_within_the_tolerance(digits):
    r = run(mass_calibration(), digits=digits)
    assert r.settled
    assert max(r.noise.values()) <= r.tolerance == {1: 0.005, 2: 0.0005}[digits]
    assert (r.mean, r.u) == (pytest.approx(1.234, abs=2.0 * r.tolerance), pytest.approx(0.07548, abs=2.0 * r.tolerance))


def test_the_noise_is_what_it_says():
    """Over 40 seeds the results scatter as the runs say themselves."""
    runs = [run(sum_of_four("rectangular"), trials=160_000, seed=s) for s in range(40)]
    for name, of in (("mean", lambda r: r.mean), ("u", lambda r: r.u), ("lower", lambda r: r.interval[0]), ("upper", lambda r: r.interval[1])):
        seen = np.std([of(r) for r in runs], ddof=1)
        said = 0.5 * np.mean([r.noise[name] for r in runs])
        assert 0.65 < seen / said < 1.45, name  # chi of 39 degrees of freedom: beyond this once in 10⁴


def test_the_linear_result_is_validated_or_not():
    """JCGM 101:2008, 9.2.2 (normal: valid), 9.2.4 (one wide rectangular: not), and y = ln x (not)."""
    good = run(sum_of_four(), validate=True, digits=1)
    assert good.validated is True
    assert good.against(good.linear).enough
    assert run(sum_of_four("rectangular", 10.0), validate=True, digits=1).validated is True  # to one digit: 10 ± 5
    assert run(sum_of_four("rectangular", 10.0), validate=True).validated is False  # 19.9 against 17.0, δ = 0.5
    assert run(logarithm(), validate=True, digits=1).validated is False
    assert run(logarithm(), trials=10_000).validated is None


def test_a_model_that_the_linear_law_cannot_take_still_runs():
    r = run_trials(lambda a: np.abs(a), {"a": Input(0.0, 1.0)}, trials=100_000)
    assert r.mean == pytest.approx((2.0 / math.pi) ** 0.5, abs=0.01)  # half-normal
    with pytest.raises(InputError, match="complex step"):
        run_trials(lambda a: np.abs(a), {"a": Input(1.0, 0.1)}, trials=100_000, validate=True)


def test_what_is_left_over_from_whole_blocks_says_nothing_of_the_noise():
    """25,000 trials are two blocks of 10,000, whose averages are compared, and a half; 19,999 are one."""
    assert run(mass_calibration(), trials=25_000).noise == run(mass_calibration(), trials=20_000).noise
    assert all(math.isnan(x) for x in run(mass_calibration(), trials=19_999).noise.values())


def test_one_trial_may_be_left_over_from_whole_blocks():
    found = run(mass_calibration(), trials=10_001)
    assert (found.trials, found.histogram.counts.sum()) == (10_001, 10_001)


def test_without_a_seed_it_is_1():
    example = mass_calibration()
    assert digits_of(run(example, trials=10_000)) == digits_of(run(example, trials=10_000, seed=1))
    indices = [sobol_indices(example.model, example.inputs, 32_000, **seed) for seed in ({}, {"seed": 1})]
    assert indices[0].first == indices[1].first


def test_a_single_worker_is_the_thread_that_asks():
    assert set(in_order(lambda block, size: threading.get_ident(), [1, 1, 1], 1)) == {threading.get_ident()}
    assert threading.get_ident() not in set(in_order(lambda block, size: threading.get_ident(), [1, 1, 1], 2))


def test_the_first_look_has_numbers_that_no_block_has():
    first = before_blocks(1).random()
    assert first not in [generator(1, block).random() for block in range(1000)]


def test_the_cores_are_those_of_this_process(monkeypatch):
    monkeypatch.setattr(os, "sched_getaffinity", {0: {1, 2, 5}}.__getitem__, raising=False)
    assert cores(None) == 3


@pytest.mark.parametrize("cores_told", [None, 4])
def test_where_a_system_does_not_say_which_cores_there_are(monkeypatch, cores_told):
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(os, "cpu_count", lambda: cores_told)
    assert cores(None) == (cores_told or 1)


def test_nothing_at_all_is_counted_too():
    nothing = run_trials(lambda a: 0.0 * a, {"a": Input(0.0, 1.0)}, trials=10_000)
    assert (nothing.mean, nothing.u, nothing.interval, nothing.shortest_interval) == (0.0, 0.0, (0.0, 0.0), (0.0, 0.0))
