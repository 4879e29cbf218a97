"""Intervals by trials against JCGM 101:2008, closed forms and scipy's t; what is allowed is four standard errors of the quantile."""

import numpy as np
import pytest
from scipy.stats import arcsine, norm, t, triang

from lenscalc.errors import InputError
from lenscalc.uncertainty import Estimate, Source, coverage_factor, interval_by_trials

TRIALS = 1_000_000


def allowed(density_at_the_end, probability=0.95, trials=TRIALS):
    """Four standard errors of a sample quantile, √(p(1 − p)/n)/density."""
    p = (1 + probability) / 2
    return 4 * (p * (1 - p) / trials) ** 0.5 / density_at_the_end


def rectangular(*us):
    return Estimate(0.0, {Source(f"x{i}", distribution="rectangular"): u for i, u in enumerate(us)})


def test_four_rectangular_sources():
    """JCGM 101:2008, 9.2.3: ±3.8794, exactly 2√3(2 − (3/5)^¼); the linear law says ±3.92."""
    exact = 2 * 3**0.5 * (2 - 0.6**0.25)
    assert exact == pytest.approx(3.8794, abs=5e-5)
    i = interval_by_trials(rectangular(1.0, 1.0, 1.0, 1.0), trials=TRIALS)
    # Irwin–Hall near its end: the tail P of (2 − |z|/2√3)⁴/24 has the density 4P/(4√3 − |z|)
    density = 4 * 0.025 / (4 * 3**0.5 - exact)
    assert -i.lower == pytest.approx(exact, abs=allowed(density))
    assert i.upper == pytest.approx(exact, abs=allowed(density))
    assert i.spread == pytest.approx(2.0, abs=0.006)
    assert i.upper < 3.92 - 0.02


def test_one_of_them_ten_times_wider():
    """JCGM 101:2008, 9.2.4: ±17.02 (trials of the Supplement), where the linear law says ±19.9."""
    i = interval_by_trials(rectangular(1.0, 1.0, 1.0, 10.0), trials=TRIALS)
    # the density there is the chance, a little over a half, that the other three come to more than 17.02 − 10√3, over the width 20√3
    assert (i.upper - i.lower) / 2 == pytest.approx(17.02, abs=0.005 + allowed(0.55 / (20 * 3**0.5)))
    assert i.spread == pytest.approx(103**0.5, rel=0.003, abs=0.0)


def test_normal_sources_are_drawn_as_one():
    """3 and −4 are 5, to the last bit."""
    two = Estimate(0.0, {Source("a"): 3.0, Source("b", distribution="t"): -4.0})
    assert interval_by_trials(two) == interval_by_trials(Estimate(0.0, {Source("c"): 5.0}))


def test_normal_sources_are_together_one_normal():
    """3, 4 and 12 with their signs are 13; a rectangular line beside them is drawn by itself: spread √(13² + 1)."""
    parts = {Source(f"x{i}", distribution=d): part for i, (d, part) in enumerate([("normal", 3.0), ("normal", -4.0), ("t", 12.0)])}
    i = interval_by_trials(Estimate(0.0, parts), trials=TRIALS)
    assert i.upper == pytest.approx(13.0 * norm.ppf(0.975), abs=13.0 * allowed(norm.pdf(norm.ppf(0.975))))
    beside = Estimate(0.0, parts | {Source("resolution", distribution="rectangular"): 1.0})
    assert interval_by_trials(beside, trials=TRIALS).spread == pytest.approx(170.0**0.5, rel=0.003, abs=0.0)


@pytest.mark.parametrize("dof", [1.0, 2.0, 3.0, 4.0, 9.0, 30.0])
@pytest.mark.parametrize("probability", [0.6827, 0.95])
def test_few_degrees_of_freedom_against_t(dof, probability):
    end = t.ppf((1 + probability) / 2, dof)
    i = interval_by_trials(Estimate(1.49, {Source("replicates", dof=dof, distribution="t"): 1e-4}), probability, trials=TRIALS)
    off = allowed(t.pdf(end, dof), probability) * 1e-4
    assert i.upper - 1.49 == pytest.approx(end * 1e-4, abs=off)
    assert 1.49 - i.lower == pytest.approx(end * 1e-4, abs=off)
    if dof > 4:  # the spread of t is wider than u
        assert i.spread == pytest.approx(1e-4 * (dof / (dof - 2)) ** 0.5, rel=0.01, abs=0.0)


