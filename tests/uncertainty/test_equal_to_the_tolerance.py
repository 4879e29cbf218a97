"""Where a number meets the bound that it is held against, and what is said of runs that do not end by themselves."""

from types import SimpleNamespace

import numpy as np
import pytest

from lenscalc.uncertainty import Input, run_trials, sobol_indices
from lenscalc.uncertainty import random_trials as module_of_trials
from lenscalc.uncertainty import sobol as module_of_sobol
from lenscalc.uncertainty.histogram import Histogram
from lenscalc.uncertainty.kept_trials import KeptBlocks, Trials
from lenscalc.uncertainty.worked_examples import sum_of_four


def kept_with(u, noise):
    """Five trials in two blocks, this u and this noise of all four: s² = Σd²/(M − 1), 2s = 2·√(Σd²/(h(h − 1))) (JCGM 101, 7.6, 7.9.4, memory)."""
    kept = KeptBlocks(Histogram(0.0, 1.0), (-1.0, 1.0), 10, 0.95)
    kept.trials, kept.squares, kept.blocks, kept.about = 5, 4.0 * u * u, 2, np.full(4, 2.0 * (noise / 2.0) ** 2)
    return kept


@pytest.mark.parametrize(("noise", "settled"), [(0.25, True), (0.5, True), (0.75, False)])
def test_a_run_has_settled_when_its_noise_is_no_larger_than_the_tolerance(noise, settled):
    """u = 3 to one digit has δ = 0.5; more is run when twice the standard deviation is larger than δ (JCGM 101:2008, 7.9.4 h, from memory)."""
    assert kept_with(3.0, noise).settled(1, 1.0) is settled
    assert kept_with(3.0, noise / 4.0).settled(1, 0.25) is settled  # a quarter of δ


def test_a_run_whose_tolerance_is_nothing_is_told_to_go_on_to_its_end():
    assert kept_with(0.0, 0.5).estimate(10**6, None, 2, 1.0) == 10**6


@pytest.mark.parametrize(("lower", "upper", "valid"), [(1.0, 3.0, True), (1.5, 3.0, True), (1.0, 3.5, True), (1.75, 3.0, False), (1.0, 3.75, False)])
def test_the_linear_interval_is_valid_when_both_ends_are_no_further_off_than_the_tolerance(lower, upper, valid):
    """d_low and d_high no larger than δ (JCGM 101:2008, 8.1.3, from memory)."""
    of = SimpleNamespace(interval=(1.0, 3.0), tolerance=0.5, probability=0.95, noise={"lower": 0.0, "upper": 0.0})
    found = Trials.against(of, SimpleNamespace(interval=lambda probability: (lower, upper)))
    assert found.validated is valid


def test_a_run_that_does_not_settle_says_from_the_start_where_it_will_end():
    """At most 2·10⁸ trials, as the function's own text says: a cube of a long-tailed error is nowhere near three digits."""
    told = []
    cube = {"x": Input(0.0, 1.0, "t", 2.5)}
    run_trials(lambda x: x * x * x, cube, digits=3, workers=1, on_progress=lambda done, total: told.append(total) or False)
    assert told == [200_000_000]


@pytest.mark.parametrize("variance", [1.0, 4.0])
def test_the_u_of_an_index_is_that_of_a_mean_of_32(monkeypatch, variance):
    """s/√n, s over n − 1 (JCGM 100:2008, 4.2.2, 4.2.3, memory): of sixteen batches with index 0 and sixteen with 1, s² = 8/31 and u = √(1/124)."""
    batches = [np.array([[i % 2, 0.5], [1.0, 1.0]]) * variance for i in range(32)]
    monkeypatch.setattr(module_of_sobol, "in_order", lambda *given: iter(batches))
    found = sobol_indices(lambda x: x, {"x": Input(0.0, 1.0)})
    assert (found.first["x"], found.total["x"], found.variance) == (0.5, 0.5, variance)
    assert found.u_first["x"] == pytest.approx(124.0**-0.5, rel=1e-12, abs=0.0)
    assert found.u_total["x"] == 0.0


def test_the_sum_of_four_is_their_sum():
    """Y = X1 + X2 + X3 + X4 (JCGM 101:2008, 9.2.1, from memory)."""
    assert sum_of_four().model(1.0, 20.0, 300.0, 4000.0) == 4321.0


def test_the_ends_of_a_block_are_looked_for_among_its_outer_values(monkeypatch):
    """Of a normal law with u = 2 about 100, one value in twenty lies more than 1.645·2 above the middle, and one more than that below."""
    cuts, whole = [], module_of_trials.KeptBlocks
    monkeypatch.setattr(module_of_trials, "KeptBlocks", lambda histogram, cut, *more: (cuts.append(cut), whole(histogram, cut, *more))[1])
    run_trials(lambda x: x, {"x": Input(100.0, 2.0)}, trials=10_000)
    assert cuts[0] == pytest.approx((-3.29, 3.29), abs=0.25)


@pytest.mark.parametrize(("noise", "enough"), [((0.1, 0.05), True), ((0.0, 0.1), True), ((0.11, 0.0), False), ((0.0, 0.11), False)])
def test_a_validation_is_enough_when_both_ends_have_settled_to_a_fifth_of_the_tolerance(noise, enough):
    """δ = 0.5, δ/5 = 0.1 (JCGM 101:2008, 8.2, from memory)."""
    of = SimpleNamespace(interval=(1.0, 3.0), tolerance=0.5, probability=0.95, noise=dict(zip(("lower", "upper"), noise, strict=True)))
    assert Trials.against(of, SimpleNamespace(interval=lambda probability: (1.0, 3.0))).enough is enough


@pytest.mark.parametrize(("probability", "ends"), [(0.6, (2.0, 8.0)), (0.5, (3.0, 8.0)), (0.55, (2.0, 8.0))])
def test_the_ends_of_a_block_by_place(probability, ends):
    """q = pM, or the whole part of pM + ½; from the r-th to the (r + q)-th, r = (M − q)/2 or the whole part of (M − q + 1)/2 (JCGM 101:2008, 7.7.2,
    from memory): of M = 10 at 60 % q = 6 and r = 2, at 50 % q = 5 and r = 3, at 55 % q = 6. Σ(y − 5.5)² = 82.5."""
    kept = KeptBlocks(Histogram(0.0, 1.0), (-1.0, 1.0), 10, probability)
    ten = np.array([3.0, 10.0, 1.0, 7.0, 5.0, 2.0, 9.0, 4.0, 8.0, 6.0])
    assert kept.row(ten) == (10.0, 5.5, 82.5, *ends)
