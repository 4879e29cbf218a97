"""Tolerance, verdict, guard band and the largest uncertainty that still decides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, t

from lenscalc import InputError, conformance_probability, power_tolerance_D
from lenscalc.decision import decide, largest_u, largest_u_n_lens, proposed_label_D


# ISO 11979-2:1999/2014 as quoted in texts, not read: to 15 D ±0.3, to 25 ±0.4, to 30 ±0.5, beyond ±1.0
@pytest.mark.parametrize(
    ("label", "tolerance"),
    [(0.0, 0.3), (15.0, 0.3), (15.5, 0.4), (25.0, 0.4), (25.5, 0.5), (30.0, 0.5), (30.5, 1.0), (40.0, 1.0), (-5.0, 0.3), (-15.5, 0.4)],
)
def test_tolerance(label, tolerance):
    assert power_tolerance_D(label) == tolerance
    assert power_tolerance_D(np.array([label, 10.0])).tolist() == [tolerance, 0.3]


@pytest.mark.parametrize("label", [np.nan, 205.0, "twenty"])
def test_a_label_that_cannot_be_is_refused(label):
    with pytest.raises(InputError, match="labelled_power_D"):
        power_tolerance_D(label)


@given(st.floats(-0.39, 0.39), st.floats(0.55, 0.99))
def test_largest_u_gives_the_required_probability_back(off, required):
    u = largest_u(20.5 + off, 20.1, 20.9, required)
    assert conformance_probability(20.5 + off, u, 20.1, 20.9) == pytest.approx(required, rel=1e-9, abs=0.0)
    assert conformance_probability(20.5 + off, 1.01 * u, 20.1, 20.9) < required


def test_largest_u_outside_the_limits_does_not_exist():
    assert np.isnan(largest_u(np.array([20.0, 20.9, 21.0]), 20.1, 20.9, 0.95)).all()


def test_largest_u_at_its_ends():
    """One limit alone: (value − lower)/z; what is asked of no chance holds with any u; certainty leaves nothing."""
    assert largest_u(20.3, 20.1, np.inf, 0.95) == pytest.approx(0.2 / norm.ppf(0.95), rel=1e-14, abs=0.0)
    assert t.cdf(0.2 / largest_u(20.3, -np.inf, 20.5, 0.95, 7.0), 7.0) == pytest.approx(0.95, rel=1e-14, abs=0.0)
    assert largest_u(20.3, 20.1, np.inf, 0.5) == largest_u(20.5, 20.1, 20.9, 0.0) == largest_u(20.5, -np.inf, np.inf, 0.95) == np.inf
    assert largest_u(20.5, 20.1, 20.9, 1.0) == 0.0
    assert np.isnan(largest_u(20.5, 20.1, 20.9, np.nan))
    with pytest.raises(InputError, match=r"required_probability = 95: must be 0 to 1; is it in per cent\?"):
        largest_u(20.5, 20.1, 20.9, [0.95, 95.0, 96.0])


@given(off=st.lists(st.floats(-0.39, 0.39), min_size=2, max_size=5), required=st.floats(0.5, 0.999), dof=st.sampled_from([0.5, 3.0, 40.0, np.inf]))
def test_largest_u_of_a_row_does_not_depend_on_its_neighbours(off, required, dof):
    together = largest_u(20.5 + np.array(off), 20.1, 20.9, required, dof)
    assert together.tolist() == [float(largest_u(20.5 + x, 20.1, 20.9, required, dof)) for x in off]


def test_largest_u_of_the_index_by_hand():
    # u of the power from n alone adds in squares to the others: 0.05² + (132.5·u)² = whole²
    whole = largest_u(20.5, 20.1, 20.9, 0.95)
    u = largest_u_n_lens(20.5, 20.1, 20.9, 0.05, 132.5, 0.95)
    assert np.hypot(0.05, 132.5 * u) == pytest.approx(whole, rel=1e-12, abs=0.0)
    assert largest_u_n_lens(20.5, 20.1, 20.9, 0.5, 132.5, 0.95) == 0.0


def decided(power, u, common=0.0, label=20.5, tolerance=0.4, dof=np.inf, dof_common=np.inf):
    d = decide(*(np.array([x]) for x in (power, u, dof, common, dof_common, label, tolerance)))
    return type(d)(*(x[0] for x in d))


@pytest.mark.parametrize(
    ("power", "verdict"),
    [
        (20.5, "would conform if cut to these dimensions"),
        (20.10, "not decided: the power lies too near a limit for its uncertainty"),
        (20.85, "not decided: the power lies too near a limit for its uncertainty"),
        (21.5, "would not conform if cut to these dimensions"),
        (19.0, "would not conform if cut to these dimensions"),
    ],
)
def test_verdict(power, verdict):
    assert decided(power, 0.1).verdict == verdict


def test_guard_band_by_hand():
    d = decided(20.5, 0.1)  # k = 1.96
    assert (d.lower_limit_D, d.upper_limit_D) == pytest.approx((20.1, 20.9))
    assert (d.acceptance_lower_D, d.acceptance_upper_D) == pytest.approx((20.296, 20.704), abs=1e-5)
    exact = decided(20.5, 0.0)
    assert (exact.acceptance_lower_D, exact.acceptance_upper_D) == (exact.lower_limit_D, exact.upper_limit_D)
    few = decided(20.5, 0.1, dof=4)  # t, 95 %, 4 degrees of freedom: 2.776 (any table)
    assert few.acceptance_lower_D == pytest.approx(20.1 + 0.2776, abs=5e-5)


def test_a_guard_band_that_leaves_nothing_has_no_limits():
    d = decided(20.5, 0.21)  # 2·1.96·0.21 = 0.82 > 0.8
    assert np.isnan([d.acceptance_lower_D, d.acceptance_upper_D]).all()
    assert d.conformance_probability == pytest.approx(conformance_probability(20.5, 0.21, 20.1, 20.9))


def test_the_lot_is_off_by_the_common_part_alone():
    # 0.4 D from label to limit = 2 standard uncertainties of the common part: 1 − 0.9545
    assert decided(20.5, 0.3, common=0.2).lot_off_probability == pytest.approx(0.0455, abs=5e-5)
    assert decided(20.5, 0.3, common=0.0).lot_off_probability == 0.0


@given(st.floats(-30.0, 40.0))
def test_a_proposed_label_is_the_nearest_half_dioptre(power):
    label = proposed_label_D(power)
    assert abs(label - power) <= 0.25
    assert (2 * label) % 1 == 0


def test_few_degrees_of_freedom_make_the_lot_less_sure():
    """JCGM 106 with Student's t: ±0.3 about the value, u 0.15: 0.954 normal, 0.884 with 4 degrees of freedom (t table)."""
    assert decided(20.5, 0.15, common=0.15, tolerance=0.3).lot_off_probability == pytest.approx(1 - 0.9545, abs=1e-4)
    assert decided(20.5, 0.15, common=0.15, tolerance=0.3, dof_common=4.0).lot_off_probability == pytest.approx(1 - 0.884, abs=5e-4)


def test_few_degrees_of_freedom_ask_for_a_smaller_u():
    u = largest_u(20.5, 20.1, 20.9, 0.95, 3.0)
    assert u == pytest.approx(0.4 / 3.182, rel=1e-3, abs=0.0)  # t for 95 % and 3 degrees of freedom: 3.182 (JCGM 100:2008, table G.2)
