"""Right at the edges of a choice, and where nothing or everything is shared."""

import numpy as np
import pytest
from scipy.stats import norm, t

from lenscalc import Estimate, InputError, Source
from lenscalc.cli.rank import rank
from lenscalc.decision import (
    Criterion,
    better_probability,
    decide,
    decimals_table,
    expected_yield,
    instrument_adequacy,
    largest_u,
    lot_forecast,
    power_tolerance_D,
    rank_candidates,
    read_tolerance_table,
    remeasured,
    replicates_worth,
    toric_conformity,
    work_on_first,
    yield_below_probability,
    yield_quantile,
)
from lenscalc.decision.lot import all_off_probability
from lenscalc.decision.replicates import TOO_MANY, more_mountings_text, mountings_worth
from lenscalc.decision.rules import by_rules


def test_the_largest_u_does_not_depend_on_where_zero_is():
    """p = 2Φ(0.4/u) − 1 = 0.95 at u = 0.4/1.96, about any label."""
    for label in (20.0, 0.0, -20.0):
        assert largest_u(label, label - 0.4, label + 0.4, 0.95) == pytest.approx(0.4 / norm.ppf(0.975), rel=1e-9, abs=0.0)


def test_what_nobody_knows_is_no_probability():
    assert np.isnan(better_probability(np.nan, 1.0, u=np.nan, other_u=0.1))


def test_two_alike_that_share_their_whole_error_tie():
    shared = {"u": 0.1, "other_u": 0.1, "calibration_part": 0.1, "other_calibration_part": 0.1}
    assert better_probability(20.5, 20.5, **shared, direction="near", target=20.0) == 0.5


@pytest.mark.parametrize(("x", "y"), [(20.5, 19.6), (19.5, 20.4)])
def test_opposite_parts_of_one_error(x, y):
    """x = 20.5 + 0.1e, y = 19.6 − 0.1e, target 20: x is nearer only where |0.5 + 0.1e| < |0.4 + 0.1e|, e below −4.5; and mirrored at 20."""
    parts = {"u": 0.1, "other_u": 0.1, "calibration_part": 0.1, "other_calibration_part": -0.1}
    assert better_probability(x, y, **parts, direction="near", target=20.0) == pytest.approx(norm.cdf(-4.5), rel=1e-9, abs=0.0)


def test_reference_lines_of_an_instrument_at_their_edges():
    """100 D a unit of index, ±0.4 D: ten to one is a step of 0.0004 in the index, four to one with k = 2 is u = 0.05 D."""
    assert [bool(instrument_adequacy(100.0, tolerance_D=0.4, resolution=d).ten_to_one) for d in (0.0004, 0.00041)] == [True, False]
    by_u = [instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.0, u_calibration=u).four_to_one for u in (0.0005, 0.00051)]
    assert [bool(x) for x in by_u] == [True, False]


def test_the_first_case_is_asked_about_and_what_is_exact_is_no_contribution():
    power = Estimate(np.array([20.5, 20.5]), {Source("calibration"): np.array([0.1, 0.3]), Source("radius"): np.array([0.2, 0.1])})
    assert [c.source for c in work_on_first(power, 20.1, 20.9)] == ["radius", "calibration"]
    assert [c.source for c in work_on_first(power, 20.1, 20.9, case=1)] == ["calibration", "radius"]
    assert work_on_first(Estimate(20.5, {Source("calibration"): 0.0}), 20.1, 20.9) == []


def test_the_table_of_replicates_by_hand():
    """s = 3, rest 1, a third of it: (3/(1/3))² = 81 replicates. U of n is t(n − 1 with the rest)·u."""
    worth = replicates_worth(3.0, 1.0)
    assert worth.enough == 81
    assert [r.replicates for r in worth.rows] == [*range(2, 11), 15, 20, 30, 50, 81]  # every one to ten, then round numbers
    assert [r.replicates for r in replicates_worth(33.0, 1.0).rows][9:] == [15, 20, 30, 50, 100, 200, 500, 1000, 2000, 5000, 9801]

    def U(n):
        u2 = 9.0 / n + 1.0
        return t.ppf(0.975, (n - 1) * (u2 / (9.0 / n)) ** 2) * u2**0.5

    for row in worth.rows[1:4]:
        assert row.u_type_a == pytest.approx(3.0 / row.replicates**0.5, rel=1e-15, abs=0.0)
        assert row.expanded == pytest.approx(U(row.replicates), rel=1e-9, abs=0.0)
        assert row.last_one_gained == pytest.approx(1.0 - U(row.replicates) / U(row.replicates - 1), rel=1e-9, abs=0.0)


