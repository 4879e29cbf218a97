"""A million trials of the thick lens with five inputs: mean, u and both intervals, beside metrolopy and beside merely drawing the random numbers.

    python -m pytest tests/benchmarks -o addopts="" --benchmark-sort=name

The three are timed in turn, round by round, so that what else the machine does falls on all of them; the ratios compare the
least of each, since other work can only add.
"""

import time

import numpy as np
import pytest

from lenscalc.uncertainty import Input, run_trials

pytest.importorskip("pytest_benchmark")
TRIALS = 1_000_000
INPUTS = {"R1": Input(15.0, 0.03), "R2": Input(-15.0, 0.03), "t": Input(0.9, 0.02), "n": Input(1.49, 3e-4), "m": Input(1.336, 1e-4)}


def lens_power(R1, R2, t, n, m):
    """Evaluate Gullstrand's equation, D."""
    F1 = 1000.0 * (n - m) / R1
    F2 = 1000.0 * (m - n) / R2
    return F1 + F2 - t / (1000.0 * n) * F1 * F2


def ours():
    r = run_trials(lens_power, INPUTS, trials=TRIALS)
    return r.mean, r.u, *r.interval, *r.shortest_interval


def with_metrolopy():
    uc = pytest.importorskip("metrolopy")
    y = lens_power(*(uc.gummy(x.value, x.u) for x in INPUTS.values()))
    y.p = 0.95
    uc.gummy.simulate([y], n=TRIALS)
    found = [y.xsim, y.usim]
    for y.cimethod in ("symmetric", "shortest"):
        found += y.cisim
    return found


def drawing_only():
    random = np.random.default_rng(1)
    return [random.normal(x.value, x.u, TRIALS) for x in INPUTS.values()]


def test_a_million_trials(benchmark):
    r = benchmark.pedantic(ours, rounds=15, warmup_rounds=2)
    assert r[0] == pytest.approx(20.469666, abs=1e-3)


def test_a_million_trials_with_metrolopy(benchmark):
    benchmark.pedantic(with_metrolopy, rounds=5, warmup_rounds=1)


def test_drawing_the_numbers_only(benchmark):
    benchmark.pedantic(drawing_only, rounds=15, warmup_rounds=2)


def test_ratios():
    ways = (ours, with_metrolopy, drawing_only)
    times = {way: [] for way in ways}
    for _ in range(9):
        for way in ways:
            start = time.perf_counter()
            way()
            times[way].append(time.perf_counter() - start)
    mine, theirs, drawing = (min(times[way]) for way in ways)
    print(f"\nours {mine * 1e3:.0f} ms, metrolopy {theirs * 1e3:.0f} ms, ratio {theirs / mine:.1f}")
    print(f"drawing only {drawing * 1e3:.0f} ms, ratio {mine / drawing:.2f}")
    assert theirs / mine >= 2.0
    assert mine / drawing <= 1.5


def test_both_find_the_same():
    assert ours() == pytest.approx(with_metrolopy(), abs=2e-3)
