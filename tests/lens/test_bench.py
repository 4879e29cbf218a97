"""Benches, the way from one condition to another, and the index found backwards."""

from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError, Source, thick_lens
from lenscalc.lens import (
    Condition,
    Dimension,
    dimension_in_use,
    in_another_condition,
    index_from_power,
    power_from_back_focal_length,
    power_from_magnification,
)
from lenscalc.uncertainty import agreement, estimate

AIR = Condition(15.0, -15.0, 0.9, 1.4915, 1.0)
EYE = Condition(15.0, -15.0, 0.9, 1.49, 1.336)

radii = st.one_of(st.floats(6.0, 80.0), st.floats(-80.0, -6.0))
curved = st.tuples(radii, radii).filter(lambda r: abs(1 / r[0] - 1 / r[1]) > 0.01)


def test_there_and_back_is_where_one_was():
    there = in_another_condition(64.9, measured=AIR, wanted=EYE)
    back = in_another_condition(there.power_D, measured=EYE, wanted=AIR)
    assert float(back.power_D.value) == pytest.approx(64.9, rel=1e-14, abs=0.0)


def test_a_lens_that_is_as_its_dimensions_say_has_its_formula_power():
    power = thick_lens(15.0, -15.0, 0.9, 1.4915, 1.0).power_D
    assert float(in_another_condition(power, measured=AIR, wanted=EYE).power_D.value) == pytest.approx(20.469666, abs=6e-7)


def test_swelling_by_15_percent_takes_20_dioptres_to_17_4():
    dry = Dimension("x", estimate(15.0, 0.0, Source("gauge")), "dry", 35.0)
    swelling = estimate(0.15, 0.0, Source("linear swelling"))
    wet_radius = dimension_in_use(dry, swelling, None)
    assert float(wet_radius.value) == pytest.approx(17.25)
    small = Condition(15.3528, -15.3528, 0.9, 1.49, 1.336)
    large = Condition(*(1.15 * x for x in (15.3528, -15.3528, 0.9)), 1.49, 1.336)
    assert round(float(in_another_condition(20.0, measured=small, wanted=large).power_D.value), 1) == 17.4
    assert float(in_another_condition(20.0, measured=small, wanted=large).factor.value) == pytest.approx(1 / 1.15, rel=1e-12, abs=0.0)


def test_a_radius_hardly_acts_on_the_factor_and_an_index_does():
    gauge, reading = Source("gauge", scope="lens"), Source("refractometer")
    R = estimate(15.0, 0.15, gauge)  # 1 %
    a, b = Condition(R, -15.0, 0.9, 1.4915, 1.0), Condition(R, -15.0, 0.9, 1.49, 1.336)
    assert float(in_another_condition(64.9, measured=a, wanted=b).power_D.u) < 20.47 * 0.0001
    own = Condition(15.0, -15.0, 0.9, estimate(1.49, 0.001, reading), 1.336)
    # the factor moves with the power in the eye alone: 132.5492 D per index there (worked outside the package)
    u = float(in_another_condition(64.885532, measured=AIR, wanted=own).power_D.u)
    assert u == pytest.approx(0.1325492, rel=1e-5, abs=0.0)
    both = Condition(15.0, -15.0, 0.9, estimate(1.4915, 0.001, reading), 1.0)
    shared = float(in_another_condition(64.885532, measured=both, wanted=own).power_D.u)
    # shared by both: relative 1/0.154 − 1/0.4915 of the thin lens
    assert shared == pytest.approx(20.469666 * 0.001 * (1 / 0.154 - 1 / 0.4915), rel=2e-3, abs=0.0)


def test_the_uncertainty_of_the_bench_is_carried_by_the_factor():
    r = in_another_condition(estimate(64.9, 0.1, Source("bench")), measured=AIR, wanted=EYE)
    assert float(r.power_D.u) == pytest.approx(0.1 * float(r.factor.value))


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Condition(15.0, -15.0, 0.9, 14.9, 1.336), "is the decimal point one place off"),
        (lambda: Condition(0.0, -15.0, 0.9, 1.49, 1.336), "never 0"),
        (lambda: Condition(15.0, "round", 0.9, 1.49, 1.336), "'round' is not a number"),
        (lambda: in_another_condition(20.0, measured=Condition(np.inf, np.inf, 0.9, 1.49, 1.0), wanted=EYE), "no power"),
        (lambda: in_another_condition(20.0, measured=AIR, wanted=Condition(15.0, -15.0, 0.9, 1.336, 1.336)), "no power"),
        (lambda: in_another_condition(2e4, measured=AIR, wanted=EYE), "power_D = 20000 D"),
    ],
)
def test_impossible_conditions_are_refused(make, told):
    with pytest.raises(InputError, match=told):
        make()