def test_a_hundred_mountings_are_the_most_that_are_named():
    """(s/(rest/3))²: 10² for s = 10 beside 3; more than that nobody makes (common practice, no source)."""
    assert (mountings_worth(9.9, 3.0), mountings_worth(10.0, 3.0), mountings_worth(10.01, 3.0)) == (99, 100, None)
    assert "More than 100 mountings" in TOO_MANY


@pytest.mark.parametrize(("s", "rest", "told"), [(1.0, 1e-5, "9e[+]10 replicates"), (1e200, 1e-200, "endless replicates"), (np.inf, 1.0, "endless")])
def test_more_replicates_than_anybody_makes_are_told_in_the_refusal(s, rest, told):
    """(3s/rest)²."""
    with pytest.raises(InputError, match=told):
        replicates_worth(s, rest)


def test_limits_that_meet_hold_no_lens_and_a_lot_may_be_one_lens():
    assert expected_yield(20.0, 0.1, 0.1, 20.0, 20.0) == 0.0
    one = all_off_probability(20.5, 0.2, 0.1, 20.1, 20.9, lenses=1)
    assert one == pytest.approx(1.0 - expected_yield(20.5, 0.2, 0.1, 20.1, 20.9), rel=1e-9, abs=0.0)
    thousand = lot_forecast(20.5, 0.2, 0.1, 20.1, 20.9).all_off_probability
    assert thousand == all_off_probability(20.5, 0.2, 0.1, 20.1, 20.9, lenses=1000) < one


def test_a_yield_that_few_lots_fall_short_of_off_the_middle():
    """u(common) = 0.1, lenses exact up to 0.05; mean 20.75 of 20.1 to 20.9. 5 % of lots have a mean so far off the middle that the yield is less:
    P(|mean − 20.5| > d) = 5 %, with only the upper side left: 20.75 + 1.645·0.1, then Φ of what is left of the limits."""
    upper_mean = 20.75 + norm.ppf(0.95) * 0.1
    expected = norm.cdf((20.9 - upper_mean) / 0.05) - norm.cdf((20.1 - upper_mean) / 0.05)
    assert yield_quantile(20.75, 0.1, 0.05, 20.1, 20.9, probability=0.05) == pytest.approx(expected, rel=2e-3, abs=0.0)


def test_the_command_says_the_defaults_of_the_function():
    told = {option.name: option.default for option in rank.params}
    found = rank_candidates({"x": np.arange(60.0)}, [Criterion("x", "high")], u={"x": 0.1}).trials
    assert (found.mean_rank.size, found.trials, found.seed) == (told["among"], told["trials"], told["seed"])


def test_the_table_of_decimals_runs_over_usual_lenses():
    rows = decimals_table()
    assert sorted({r.power_D for r in rows}) == [10.0, 15.0, 20.0, 25.0, 30.0, 35.0]
    assert sorted({r.n_lens for r in rows}) == [1.41, 1.43, 1.46, 1.49, 1.55]  # silicone, hydrogels, soft and stiff acrylics
    assert len(rows) == 30


def test_a_wanted_probability_of_one_half_has_no_acceptance_limits_of_its_own():
    rows = by_rules(20.0, 0.1, np.inf, 19.6, 20.4, 0.5)
    assert len(rows) == len(by_rules(20.0, 0.1, np.inf, 19.6, 20.4, 0.3)) == len(by_rules(20.0, 0.1, np.inf, 19.6, 20.4, 0.95)) - 1


@pytest.mark.parametrize("direction", ["low", "high"])
def test_a_calibration_that_acts_more_on_one_than_on_the_other_is_left_by_the_difference(direction):
    """The whole u is the calibration's, 0.3 and 0.1: their difference has 0.2, whatever else is exact: P = Φ(0.1/0.2)."""
    values = {"x": [1.0, 1.1], "exact": [5.0, 5.0]}
    criteria = [Criterion("x", direction), Criterion("exact", "high")]
    found = rank_candidates(values, criteria, u={"x": [0.3, 0.1]}, calibration_part={"x": [0.3, 0.1]})
    assert not found.by_trials
    assert found.better_than_next_probability[0] == pytest.approx(norm.cdf(0.1 / 0.2), abs=1e-9)


@pytest.mark.parametrize("small", [1.0, 1e-5, 1e3])
def test_an_index_cannot_explain_more_than_the_whole_at_any_size(small):
    lot = (20.5, 0.2 * small, 0.05, 20.1, 20.9)
    remeasured(*lot, d_power_d_n_lens=100.0, u_n_lens=0.002 * small, u_n_lens_then=0.001 * small)
    with pytest.raises(InputError, match="more than the whole common part"):
        remeasured(*lot, d_power_d_n_lens=100.0, u_n_lens=0.0020001 * small, u_n_lens_then=0.001 * small)


