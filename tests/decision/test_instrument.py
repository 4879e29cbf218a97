"""The lab's questions: decimals, instrument, contributions, replicates; and one result under several rules."""

import numpy as np
import pytest
from scipy.stats import norm

from lenscalc import Estimate, InputError, Source
from lenscalc.decision import (
    by_rules,
    decimals_table,
    instrument_adequacy,
    largest_u_n_lens,
    read_tolerance_table,
    replicates_worth,
    work_on_first,
)
from lenscalc.decision.instrument import decimals_needed


def test_decimals_by_hand():
    """20 D in 1.49: ∂F/∂n = 20/0.154 = 129.87 D; u ≤ 0.4/1.960/129.87 = 0.00157, a step of √12·u = 0.0054: 3 decimals.

    A tenth of the tolerance is 0.04 D, 0.00031 of index: 4 decimals.
    """
    d = decimals_needed(20.0, 1.49, tolerance_D=0.4)
    assert d.d_power_d_n_lens == pytest.approx(129.870, abs=1e-3)
    assert d.largest_u_n_lens == pytest.approx(0.0015715, abs=1e-6)
    assert (d.decimals, d.decimals_ten_to_one) == (3, 4)


def test_a_step_that_just_fits_is_not_asked_to_be_finer():
    # 10 D at n − m = 0.1: 100 D per unit of index; a tenth of 1 D is a step of 0.001 exactly
    assert decimals_needed(10.0, 1.436, tolerance_D=1.0).decimals_ten_to_one == 3


def test_softer_and_stronger_lenses_never_ask_for_fewer_decimals_at_one_tolerance():
    powers, n = np.array([5.0, 10.0, 20.0, 40.0]), np.array([[1.55], [1.49], [1.43], [1.40]])
    d = decimals_needed(powers, n, tolerance_D=0.4)
    for x in (d.decimals, d.decimals_ten_to_one):
        assert (np.diff(x, axis=0) >= 0).all()
        assert (np.diff(x, axis=1) >= 0).all()


def test_where_the_rest_is_too_large_no_number_of_decimals_helps():
    assert np.isnan(decimals_needed(20.0, 1.49, tolerance_D=0.4, u_other_D=0.3).decimals)
    assert decimals_needed(20.0, 1.49, tolerance_D=0.4, u_other_D=0.2035).decimals == 4


def test_a_lens_that_hardly_answers_to_the_index_asks_for_no_decimals():
    """0.001 D at n − m = 0.1: a tenth of 1 D is a step of 10 in the index; without power any will do."""
    for power in (0.001, 0.0):
        d = decimals_needed(power, 1.436, tolerance_D=1.0)
        assert (d.decimals, d.decimals_ten_to_one) == (0, 0)


def test_the_table_follows_the_tolerance_of_the_label(tmp_path):
    rows = decimals_table((15.0, 15.5), (1.49,))
    assert [r.tolerance_D for r in rows] == [0.3, 0.4]
    path = tmp_path / "own.toml"
    path.write_text('edition = "own"\n[[band]]\ntolerance_D = 0.01\n', encoding="utf-8")
    tight = decimals_table((15.0, 15.5), (1.49,), table=read_tolerance_table(path))
    assert [r.decimals for r in tight] > [r.decimals for r in rows]
    assert tight[0].tolerance_D == 0.01


def test_an_instrument_by_hand():
    """Steps of 0.0005: u = 0.000144; with a calibration of 0.0004, 0.000425; ·132.5 = 0.0563 D; ratio 0.4/(2·0.0563) = 3.55."""
    a = instrument_adequacy(132.5, tolerance_D=0.4, resolution=0.0005, u_calibration=0.0004)
    assert a.u_index == pytest.approx(0.00042525, abs=1e-8)
    assert a.u_power_D == pytest.approx(0.05635, abs=1e-5)
    assert a.uncertainty_ratio == pytest.approx(3.549, abs=1e-3)
    assert a.measurement_capability == pytest.approx(a.uncertainty_ratio)  # both sides, k = 2
    assert a.step_power_D == pytest.approx(0.06625)
    assert (a.decides, a.ten_to_one, a.four_to_one) == (True, False, False)
    assert np.isnan([a.false_accept, a.two_per_cent]).all()