@given(curved, st.floats(0.0, 2.0), st.floats(1.40, 1.6), st.sampled_from([1.0, 1.3346]), st.floats(-0.5, 0.5))
def test_a_back_focal_length_gives_the_power_it_came_from(R, t, n, m, shift):
    p = thick_lens(*R, t, n, m)
    r = power_from_back_focal_length(
        p.back_focal_length_mm + shift, best_focus_shift_mm=shift, focus_criterion="least rms spot", front_radius_mm=R[0], center_thickness_mm=t,
        n_lens=n, n_medium=m,
    )  # fmt: skip
    assert float(r.power_D.value) == pytest.approx(p.power_D, rel=1e-10, abs=0.0)
    assert float(r.equivalent_focal_length_mm.value) == pytest.approx(p.equivalent_focal_length_mm, rel=1e-10, abs=0.0)
    # the same as f = BFL + (t/n)(F1/F)·m
    correction = t / n * p.front_surface_power_D / p.power_D * m
    assert float(r.back_focal_length_mm.value) + correction == pytest.approx(p.equivalent_focal_length_mm, rel=1e-9, abs=0.0)


def test_taking_all_of_the_marginal_aberration_costs_a_tenth_of_a_dioptre():
    """15/−15 in air at 3 mm: marginal −0.2436 mm (exact ray, worked outside the package), least RMS spot at two thirds of it."""
    p = thick_lens(15.0, -15.0, 0.9, 1.49, 1.0)
    lens = {"front_radius_mm": 15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "n_medium": 1.0, "focus_criterion": "least rms spot"}
    best = p.back_focal_length_mm - 0.2436 * 2 / 3
    right = power_from_back_focal_length(best, best_focus_shift_mm=-0.2436 * 2 / 3, **lens).power_D.value
    wrong = power_from_back_focal_length(best, best_focus_shift_mm=-0.2436, **lens).power_D.value
    factor = 20.469666 / 64.688770
    assert float(right) == pytest.approx(64.688770, abs=1e-6)
    assert abs(float(wrong - right)) * factor == pytest.approx(0.11, abs=0.005)


def test_uncertainties_of_focus_and_shift_go_along():
    r = power_from_back_focal_length(
        estimate(65.0, 0.05, Source("stage")), best_focus_shift_mm=estimate(-0.35, 0.03, Source("focus")), focus_criterion="highest contrast",
        front_radius_mm=15.0, center_thickness_mm=0.0, n_lens=1.49, n_medium=1.336,
    )  # fmt: skip
    assert float(r.back_focal_length_mm.u) == pytest.approx(hypot(0.05, 0.03))
    assert float(r.power_D.u) == pytest.approx(1336.0 / 65.35**2 * hypot(0.05, 0.03))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"focus_criterion": "paraxal"}, "did you mean paraxial"),
        ({"focus_criterion": "paraxial"}, "which has none"),
        ({"best_focus_mm": 0.0}, "not at the vertex"),
        ({"best_focus_mm": np.nan}, "must be finite"),
        ({"n_lens": 0.9}, "n_lens = 0.9"),
    ],
)
def test_a_focus_without_its_criterion_is_refused(change, told):
    arguments = {
        "best_focus_mm": 65.0, "best_focus_shift_mm": -0.3, "focus_criterion": "marginal", "front_radius_mm": 15.0, "center_thickness_mm": 0.9,
        "n_lens": 1.49, "n_medium": 1.336,
    }  # fmt: skip
    with pytest.raises(InputError, match=told):
        power_from_back_focal_length(**{**arguments, **change})


def test_magnification_in_a_wet_cell_needs_no_medium_for_the_power():
    """An angle θ in air is θ/m in the cell, and the image of a lens of focal length m/F is (m/F)·θ/m = θ/F high."""
    F, m, target, collimator = 20.0, 1.336, 8.0, 200.0
    height = (m / (F / 1000.0)) * (target / collimator / m)
    wet = power_from_magnification(height, target_height_mm=target, collimator_focal_length_mm=collimator, n_medium=m)
    assert float(wet.power_D.value) == pytest.approx(20.0)
    assert float(wet.equivalent_focal_length_mm.value) == pytest.approx(66.8)
    dry = power_from_magnification(height, target_height_mm=target, collimator_focal_length_mm=collimator)
    assert float(dry.equivalent_focal_length_mm.value) == pytest.approx(50.0)