def test_an_index_that_is_the_whole_but_for_rounding_or_exact():
    """100 D a unit and 0.002(1 + 1e-12) are 0.2 D: measured exactly, nothing is left. Where nothing is uncertain there is nothing to save."""
    rest = remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=100.0, u_n_lens=0.002 * (1.0 + 1e-12), u_n_lens_then=0.0)
    assert rest.u_common_then_D == 0.0
    exact = remeasured(20.5, 0.0, 0.05, 20.1, 20.9, d_power_d_n_lens=100.0, u_n_lens=0.0, u_n_lens_then=0.0)
    assert (exact.u_common_then_D, exact.saved_per_1000) == (0.0, 0.0)


def test_an_instruments_answer_by_hand():
    """∂F/∂n 100, u of the index 0.001, nothing else: u = 0.1 D, U = 0.2 D, T/U = 0.4/0.2."""
    a = instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.0, u_calibration=0.001)
    assert (float(a.u_power_D), float(a.expanded_D), float(a.uncertainty_ratio)) == pytest.approx((0.1, 0.2, 2.0), rel=1e-12, abs=0.0)


def test_no_yield_is_below_none():
    assert yield_below_probability(20.5, 0.2, 0.05, 20.1, 20.9, wanted_yield=0.0) == 0.0
    assert yield_below_probability(20.5, 0.0, 0.5, 20.1, 20.9, wanted_yield=1.0) == 1.0


def test_lots_of_negative_powers_are_those_of_positive_ones():
    for of in (expected_yield, all_off_probability):
        assert of(-20.4, 0.2, 0.05, -20.9, -20.1) == pytest.approx(of(20.4, 0.2, 0.05, 20.1, 20.9), rel=1e-13, abs=0.0)


def test_what_is_exact_has_no_guard_band_whatever_is_known_of_its_dof():
    for dof in (np.inf, 3.0, np.nan):
        first, *_ = by_rules(20.5, 0.0, dof, 20.1, 20.9, 0.95)[1:]
        assert (first.acceptance_lower_D, first.acceptance_upper_D, first.accepted) == (20.1, 20.9, True)
        d = decide(np.array([20.5]), np.zeros(1), np.array([dof]), np.zeros(1), np.array([dof]), np.array([20.5]), np.array([0.4]))
        assert (d.acceptance_lower_D[0], d.acceptance_upper_D[0]) == (20.1, 20.9)


def test_a_lens_without_cylinder_is_compared_with_one_that_should_have_some_and_the_other_way():
    common = {"axis_deg": 0.0, "labelled_sphere_D": 20.0, "labelled_axis_deg": 0.0, "tolerance_mean_power_D": 0.5, "tolerance_cylinder_D": 0.3,
              "tolerance_axis_deg": 5.0}  # fmt: skip
    assert toric_conformity(20.0, cylinder_D=0.0, labelled_cylinder_D=-0.25, **common).cylinder_difference_D == 0.25
    assert toric_conformity(20.0, cylinder_D=-0.25, labelled_cylinder_D=0.0, **common).cylinder_difference_D == -0.25
    with pytest.raises(InputError, match="opposite signs"):
        toric_conformity(20.0, cylinder_D=0.1, labelled_cylinder_D=-0.25, **common)


def test_what_never_conforms_would_not_conform_even_where_certainty_is_asked():
    d = decide(*(np.array([x]) for x in (30.0, 0.05, np.inf, 0.04, np.inf, 20.5, 0.4)), required_probability=1.0)
    assert d.conformance_probability[0] == 0.0
    assert d.verdict[0].startswith("would not conform")


def test_a_calibration_is_exact_unless_it_is_said_otherwise_and_a_tolerance_is_above_nothing():
    """A resolution of 0.0001 alone: 1e-4/√12·100 = 0.0028868 D."""
    assert float(instrument_adequacy(100.0, tolerance_D=0.4, resolution=1e-4).u_power_D) == pytest.approx(1e-2 / 12**0.5, rel=1e-12, abs=0.0)
    with pytest.raises(InputError, match="tolerance_D must be above 0"):
        instrument_adequacy(100.0, tolerance_D=0.0, resolution=1e-4)


