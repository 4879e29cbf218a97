"""Inputs of worked examples as the guides print them, the closer look of a validation, and a tolerance of a single value."""

from concurrent.futures import ThreadPoolExecutor
from math import pi
from threading import Event, Semaphore

import pytest
from scipy.stats import norm

from lenscalc.uncertainty import Input, blocks, propagate, run_trials
from lenscalc.uncertainty.risk import global_risks
from lenscalc.uncertainty.rounding import percent
from lenscalc.uncertainty.worked_examples import gauge_block, ishigami, mass_calibration


def test_the_gauge_blocks_table():
    """JCGM 100:2008, table H.1 (from memory, to be confirmed against the text): u and ν of l_s, d, δα, δθ; α_s and θ enter in second order alone."""
    inputs = gauge_block().inputs
    table = {"ls": (25.0, 18.0), "d": (9.7, 25.6), "da": (0.58e-6, 50.0), "dt": (0.029, 2.0)}
    assert {name: (inputs[name].u, inputs[name].dof) for name in table} == table
    assert [x.value for x in inputs.values()] == [50000623.0, 215.0, 11.5e-6, -0.1, 0.0, 0.0]
    assert [inputs[x].u for x in ("a_s", "theta")] == pytest.approx([1.2e-6, 0.41], rel=0.04, abs=0.0)


def test_the_densities_of_a_mass_calibration():
    """JCGM 101:2008, 9.3.1 (from memory, to be confirmed against the text): ρ_a in 1.10 to 1.30, ρ_W in 7000 to 9000, ρ_R in 7950 to 8050 kg/m³."""
    inputs = mass_calibration().inputs
    ends = {"r_a": (1.10, 1.30), "r_w": (7000.0, 9000.0), "r_r": (7950.0, 8050.0)}
    for name, (a, b) in ends.items():
        assert (inputs[name].value, inputs[name].u) == (pytest.approx((a + b) / 2.0), pytest.approx((b - a) / 12.0**0.5))


def test_ishigamis_function_by_hand():
    """Its mean is a/2 = 3.5, that of 7·sin²; its variance a²/8 + bπ⁴/5 + b²π⁸/18 + ½; at π/2, π/2, 0 it is 1 + 7."""
    model, inputs, _ = ishigami()
    assert model(pi / 2, pi / 2, 0.0) == pytest.approx(8.0, abs=1e-12)
    assert model(pi / 2, 0.0, 2.0) == pytest.approx(1.0 + 0.1 * 16.0, abs=1e-12)
    trials = run_trials(model, inputs, trials=400_000)
    variance = 49.0 / 8.0 + 0.1 * pi**4 / 5.0 + 0.01 * pi**8 / 18.0 + 0.5
    assert trials.mean == pytest.approx(3.5, abs=5.0 * (variance / 400_000) ** 0.5)
    assert trials.u == pytest.approx(variance**0.5, rel=0.01, abs=0.0)


def test_a_validation_looks_five_times_closer():
    """JCGM 101:2008, 8.2: δ/5 instead of δ; noise falls with the root of the trials, so there are some 25 times as many of them."""
    model, inputs = (lambda a, b: a + b), {"a": Input(0.0, 1.0), "b": Input(0.0, 2.0)}
    usual, closer = run_trials(model, inputs), run_trials(model, inputs, validate=True)
    assert 5.0 < closer.trials / usual.trials < 125.0


@pytest.mark.parametrize("large", [1e8, 1e12])
def test_rounding_is_not_taken_for_a_lost_step(large):
    """(x + 0.1) − x does not depend on x, but its doubles do, by the spacing at x."""
    for x in (0.16, 0.21, 0.25):
        assert propagate(lambda x: ((x + 0.1) - x) * large, {"x": Input(x, 0.3)}).u == 0.0


def test_a_tolerance_of_one_value_has_no_conforming_item():
    """All that is accepted is then off: of 0 ± 1 with u = 1 between −1 and 1, P(|y + e| ≤ 1) = 2Φ(1/√2) − 1."""
    found = global_risks(0.0, 1.0, 1.0, 0.0, 0.0, acceptance_lower=-1.0, acceptance_upper=1.0)
    assert found.conforming == 0.0
    assert found.consumers_risk == pytest.approx(2.0 * norm.cdf(0.5**0.5) - 1.0, abs=1e-12)
    found = global_risks(0.0, 1.0, 1.0, -1.0, 1.0, acceptance_lower=0.0, acceptance_upper=0.0)
    assert (found.accepted, found.consumers_risk) == (0.0, 0.0)


def test_a_share_of_just_a_twentieth_of_a_per_cent_is_not_below_it():
    assert percent(0.0005) == "0.05 %"


def test_a_slope_that_vanishes_is_no_lost_step():
    """x¹¹ at 0: over a thousandth of the step it changes by 1e-33 of what it does over the whole; a complex step of 1e-30 is lost in doubles."""
    assert propagate(lambda x: x**11, {"x": Input(0.0, 1.0)}).u == 0.0


def test_who_stops_listening_ends_what_has_not_begun(monkeypatch):
    """Two threads, and two blocks that wait there: the fourth stands in the queue when the listener goes, and is never worked at."""
    begun, one_begun, go_on = [], Semaphore(0), Event()

    def task(block, _):
        begun.append(block)
        one_begun.release()
        assert block == 0 or go_on.wait(300.0)
        return block

    class Pool(ThreadPoolExecutor):
        def shutdown(self, wait=True, *, cancel_futures=False):
            super().shutdown(wait=False, cancel_futures=cancel_futures)
            go_on.set()  # the threads are free once it is known what is left for them
            super().shutdown(wait=wait)

    monkeypatch.setattr(blocks, "ThreadPoolExecutor", Pool)
    results = blocks.in_order(task, [1] * 100, 2)
    assert next(results) == 0
    assert all(one_begun.acquire(timeout=300.0) for _ in range(3))
    results.close()
    assert go_on.is_set()
    assert sorted(begun) == [0, 1, 2]


def test_limits_of_no_width_have_no_uncertainty():
    assert Input.from_half_width(1.0, 0.0, "curvilinear trapezoid").u == 0.0
