"""Trials of a row on request."""

import numpy as np
import pytest

from lenscalc import evaluate
from lenscalc.uncertainty import Source


def by_trials(**columns):
    from lenscalc.chain.by_trials import BY_TRIALS

    row = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "u_n_lens": 1e-3, "u_front_radius_mm": 0.05,
           "u_back_radius_mm": 0.05, "u_center_thickness_mm": 0.02, "labelled_power_D": 20.5, **columns}  # fmt: skip
    size = max(np.size(v) for v in row.values())
    return evaluate({k: np.broadcast_to(v, size) for k, v in row.items()}, compute=("*", *BY_TRIALS)).columns


def test_trials_on_request_agree_with_the_linear_law_where_the_lens_is_nearly_linear():
    """u 0.14 D, of which the second order is below a thousandth; 100,000 trials leave 0.3 % of u and 0.002 of a probability."""
    c = by_trials()
    assert c["u_power_by_trials_D"][0] == pytest.approx(c["u_power_D"][0], rel=0.01, abs=0.0)
    assert c["trials_lower_D"][0] == pytest.approx(c["interval_lower_D"][0], abs=0.03 * c["u_power_D"][0])
    assert c["trials_upper_D"][0] == pytest.approx(c["interval_upper_D"][0], abs=0.03 * c["u_power_D"][0])
    assert c["conformance_probability_by_trials"][0] == pytest.approx(c["conformance_probability"][0], abs=0.01)


def test_a_row_has_the_same_trials_wherever_it_stands():
    alone, among = by_trials(n_lens=1.4951), by_trials(n_lens=[1.49, 1.4951, 1.50])
    assert alone["trials_lower_D"][0] == among["trials_lower_D"][1]
    assert alone["conformance_probability_by_trials"][0] == among["conformance_probability_by_trials"][1]


def test_trials_of_few_replicates_are_wider_than_their_u():
    """A t of 3 degrees of freedom has a standard deviation of √3 times its u, and 95 % within ±3.182 u (table of Student's t)."""
    row = {"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": [0.9], "n_lens": [1.49]}
    zero = {f"u_{name}": [0.0] for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    sources = {Source("replicates", dof=3.0, distribution="t"): {"n_lens": [1e-4]}}
    c = evaluate({**row, **zero}, sources=sources, compute=("u_power_D", "trials_lower_D", "trials_upper_D")).columns
    assert (c["trials_upper_D"][0] - c["trials_lower_D"][0]) / 2 == pytest.approx(3.182 * c["u_power_D"][0], rel=0.02, abs=0.0)


def test_no_trials_where_nothing_is_known_or_the_row_is_bad():
    c = by_trials(n_lens=[1.49, 14.9], u_n_lens=[np.nan, 1e-3])
    assert np.isnan(c["trials_lower_D"]).all()


@pytest.mark.parametrize("label", [20.0, 21.0])
def test_trials_count_what_lies_between_both_limits(label):
    """Off its label by about 0.5 D, more than the 0.4 D allowed: the probability of a normal law about the power, by its distribution function."""
    from math import erf

    c = by_trials(labelled_power_D=label)
    P, u = c["power_D"][0], c["u_power_D"][0]
    below, above = ((1 + erf((label + off - P) / u / 2**0.5)) / 2 for off in (-0.4, 0.4))
    assert 0.05 < above - below < 0.5
    assert c["conformance_probability_by_trials"][0] == pytest.approx(above - below, abs=0.006)


def test_a_cause_without_size_moves_no_trial():
    """Nothing is drawn for it, so that all others keep their draws."""
    row = {"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": [0.9], "n_lens": [1.49], "u_front_radius_mm": [0.05],
           "u_back_radius_mm": [0.05], "u_center_thickness_mm": [0.02], "u_n_lens": [1e-3]}  # fmt: skip
    asked = ("trials_lower_D", "trials_upper_D", "u_power_by_trials_D")
    with_it = evaluate(row, sources={Source("none"): {"n_lens": [0.0], "center_thickness_mm": [0.0]}}, compute=asked).columns
    without = evaluate(row, compute=asked).columns
    assert [with_it[name][0] for name in asked] == [without[name][0] for name in asked]


@pytest.mark.parametrize("side", ["front", "back"])
def test_trials_of_a_flat_surface_lie_about_the_power_of_a_flat_surface(side):
    """Plano-convex, R = 15 mm on the other side: 1000·(1.49 − 1.336)/15 = 10.267 D, whatever its thickness."""
    other = {"front": "back", "back": "front"}[side]
    sign = {"front": 1.0, "back": -1.0}
    c = by_trials(**{
        f"{side}_radius_mm": np.inf, f"u_{side}_radius_mm": np.nan, f"u_{side}_curvature_per_mm": 1e-4, f"{other}_radius_mm": sign[other] * 15.0,
    })  # fmt: skip
    assert (c["trials_lower_D"][0] + c["trials_upper_D"][0]) / 2 == pytest.approx(154.0 / 15.0, abs=0.02 * c["u_power_D"][0])