def test_a_tolerance_of_nothing_may_be_stated():
    same = toric_conformity(20.0, cylinder_D=-1.0, axis_deg=10.0, labelled_sphere_D=20.0, labelled_cylinder_D=-1.0, labelled_axis_deg=10.0,
                            tolerance_mean_power_D=0.0, tolerance_cylinder_D=0.0, tolerance_axis_deg=0.0)  # fmt: skip
    assert same.within_tolerance is True


def test_the_first_of_several_labels_beyond_a_table_is_named(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('edition = "own"\n[[band]]\nup_to_D = 25\ntolerance_D = 0.25\n', encoding="utf-8")
    with pytest.raises(InputError, match="labelled_power_D = 26 D"):
        power_tolerance_D([20.0, 26.0, 30.0], table=read_tolerance_table(path))


def test_the_guard_band_of_a_rule_is_told_in_expanded_uncertainties():
    """Simple acceptance has none, the guarded one 1·U."""
    simple, guarded, *_ = by_rules(20.5, 0.05, np.inf, 20.1, 20.9, 0.95)
    assert (simple.guard_band_in_U, guarded.guard_band_in_U) == (0.0, pytest.approx(1.0))


@pytest.mark.parametrize("beyond", [95.0, 1.001, -0.001])
def test_a_required_probability_is_a_fraction(beyond):
    """Of 95 for 0.95 nothing was decided, whatever the power, and the rule at the required probability was left out."""
    one = np.ones(2)
    for asked in (
        lambda p: decide(20.5 * one, 0.05, np.inf, 0.04, np.inf, 20.5, 0.4, p),
        lambda p: largest_u(20.5, 20.1, 20.9, p),
        lambda p: instrument_adequacy(100.0, tolerance_D=0.4, resolution=0.001, required_probability=p),
    ):
        asked(np.array([0.0, 1.0]))
        with pytest.raises(InputError, match=f"required_probability = {beyond:g}: must be 0 to 1; is it in per cent"):
            asked(np.array([1.0, beyond]))
    with pytest.raises(InputError, match=f"required_probability = {beyond:g}: must be 0 to 1; is it in per cent"):
        by_rules(20.5, 0.05, np.inf, 20.1, 20.9, beyond)


def test_no_rule_asks_for_certainty():
    assert len(by_rules(20.5, 0.05, np.inf, 20.1, 20.9, 1.0)) == len(by_rules(20.5, 0.05, np.inf, 20.1, 20.9, 0.95)) - 1


@pytest.mark.parametrize("dof", [0.5, 1.0])
def test_one_degree_of_freedom_and_less_are_some(dof):
    """Of one degree of freedom Student's law is Cauchy's: P(|x| < 0.4) = 2·arctan(4)/π for u = 0.1."""
    found = expected_yield(20.5, 0.1, 0.0, 20.1, 20.9, dof_common=dof)
    assert found == pytest.approx(2 * t(dof).cdf(4.0) - 1, abs=1e-6)
    if dof == 1.0:
        assert found == pytest.approx(2 * np.arctan(4.0) / np.pi, abs=1e-6)


@pytest.mark.parametrize(("count", "told"), [(4, "by 5 in place of 4 it would be small."), (5, "5 are enough."), (6, "6 are enough.")])
def test_as_many_mountings_as_are_enough_are_enough(count, told):
    assert more_mountings_text(5, count=count, share=0.44) == f"The spread of the mountings holds 44 % of u² of the index; {told}"


def test_mountings_beside_a_rest_of_nothing_or_less():
    """Beside nothing no number is small; of a rest below 0 it was said that more do not help."""
    assert mountings_worth(0.1, 0.0) is None
    with pytest.raises(InputError, match=r"^u_rest and part must be above 0: beside nothing no number of replicates is small$"):
        mountings_worth(0.1, -1.0)


def test_a_spread_without_end_beside_a_rest_without_end_is_told():
    """It ended in a ValueError."""
    with pytest.raises(InputError, match=r"^endless replicates would be needed: find out why the readings scatter so$"):
        replicates_worth(np.inf, np.inf)


@pytest.mark.parametrize(("beyond", "within"), [(0.0, True), (1e-9, False)])
def test_the_last_bits_of_a_difference_are_no_departure_and_a_billionth_of_a_dioptre_is(beyond, within):
    found = toric_conformity(
        20.3 + beyond, cylinder_D=-1.0, axis_deg=10.0, labelled_sphere_D=20.0, labelled_cylinder_D=-1.0, labelled_axis_deg=10.0,
        tolerance_mean_power_D=0.3, tolerance_cylinder_D=0.3, tolerance_axis_deg=5.0,
    )  # fmt: skip
    assert found.within_tolerance is within
