"""A chart that signals at its first point has waited for one."""

import pytest
from scipy.special import ndtr

from lenscalc.control import average_run_length


@pytest.mark.parametrize(("kind", "setting"), [("cusum", {"k_sigma": 0.0, "h_sigma": 0.1}), ("ewma", {"weight": 1.0, "width_sigma": 0.1})])
@pytest.mark.parametrize("shift", [-10.0, 10.0])
def test_a_shift_of_ten_sigma_is_seen_at_once(kind, setting, shift):
    """The first point lies beyond both limits but once in 10²²: 1/(1 − Φ(−9.9)) points."""
    assert average_run_length(kind, shift_sigma=shift, **setting).mean == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("head_start", [0.0, 2.0])
@pytest.mark.parametrize("shift", [0.5, 1.0, 2.0, 3.0, 4.5, 6.0, 8.0, 10.0])
def test_a_chart_of_both_sides_waits_alike_for_a_shift_either_way(shift, head_start):
    """The side that the shift leads away from hardly ever signals, and takes nothing from the other's wait."""
    up, down = (average_run_length("cusum", shift_sigma=sign * shift, head_start_sigma=head_start).mean for sign in (1.0, -1.0))
    assert up == pytest.approx(down, rel=1e-12, abs=0.0)
    assert up >= 1.0


def test_the_wait_after_a_great_shift_is_counted_by_hand():
    """k = 0.5, h = 5, a shift of 10: seen at the first point but for Φ(−4.5), at the second all but always: 1 + Φ(−4.5) = 1.0000033977."""
    assert average_run_length("cusum", shift_sigma=-10.0).mean == pytest.approx(1.0 + ndtr(-4.5), abs=1e-12)


def test_a_chart_that_never_signals_is_told_as_one_in_a_million_million():
    assert average_run_length("cusum", k_sigma=10.0, h_sigma=100.0).mean == 1e12


@pytest.mark.parametrize("exact_limits", [True, False])
@pytest.mark.parametrize("width", [6.0, 7.0, 7.5, 8.0, 8.5, 9.0, 10.0])
@pytest.mark.parametrize("weight", [1.0, 0.2, 0.05])
def test_limits_of_an_average_that_are_far_out_are_no_sooner_passed(weight, width, exact_limits):
    """Of weight 1 it is the point itself, outside once in 1/(2Φ(−L)): 3.9e11 for 7 sigma, beyond a million million from 7.2 on. The lighter the
    weight, the longer the wait."""
    found = average_run_length("ewma", weight=weight, width_sigma=width, exact_limits=exact_limits).mean
    alone = 0.5 / ndtr(-width)
    if alone >= 1e12:
        assert found == 1e12
    elif weight == 1.0:
        assert found == pytest.approx(alone, rel=1e-12, abs=0.0)
    else:
        assert alone < found < 1e12