def test_instruments_side_by_side_and_U_with_any_k():
    """100 D a unit, calibrations of 0.001 and 0.003: u = 0.1 and 0.3 D, which U is for k = 1."""
    a = instrument_adequacy(100.0, tolerance_D=0.4, resolution=[0.0, 0.0], u_calibration=[0.001, 0.003], k=1.0)
    assert a.expanded_D == pytest.approx([0.1, 0.3], rel=1e-12, abs=0.0)
    assert a.decides.tolist() == [True, False]  # 4 and 1.3 standard uncertainties to the limits


def test_an_instrument_decides_as_far_as_the_largest_u():
    largest = largest_u_n_lens(20.0, 19.6, 20.4, 0.05, 132.5, 0.95)
    for factor, decides in ((0.999, True), (1.001, False)):
        a = instrument_adequacy(132.5, tolerance_D=0.4, resolution=0.0, u_calibration=factor * largest, u_other_D=0.05)
        assert a.decides == decides


def test_false_acceptance_with_a_process():
    # limits at two standard deviations of the process, four times the measurement's: 0.008 (Deaver, as quoted in the tests of a library)
    a = instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.0, u_calibration=0.0005, process_sd_D=0.2)
    assert a.false_accept == pytest.approx(0.008, abs=5e-4)
    assert a.two_per_cent == 1.0
    assert instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.0, u_calibration=0.003, process_sd_D=0.4).two_per_cent == 0.0


def test_the_largest_contribution_comes_first_and_its_loss_is_by_hand():
    """Parts of 0.12 and 0.05 D: whole 0.13; the first halved 0.0781, done away with 0.05."""
    parts = {Source("radius"): 0.05, Source("calibration"): -0.12, Source("none"): 0.0}
    power = Estimate(np.array([20.8]), {source: np.array([part]) for source, part in parts.items()})
    first, second = work_on_first(power, 20.1, 20.9)
    assert (first.source, second.source) == ("calibration", "radius")
    assert (first.u_halved_D, first.u_without_D) == pytest.approx((0.07810, 0.05), abs=1e-5)
    assert first.share == pytest.approx(0.0144 / 0.0169)
    assert first.probability_without == pytest.approx(0.97725, abs=1e-5)  # Φ(2)
    assert second.u_without_D == pytest.approx(0.12)


def test_three_contributions_by_hand():
    """Parts of 2, 3 and 6 tenths, whole 0.7: halved √(0.49 − ¾·part²), without √(0.49 − part²)."""
    found = work_on_first(Estimate(20.5, {Source("a"): 0.2, Source("b"): 0.6, Source("c"): -0.3}), 20.1, 20.9)
    assert [c.source for c in found] == ["b", "c", "a"]
    assert [c.u_halved_D for c in found] == pytest.approx([0.22**0.5, 0.4225**0.5, 0.46**0.5], rel=1e-12, abs=0.0)
    assert [c.u_without_D for c in found] == pytest.approx([0.13**0.5, 0.4**0.5, 0.45**0.5], rel=1e-12, abs=0.0)
    (alone,) = work_on_first(Estimate(20.5, {Source("a"): 0.2}), 20.1, 20.9)
    assert (alone.u_halved_D, alone.u_without_D, alone.probability_without) == (0.1, 0.0, 1.0)


def test_replicates_by_hand():
    """s = 0.0002, rest 0.0003: a third of it is 0.0001, reached by 0.0002/√4."""
    w = replicates_worth(0.0002, 0.0003)
    assert w.enough == 4
    assert w.rows[-1].u_type_a == pytest.approx(0.0001)
    assert w.rows[-1].u == pytest.approx(0.00031623, abs=1e-8)
    assert replicates_worth(0.0002, 0.0003, part=0.1).enough == 45  # (2/0.3)² = 44.4
    assert replicates_worth(0.0, 0.0003).enough == 2


