"""Drift on the prism: against least squares with a column a mounting, by simulation, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t

from lenscalc.errors import InputError
from lenscalc.refractometer import drift_on_prism

MINUTES = [0.5, 1.0, 2.0, 3.0, 5.0]
K = {float(dof): float(t.ppf(0.975, dof)) for dof in range(1, 30)}


def simulated(random, *, slope=-2e-5, mountings=3, s_mounting=2e-4, s=5e-5, minutes=MINUTES):
    starts = 1.43 + s_mounting * random.standard_normal(mountings)
    y = starts[:, None] + slope * np.array(minutes) + s * random.standard_normal((mountings, len(minutes)))
    return y.ravel(), minutes * mountings, np.repeat(range(mountings), len(minutes)).tolist(), starts


@pytest.mark.parametrize("seed", range(10))
def test_against_least_squares_with_a_start_for_each_mounting(seed):
    y, minutes, mounting, _ = simulated(np.random.default_rng(seed))
    design = np.column_stack([np.array(minutes), np.array(mounting)[:, None] == np.arange(3)])
    solution, left, *_ = np.linalg.lstsq(design, y, rcond=None)
    dof = len(y) - 4
    u = (left[0] / dof * np.linalg.inv(design.T @ design)[0, 0]) ** 0.5
    d = drift_on_prism(y, minutes, mounting)
    assert (d.slope_per_min, d.u_slope_per_min, d.dof) == (pytest.approx(solution[0], rel=1e-8, abs=0.0), pytest.approx(u, rel=1e-8, abs=0.0), dof)
    assert d.chance == pytest.approx(2 * t.sf(abs(solution[0]) / u, dof), rel=1e-6, abs=0.0)
    # carried back, the mountings' means are their starts
    assert np.reshape(d.at_start, (3, -1)).mean(axis=1) == pytest.approx(solution[1:], abs=1e-12)
    assert d.mean_minutes == pytest.approx(np.mean(minutes))


def test_the_slope_is_found_and_its_interval_covers_it():
    """4,000 simulated specimens; where scatter looks like a bend (1 % of them) the answer is a refusal."""
    random = np.random.default_rng(5)
    inside, answered, slopes = 0, 0, []
    for _ in range(4000):
        y, minutes, mounting, _ = simulated(random, slope=-3e-5)
        try:
            d = drift_on_prism(y, minutes, mounting)
        except InputError:
            continue
        answered += 1
        slopes.append(d.slope_per_min)
        inside += abs(d.slope_per_min + 3e-5) <= K[d.dof] * d.u_slope_per_min
    assert 0.94 <= inside / answered <= 0.96
    assert answered / 4000 == pytest.approx(0.99, abs=0.0065)  # four standard errors
    assert np.mean(slopes) == pytest.approx(-3e-5, abs=4 * np.std(slopes) / answered**0.5)


def test_a_drift_that_is_not_there_is_seen_as_often_as_its_chance_says():
    random = np.random.default_rng(6)
    seen = []
    for _ in range(1500):
        y, minutes, mounting, _ = simulated(random, slope=0.0)
        try:
            seen.append(drift_on_prism(y, minutes, mounting).chance < 0.05)
        except InputError:
            continue
    assert np.mean(seen) == pytest.approx(0.05, abs=0.0225)  # four standard errors


@pytest.mark.parametrize(("beyond", "refused"), [(70.0, True), (60.0, False)])
def test_the_bend_of_four_readings_by_hand(beyond, refused):
    """One mounting at 0, 1, 2, 3 min, beside a parabola one degree of freedom. Beyond a line 1, −1, −1, 1 is what bends, −1, 3, −3, 1 what is left:
    with a·(t² − 3t) + e·(−1, 3, −3, 1) the bend a has u = √(20·e²/4) = √5·e. Student's t for one degree of freedom is a Cauchy law, whose 1 % lies
    at tan(0.99·π/2) = 63.66.
    """
    a = 1e-3
    e = a / (5**0.5 * beyond)
    y = [1.49 + a * (t * t - 3 * t) + e * left for t, left in zip(range(4), (-1, 3, -3, 1), strict=True)]
    if refused:
        with pytest.raises(InputError, match="the drift bends"):
            drift_on_prism(y, [0, 1, 2, 3])
    else:
        assert drift_on_prism(y, [0, 1, 2, 3]).slope_per_min == pytest.approx(0.0, abs=1e-15)


@given(st.floats(-1e-3, 1e-3), st.lists(st.floats(1.3, 1.6), min_size=1, max_size=4), st.floats(0.0, 30.0))
def test_readings_on_a_line_give_it_back(slope, starts, wait):
    minutes = [wait + m for m in (0.0, 1.0, 4.0)]
    y = [start + slope * m for start in starts for m in minutes]
    d = drift_on_prism(y, minutes * len(starts), np.repeat(range(len(starts)), 3).tolist())
    assert d.slope_per_min == pytest.approx(slope, abs=1e-15)
    assert d.at_start == pytest.approx(np.repeat(starts, 3), abs=1e-13)


@given(st.permutations(range(15)))
def test_the_order_of_the_readings_does_not_matter(order):
    y, minutes, mounting, _ = simulated(np.random.default_rng(1))
    one = drift_on_prism(y, minutes, mounting)
    other = drift_on_prism([y[i] for i in order], [minutes[i] for i in order], [mounting[i] for i in order])
    assert other.slope_per_min == pytest.approx(one.slope_per_min, rel=1e-9, abs=0.0)
    assert other.u_slope_per_min == pytest.approx(one.u_slope_per_min, rel=1e-9, abs=0.0)
    assert other.at_start == pytest.approx([one.at_start[i] for i in order], abs=1e-14)


def test_a_mounting_that_lies_elsewhere_is_no_drift():
    """Read one after the other, a lower second mounting looks like a drift where the mountings are not told apart."""
    d = drift_on_prism([1.4302, 1.4303, 1.4302, 1.4282, 1.4283, 1.4282], [1, 2, 3, 1, 2, 3], [1, 1, 1, 2, 2, 2], resolution=1e-4)
    assert d.slope_per_min == pytest.approx(0.0, abs=1e-15)
    assert d.chance == pytest.approx(1.0)


@pytest.mark.parametrize("tau", [2.0, 4.0])
def test_a_drift_that_bends_is_refused(tau):
    """A specimen that dries towards an end: the reading approaches it with 1 − exp(−t/τ), 0.003 in all, scatter 2e-5."""
    minutes = [0.5, 1.0, 2.0, 4.0, 8.0]
    scatter = 2e-5 * np.random.default_rng(2).standard_normal(10)
    y = 1.43 + 0.003 * (1 - np.exp(-np.array(minutes * 2) / tau)) + scatter
    with pytest.raises(InputError, match="the drift bends"):
        drift_on_prism(y, minutes * 2, [1] * 5 + [2] * 5)


@pytest.mark.parametrize(("resolution", "least", "most"), [(0.0, 0.5, 1.0), (1e-4, 0.0, 0.01)])
def test_rounding_is_no_bend(resolution, least, most):
    """A straight drift, shown in steps of 1e-4 with little scatter, rounds alike in both mountings: without the resolution a bend beyond doubt."""
    random = np.random.default_rng(1)
    refused = 0
    for _ in range(400):
        y, minutes, mounting, _ = simulated(random, slope=-5e-5, mountings=2, s_mounting=0.0, s=1e-5, minutes=[1.0, 2.0, 3.0])
        try:
            drift_on_prism(np.round(y + random.uniform(0.0, 1e-4), 4), minutes, mounting, resolution=resolution)
        except InputError:
            refused += 1
    assert least <= refused / 400 <= most


def test_a_bend_is_seen_through_the_rounding():
    """0.001 in all, a step of 1e-4 and a scatter of 3e-5: refused nearly always."""
    random, minutes = np.random.default_rng(1), [0.5, 1.0, 2.0, 4.0, 8.0]
    refused = 0
    for _ in range(200):
        y = 1.43 + random.uniform(0.0, 1e-4) + 0.001 * (1 - np.exp(-np.array(minutes * 2) / 2.0)) + 3e-5 * random.standard_normal(10)
        try:
            drift_on_prism(np.round(y, 4), minutes * 2, [1] * 5 + [2] * 5, resolution=1e-4)
        except InputError:
            refused += 1
    assert refused / 200 > 0.95


def test_readings_that_do_not_move_drift_by_nothing():
    d = drift_on_prism([1.4302] * 6, [1, 2, 3, 4, 5, 6])
    assert (d.slope_per_min, d.u_slope_per_min, d.chance, d.at_start) == (0.0, 0.0, 1.0, (1.4302,) * 6)


@pytest.mark.parametrize(
    ("y", "minutes", "mounting", "told"),
    [
        ([1.49, 1.4901], [1, 2], None, r"2 readings of 1 mounting are too few"),
        ([1.49, 1.4901, 1.49, 1.4902], [1, 2, 1, 2], [1, 1, 2, 3], r"4 readings of 3 mountings are too few"),
        ([1.49, 1.4901, 1.4902], [2, 2, 2], None, "do not differ within a mounting"),
        ([1.49, 1.4901, 1.4902], [1, 2, 3], [1, 2, 3], "do not differ within a mounting"),
        ([1.49, 1.4901, 1.4902], [-1, 2, 3], None, "0 or more"),
        ([1.49, 1.4901, 1.4902], [1, 2, np.nan], None, "0 or more"),
        ([1.49, 1.4901, 1.4902], [1, 2, np.inf], None, "0 or more"),
        ([1.49, 1.4901, np.nan], [1, 2, 3], None, "reading 3 = nan is not a finite number"),
        ([1.49, 1.4901, 1.4902], [1, 2], None, "^minutes_after_mounting names 2 readings, n holds 3: one entry a reading$"),
        ([1.49, 1.4901, 1.4902], [1, 2, 3, 4], None, "^minutes_after_mounting names 4 readings, n holds 3: one entry a reading$"),
        ([1.49, 1.4901, 1.4902], [1, 2, 3], [1, 1], "^mounting names 2 readings, n holds 3: one entry a reading$"),
        ([1.49, 1.4901, 1.4902], [1, 2, 3], [1, 1, 1, 1], "^mounting names 4 readings, n holds 3: one entry a reading$"),
        ([], [], None, "do not differ"),
    ],
)
def test_what_tells_no_drift_says_why(y, minutes, mounting, told):
    with pytest.raises(InputError, match=told):
        drift_on_prism(y, minutes, mounting)


@pytest.mark.parametrize(("step", "chance"), [(-0.125, 0.0), (0.125, 0.0), (0.0, 1.0)])
def test_a_drift_without_scatter_is_certain(step, chance):
    """Numbers that doubles hold exactly, so that nothing is left beside the line: no scatter makes a slope; one of 0 is made by any."""
    d = drift_on_prism([1.5 + step * t for t in range(4)], range(4))
    assert (d.slope_per_min, d.u_slope_per_min, d.chance) == (step, 0.0, chance)