def test_one_scale_for_both_heights_cancels():
    scale = Source("microscope scale")
    r = power_from_magnification(estimate(2.0, 0.02, scale), target_height_mm=estimate(8.0, 0.08, scale), collimator_focal_length_mm=200.0)
    assert float(r.power_D.u) == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(InputError, match="the target's height"):
        power_from_magnification(2.0, target_height_mm=0.0, collimator_focal_length_mm=200.0)


@given(curved, st.floats(0.0, 2.0), st.floats(1.38, 1.7), st.floats(1.0, 1.36), st.floats(1.0, 1.36))
def test_the_index_found_backwards_is_the_one_put_in(R, t, n, m1, m2):
    power = thick_lens(*R, t, n, m1, m2).power_D
    found = index_from_power(power, front_radius_mm=R[0], back_radius_mm=R[1], center_thickness_mm=t, n_medium=m1, n_medium_behind=m2)
    again = thick_lens(*R, t, found, m1, m2).power_D
    assert again == pytest.approx(power, abs=1e-9)
    if abs(1 / R[0] - 1 / R[1]) > 0.03:  # near equal radii two indices have the power
        assert found == pytest.approx(n, abs=1e-9)


def test_its_uncertainty_is_that_of_the_power_over_the_sensitivity():
    lens = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9}
    n = index_from_power(estimate(20.469666, 0.05, Source("bench")), **lens)
    assert float(n.value) == pytest.approx(1.49, abs=1e-8)
    assert float(n.u) == pytest.approx(0.05 / 132.5492, rel=1e-6, abs=0.0)  # worked outside the package
    wide = index_from_power(20.469666, **{**lens, "front_radius_mm": estimate(15.0, 0.02, Source("gauge", scope="lens"))})
    assert float(wide.u) == pytest.approx(0.680200 * 0.02 / 132.5492, rel=1e-5, abs=0.0)


def test_against_the_refractometer():
    """A medium read on the refractometer that also read the lens: what they share stands in the difference once, with its sign."""
    calibration = Source("refractometer, calibration", scope="instrument")
    lens = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9}
    medium = estimate(1.336, 0.0003, calibration)
    from_power = index_from_power(estimate(20.6, 0.05, Source("bench")), **lens, n_medium=medium)
    read = estimate(1.4905, 0.0003, calibration)
    a = agreement(from_power, read)
    # dn/dm at a held power is 132.5065/132.5492, so that the calibration all but cancels and the bench is left
    assert float(a.u_difference) == pytest.approx(0.05 / 132.55, rel=2e-3, abs=0.0)
    assert float(a.zeta) == pytest.approx(float(a.difference) / float(a.u_difference))
    assert bool(a.agrees)


@pytest.mark.parametrize(
    ("power", "lens", "told"),
    [
        (20.0, {"front_radius_mm": np.inf, "back_radius_mm": np.inf}, "without curvature"),
        (500.0, {"front_radius_mm": 15.0, "back_radius_mm": -15.0}, "no index from 1 to 3"),
        ([20.0, 500.0], {"front_radius_mm": 15.0, "back_radius_mm": -15.0}, "row 2"),
        (20.0, {"front_radius_mm": 0.015, "back_radius_mm": -15.0}, "is it in metres"),
    ],
)
def test_a_power_that_no_index_gives_is_refused(power, lens, told):
    with pytest.raises(InputError, match=told):
        index_from_power(power, center_thickness_mm=0.9, **lens)


def test_an_index_at_the_limit_is_one():
    """A plano-convex lens of 10 mm in air: n = 1 + F/100 D, so 200 D is an index of 3, the largest there may be."""
    lens = {"front_radius_mm": 10.0, "back_radius_mm": np.inf, "center_thickness_mm": 0.9, "n_medium": 1.0}
    assert index_from_power([0.0, 200.0], **lens).tolist() == [1.0, 3.0]
    for wrong in (-0.001, 200.001):
        with pytest.raises(InputError, match="no index from 1 to 3") as caught:
            index_from_power([50.0, wrong, 60.0], **lens)
        assert caught.value.row == 2


def test_the_factor_knows_nothing_of_the_measured_power():
    own = Source("power measured", scope="lens")
    found = in_another_condition(estimate(64.9, 0.1, own), measured=AIR, wanted=EYE)
    assert (set(found.factor.parts), set(found.power_D.parts)) == (set(), {own})