@pytest.mark.parametrize(
    ("distribution", "law"),
    [("normal", norm()), ("triangular", triang(0.5, -(6**0.5), 2 * 6**0.5)), ("arcsine", arcsine(-(2**0.5), 2 * 2**0.5)), ("t", norm())],
)
def test_one_source_has_its_own_distribution(distribution, law):
    i = interval_by_trials(Estimate(5.0, {Source("x", distribution=distribution): -1.0}), 0.9, trials=TRIALS)
    for q, end in ((0.05, i.lower), (0.95, i.upper)):
        assert end - 5.0 == pytest.approx(law.ppf(q), abs=allowed(law.pdf(law.ppf(q)), 0.9))
    assert i.spread == pytest.approx(1.0, rel=0.004, abs=0.0)


def test_many_sources_come_to_the_linear_interval():
    e = Estimate(1.49, {Source(f"x{i}", distribution="rectangular"): 1e-5 * (-1) ** i for i in range(40)})
    i = interval_by_trials(e, trials=TRIALS)
    assert (i.upper - i.lower) / 2 == pytest.approx(coverage_factor(0.95) * e.u, rel=0.005, abs=0.0)


def test_a_case_of_several_and_a_seed():
    a, b = Source("a"), Source("b", distribution="rectangular")
    both = Estimate(np.array([1.4, 1.5]), {a: np.array([1e-4, 0.0]), b: 2e-4})
    alone = [Estimate(1.4, {a: 1e-4, b: 2e-4}), Estimate(1.5, {b: 2e-4})]
    for case in (0, 1):
        assert interval_by_trials(both, case=case) == interval_by_trials(alone[case])
    assert interval_by_trials(both) == interval_by_trials(both, seed=1) == interval_by_trials(both, case=0)
    assert interval_by_trials(both) != interval_by_trials(both, seed=2)


def test_no_source_is_no_interval():
    assert interval_by_trials(Estimate(1.49, {})) == (1.49, 1.49, 0.0)


@pytest.mark.parametrize(
    ("probability", "trials", "told"),
    [
        (-0.5, 1000, "between"),
        (0.0, 1000, "between"),
        (1.0, 1000, "between 0 and 1"),
        (95.0, 1000, "probability = 95"),
        (np.nan, 1000, "between"),
        (0.95, 999, "999"),
    ],
)
def test_bad_input_says_why(probability, trials, told):
    with pytest.raises(InputError, match=told):
        interval_by_trials(rectangular(1.0), probability, trials=trials)


def test_the_seed_is_1_where_none_is_named():
    e = Estimate(1.49, {Source("resolution", distribution="rectangular"): 3e-5})
    assert interval_by_trials(e) == interval_by_trials(e, 0.95, trials=100_000, seed=1)
    assert interval_by_trials(e, trials=1000).spread == pytest.approx(3e-5, rel=0.1, abs=0.0)  # a thousand are enough
    assert interval_by_trials(e) != interval_by_trials(e, seed=2)
    assert interval_by_trials(e) != interval_by_trials(e, seed=0)  # numpy's generator takes any whole number from 0
    with pytest.raises(InputError, match="seed = -1: must be a whole number, 0 or more"):
        interval_by_trials(e, seed=-1)


def test_a_source_without_a_part_takes_no_random_numbers():
    """What adds nothing changes nothing, to the last bit."""
    with_it = Estimate(0.0, {Source("none", distribution="rectangular"): 0.0, Source("a", distribution="rectangular"): 1.0})
    assert interval_by_trials(with_it) == interval_by_trials(Estimate(0.0, {Source("a", distribution="rectangular"): 1.0}))