def test_each_further_replicate_gains_less():
    for known in (True, False):
        rows = replicates_worth(0.0009, 0.0003, s_is_known=known).rows
        gains = [r.last_one_gained for r in rows if r.replicates <= 10][1:]
        assert gains == sorted(gains, reverse=True)
        assert all(g > 0 for g in gains)
    # with s from two readings, ν = 1: k = 12.7 (t table), far above what pooled history allows
    few, pooled = (replicates_worth(0.0009, 1e-5, part=10, s_is_known=k).rows[0] for k in (False, True))
    assert few.expanded / pooled.expanded == pytest.approx(12.706 / 1.96, rel=2e-3, abs=0.0)


def test_one_result_under_several_rules():
    rows = {o.rule: o for o in by_rules(20.80, 0.1, np.inf, 20.1, 20.9, 0.95)}
    simple, guarded, wanted = rows["simple acceptance"], rows["guarded acceptance"], rows["acceptance at the required probability"]
    assert next(iter(rows)) == "simple acceptance"
    assert (simple.accepted, guarded.accepted, rows["guarded rejection"].accepted) == (True, False, True)
    assert simple.largest_risk == pytest.approx(0.5, abs=1e-4)
    assert guarded.largest_risk == pytest.approx(0.025, abs=1e-4)
    assert wanted.largest_risk == pytest.approx(0.05)
    assert simple.risk == pytest.approx(0.1587, abs=5e-5)  # Φ(−1), normal table
    assert guarded.risk == pytest.approx(0.8413, abs=5e-5)
    assert all(o.source for o in rows.values())
    none = {o.rule: o for o in by_rules(20.5, 0.3, np.inf, 20.1, 20.9, 0.95)}
    assert none["guarded acceptance"].accepted is None
    assert none["simple acceptance"].accepted


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: decimals_needed(20.0, 1.336, tolerance_D=0.4), "no power"),
        (lambda: decimals_needed(20.0, 1.49, tolerance_D=0.0), "tolerance_D must be above 0"),
        (lambda: instrument_adequacy(132.5, tolerance_D=0.4, resolution=-1), "resolution must be 0 or more"),
        (lambda: instrument_adequacy(132.5, tolerance_D=0.4, resolution=[0.001, -1]), "resolution must be 0 or more"),
        (lambda: instrument_adequacy(132.5, tolerance_D=0.4, resolution=0.001, k=0.0), "k = 0.0: a coverage factor must be above 0"),
        (lambda: instrument_adequacy(132.5, tolerance_D=np.nan, resolution=0.0001), "tolerance_D"),
        (lambda: replicates_worth(0.1, 0.1, part=0.0), "part must be above 0"),
        (lambda: replicates_worth(-0.1, 0.1), "s_reading = -0.1"),
        (lambda: replicates_worth(0.1, 0.0), "beside nothing"),
        (lambda: replicates_worth(1.0, 1e-5), "find out why"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    with pytest.raises(InputError, match=told):
        call()


@pytest.mark.parametrize(("step", "decimals"), [(1.01e-3, 3), (0.99e-3, 4)])
def test_a_last_decimal_just_fine_enough(step, decimals):
    """10 D at n − m = ±0.1, 100 D a unit of index: a step has u = step/√12, which decides up to tolerance/(100·1.96)."""
    tolerance = norm.isf(0.025) * 100.0 * step / 12**0.5
    assert decimals_needed(10.0, np.array([1.436, 1.236]), tolerance_D=tolerance).decimals.tolist() == [decimals, decimals]


@pytest.mark.parametrize(("tolerance", "decimals"), [(1.05, 3), (0.95, 4)])
def test_a_step_of_a_tenth_of_the_tolerance(tolerance, decimals):
    """100 D a unit of index: a step of 0.001 is 0.1 D."""
    assert decimals_needed(10.0, 1.436, tolerance_D=tolerance).decimals_ten_to_one == decimals


def test_tolerances_side_by_side():
    a = instrument_adequacy(100.0, tolerance_D=[0.4, 0.1], resolution=0.0, u_calibration=0.001)
    assert a.decides.tolist() == [True, False]  # 4 and 1 standard uncertainties to the limits
    with pytest.raises(InputError, match=r"^tolerance_D must be above 0$"):
        instrument_adequacy(100.0, tolerance_D=[0.4, 0.0], resolution=0.001)


def test_an_instrument_without_uncertainty_decides_even_where_certainty_is_asked():
    assert instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.0, required_probability=1.0).decides
