"""What is missing decides nothing, what is exact leaves no risk, and one limit is no tolerance of a lot."""

import numpy as np
import pytest
from scipy.stats import norm

from lenscalc import InputError, evaluate
from lenscalc.decision import by_rules, decide, expected_yield, largest_u, lot_forecast
from lenscalc.decision.decide import WOULD_NOT, outside_text
from lenscalc.uncertainty import acceptance_limits, acceptance_limits_at, nonconformance_probability, specific_risk

nan, inf = np.nan, np.inf
LOT = {"power_D": 20.5, "u_common_D": 0.2, "u_individual_D": 0.05, "lower_D": 20.1, "upper_D": 20.9, "dof_common": 9.0}


@pytest.mark.parametrize("missing", LOT)
def test_of_a_lot_of_which_something_is_missing_nothing_is_said(missing):
    """Without u of the common part no lens was off, surely; without that of a lens every lot missed its yield; without dof it was a normal law's."""
    given = LOT | {missing: nan}
    dof = given.pop("dof_common")
    found = lot_forecast(*given.values(), dof_common=dof)
    if missing == "u_individual_D":  # the lot's mean does not ask for it
        found = found._replace(lot_off_probability=nan)
    assert np.isnan(found).all()
    beside = lot_forecast(*([x, y] for x, y in zip(given.values(), list(LOT.values())[:5], strict=True)), dof_common=[dof, 9.0])
    whole = lot_forecast(*list(LOT.values())[:5], dof_common=9.0)
    assert [x[1] for x in beside] == list(whole)


@pytest.mark.parametrize(("lower", "upper"), [(-inf, 20.9), (20.1, inf), (-inf, inf)])
def test_one_limit_is_refused_where_the_yield_of_a_lot_is_asked(lower, upper):
    """It had a yield that is missed never, where the lot's mean lies beyond the limit with 2.3 %."""
    with pytest.raises(InputError, match="two finite limits"):
        lot_forecast(20.5, 0.2, 0.05, lower, upper)
    with pytest.raises(InputError, match="two finite limits"):
        expected_yield(20.5, 0.2, 0.05, lower, upper, dof_common=5.0)


@pytest.mark.parametrize("lenses", [0.5, 1.5, inf, nan, [10, 100]])
def test_a_lot_has_a_whole_number_of_lenses(lenses):
    with pytest.raises(InputError, match=r"must be a whole number, 1 or more|must be a single one"):
        lot_forecast(20.5, 0.2, 0.05, 20.1, 20.9, lenses=lenses)


def test_without_degrees_of_freedom_no_largest_u_is_named():
    """It was inf: any u decides."""
    assert np.isnan(largest_u(20.0, 19.6, 20.4, 0.95, nan))
    assert np.isnan(largest_u([20.0, 20.0], 19.6, 20.4, 0.95, [inf, nan])).tolist() == [False, True]


@pytest.mark.parametrize("value", [20.1, 20.5, 20.9])
def test_an_exact_value_within_its_limits_or_on_one_carries_no_risk(value):
    """JCGM 106:2012, 3.3.4 (from memory): the limits belong to the tolerance interval."""
    assert nonconformance_probability(value, 0.0, 20.1, 20.9) == 0.0
    assert specific_risk(value, 0.0, 20.1, 20.9, acceptance_lower=20.1, acceptance_upper=20.9).consumers_risk == 0.0
    assert decide(value, 0.0, inf, 0.0, inf, 20.5, 20.9 - 20.5).lot_off_probability == 0.0
    for found in by_rules(value, 0.0, inf, 20.1, 20.9, 0.95):
        assert (found.accepted, found.risk, found.largest_risk) == (True, 0.0, 0.0)
    assert lot_forecast(value, 0.0, 0.0, 20.1, 20.9)[:5] == (1.0, 1.0, 0.0, 0.0, 0.0)


def test_exact_values_stand_beside_uncertain_ones():
    found = nonconformance_probability([20.9, 20.9, 21.0, 20.9], [0.0, 0.1, 0.0, nan], 20.1, [20.9, 20.9, 20.9, 20.9])
    assert found[:3].tolist() == [0.0, pytest.approx(0.5), 1.0]
    assert np.isnan(found[3])
    assert nonconformance_probability(20.5, 0.0, 20.5, 20.5) == 0.0  # it was 2


def test_without_u_no_guarded_rule_accepts():
    """It had the limits of an exact power."""
    simple, guarded, *_ = by_rules(20.88, nan, inf, 20.1, 20.9, 0.95)
    assert simple.accepted
    assert guarded.accepted is None
    assert np.isnan(decide(20.88, nan, inf, nan, inf, 20.5, 0.4)[2:4]).all()


@pytest.mark.parametrize(("lower", "upper", "value"), [(20.1, inf, 20.5), (-inf, 20.9, 20.5)])
def test_with_one_limit_the_largest_risk_is_that_at_it(lower, upper, value):
    """A half at the limit, Φ(−k) within it by U = k·u; with a lower one alone it was 0 for both."""
    simple, guarded, *_, at_95 = by_rules(value, 0.1, inf, lower, upper, 0.95)
    assert (simple.largest_risk, guarded.largest_risk, at_95.largest_risk) == pytest.approx((0.5, 0.025, 0.05), rel=1e-9, abs=0.0)
    assert simple.risk == pytest.approx(norm.sf(4.0), rel=1e-9, abs=0.0)


def test_simple_acceptance_asks_for_no_uncertainty():
    found = acceptance_limits(20.1, 20.9, [inf, nan], rule="simple acceptance")
    assert found.acceptance_lower.tolist() == [20.1, 20.1]
    assert found.acceptance_upper.tolist() == [20.9, 20.9]


@pytest.mark.parametrize(("lower", "u", "dof"), [(nan, 0.1, inf), (-inf, inf, inf), (-inf, 0.1, nan), (-inf, nan, inf)])
def test_there_is_no_acceptance_zone_where_something_is_missing_or_nothing_known(lower, u, dof):
    found = acceptance_limits_at(lower, 20.9, u, probability=0.95, dof=dof)
    assert not found.exists
    assert np.isnan(found[:3]).all()


def test_a_row_without_its_label_or_with_an_infinite_one_stays_in_its_place():
    row = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "u_n_lens": 0.001}
    table = {k: [v] * 3 for k, v in row.items()} | {"labelled_power_D": [20.5, inf, nan]}
    table |= {"u_" + name: [0.01] * 3 for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    found = evaluate(table)
    assert found.columns["expected_yield"][0] > 0.9
    assert np.isnan(found.columns["expected_yield"][1:]).all()


@pytest.mark.parametrize("missing", range(3))
def test_what_is_missing_has_no_verdict(missing):
    """It lay too near a limit for its uncertainty."""
    given = [np.array([20.47, 20.47]), np.array([0.05, 0.05]), np.array([9.0, 9.0])]
    given[missing] = np.array([nan, given[missing][1]])
    assert decide(*given, 0.04, inf, 20.5, 0.4).verdict.tolist() == ["", "would conform if cut to these dimensions"]


def test_without_a_verdict_a_power_outside_is_brought_in_by_other_radii_alone():
    """Its u is missing: nobody can say that a smaller one would decide."""
    assert outside_text("") == outside_text(WOULD_NOT) == "A smaller uncertainty cannot bring it in; other radii can."
