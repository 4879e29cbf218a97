"""What the sources of a row add up to, by hand: apart, shared, from a sag, with their signs."""

import numpy as np
import pytest
from one_row import GONE, READ, ROW, evaluated, one

from lenscalc import InputError, conformance_probability, evaluate, power_sensitivity
from lenscalc.chain import CALIBRATION
from lenscalc.uncertainty import Source


@pytest.mark.parametrize(
    ("name", "larger"),
    [("u_n_lens", 2e-3), ("u_front_radius_mm", 0.4), ("u_back_radius_mm", 0.4), ("u_center_thickness_mm", 3.0)],
)
def test_the_probability_falls_when_any_uncertainty_rises(name, larger):
    before, after = evaluated(), evaluated(**{name: larger})
    assert after.columns["u_power_D"][0] > before.columns["u_power_D"][0]
    assert after.columns["conformance_probability"][0] < before.columns["conformance_probability"][0] - 0.01


def test_u_of_the_power_by_hand():
    s = power_sensitivity(15, -15, 0.9, 1.49)
    wanted = np.hypot.reduce([
        s.d_power_d_n_lens * 3e-4, s.d_power_d_front_radius_mm * 0.02, s.d_power_d_back_radius_mm * 0.02, s.d_power_d_center_thickness_mm * 0.01
    ])  # fmt: skip
    columns = evaluated().columns
    assert columns["u_power_D"][0] == pytest.approx(wanted, rel=1e-12, abs=0.0)
    assert columns["u_power_common_D"][0] == pytest.approx(s.d_power_d_n_lens * 3e-4, rel=1e-12, abs=0.0)  # dimensions are the lens's
    assert np.hypot(columns["u_power_common_D"][0], columns["u_power_individual_D"][0]) == pytest.approx(wanted, rel=1e-12, abs=0.0)
    assert columns["conformance_probability"][0] == pytest.approx(conformance_probability(20.469666, wanted, 20.1, 20.9), abs=1e-9)


def test_two_radii_on_one_gauge():
    """15/−15 mm, 0.03 mm each: 0.680200·0.03·√2 = 0.029 D apart; from one gauge both surfaces err alike, 0.680200·0.03·2 = 0.041 D."""
    none = {"u_n_lens": 0.0, "u_center_thickness_mm": 0.0}
    apart = one("u_power_D", **none, u_front_radius_mm=0.03, u_back_radius_mm=0.03)
    shared = {Source("gauge", "instrument"): {"front_radius_mm": 0.03, "back_radius_mm": -0.03}}
    together = evaluated(**none, u_front_radius_mm=GONE, u_back_radius_mm=GONE, sources=shared)
    assert apart == pytest.approx(0.6802 * 0.03 * 2**0.5, rel=1e-5, abs=0.0)
    assert together.columns["u_power_D"][0] == pytest.approx(0.6802 * 0.03 * 2, rel=1e-5, abs=0.0)
    assert f"{apart:.3f}, {together.columns['u_power_D'][0]:.3f}" == "0.029, 0.041"
    assert together.columns["conformance_probability"][0] > 0.9


def test_a_calibration_shared_with_the_medium_cancels():
    """3e-4 shared and 5e-5 own on each: 0.009 D in the measured medium, 0.040 D if the medium were exact (132.5·u by hand)."""
    own = {"u_front_radius_mm": 0.0, "u_back_radius_mm": 0.0, "u_center_thickness_mm": 0.0, "u_n_lens": 5e-5}
    medium = {"n_measured_medium": 1.336, "u_n_measured_medium": 5e-5}
    on_one_instrument = {CALIBRATION: {"n_lens": 3e-4, "n_measured_medium": 3e-4}}
    shared = one("u_power_in_measured_medium_D", **own, **medium, sources=on_one_instrument)
    assert shared == pytest.approx(132.5 * 5e-5 * 2**0.5, rel=1e-3, abs=0.0)
    assert round(shared, 3) == 0.009
    assert round(one("u_power_D", **own, u_calibration=3e-4), 3) == 0.040
    # a column says nothing of the instrument that read the medium: then nothing is shared
    assert round(one("u_power_in_measured_medium_D", **own, **medium, u_calibration=3e-4), 3) == 0.041
    assert one("power_in_measured_medium_D", **own, **medium) == one("power_D")


def test_what_one_cause_does_twice_to_a_quantity_adds_up_with_its_sign():
    """A calibration of 2e-4 in the column and 1e-4 more, or less, beside it: it is one cause, so 132.5492·3e-4 D, or 1e-4 of it.

    The slope 132.5492 D as mpmath gives it (tests/reference_scripts).
    """
    exact = {"u_front_radius_mm": 0.0, "u_back_radius_mm": 0.0, "u_center_thickness_mm": 0.0, "u_n_lens": 0.0}
    for more, whole in ((1e-4, 3e-4), (-1e-4, 1e-4)):
        found = one("u_power_D", **exact, u_calibration=2e-4, sources={CALIBRATION: {"n_lens": more}})
        assert found == pytest.approx(132.5492 * whole, rel=1e-6, abs=0.0)


@pytest.mark.parametrize("name", ["n_lens", "n_medium", "front_radius_mm", "back_radius_mm", "center_thickness_mm"])
def test_a_part_has_the_sign_of_the_change_that_it_stands_for(name):
    u = 1e-6
    part = evaluated(sources={Source("cause"): {name: u}}).estimates["power_D"].parts[Source("cause")][0]
    moved = one("power_D", **{name: {"n_medium": 1.336, **ROW}[name] + u}) - one("power_D")
    assert part == pytest.approx(moved, rel=1e-4, abs=0.0)


@pytest.mark.parametrize("own", [3e-4, 1e-3])
def test_a_sag_is_a_curvature(own):
    """u(c) = u(s)/(ds/dc), the slope taken numerically on s = R − √(R² − h²), h = 3 mm."""

    def sag(c):
        return (1 - (1 - 9 * c * c) ** 0.5) / c

    c = 1 / 15
    slope = (sag(c + 1e-5) - sag(c - 1e-5)) / 2e-5
    by_sag = one("u_power_D", u_front_radius_mm=GONE, u_front_sag_mm=own, optic_diameter_mm=6.0)
    assert by_sag == pytest.approx(one("u_power_D", u_front_radius_mm=GONE, u_front_curvature_per_mm=own / slope), rel=1e-8, abs=0.0)
    assert by_sag == pytest.approx(one("u_power_D", u_front_radius_mm=own / slope * 225), rel=1e-8, abs=0.0)


def test_a_sag_from_a_source_needs_its_height_too():
    shared = {Source("gauge", "instrument"): {"front_sag_mm": 0.05}}
    e = evaluated(u_front_radius_mm=GONE, sources=shared)
    assert "optic_diameter_mm is missing beside u_front_sag_mm" in e.problems[0]
    wide = evaluated(u_front_radius_mm=GONE, sources=shared, optic_diameter_mm=6.0).columns["u_power_D"][0]
    assert wide == pytest.approx(one("u_power_D", u_front_radius_mm=GONE, u_front_sag_mm=0.05, optic_diameter_mm=6.0), rel=1e-14, abs=0.0)


def test_a_sag_in_one_row_asks_for_no_height_in_the_next():
    """A height of 2.75 mm on R = 15: s = R − √(R² − h²), ds/dR = 1 − R/√(R² − h²), and so u(R) = u(s)/|ds/dR|."""
    rows = {**ROW, "u_front_radius_mm": np.nan, "u_front_curvature_per_mm": [np.nan, 1e-4], "u_front_sag_mm": [0.001, np.nan],
            "optic_diameter_mm": [5.5, np.nan]}  # fmt: skip
    e = evaluate({name: np.broadcast_to(v, 2) for name, v in rows.items()})
    assert list(e.problems) == ["", ""]
    of_R = 0.001 / (15.0 / (225.0 - 2.75**2) ** 0.5 - 1.0)
    assert e.columns["u_power_D"] == pytest.approx(
        [one("u_power_D", u_front_radius_mm=of_R), one("u_power_D", u_front_radius_mm=0.0225)], rel=1e-10, abs=0.0
    )


def test_a_source_that_acts_on_an_unknown_quantity_is_refused():
    with pytest.raises(InputError, match="front_raduis_mm"):
        evaluated(sources={Source("gauge", "instrument"): {"front_raduis_mm": 0.05}})


def test_a_source_without_a_number_does_not_reach_a_verdict():
    try:
        e = evaluated(sources={Source("gauge", "instrument"): {"front_radius_mm": np.nan}})
    except InputError:
        return
    assert e.columns["verdict"][0] == ""


def test_the_calibration_column_acts_on_the_reading():
    e = evaluated(READ)
    part = e.estimates["power_D"].parts[CALIBRATION][0]
    assert e.columns["calibration_part_power_D"][0] == part
    assert part == pytest.approx(e.columns["d_power_d_n_lens"][0] * 2e-4, rel=0.01, abs=0.0)  # dn_use/dn_reading is near 1


def test_a_medium_behind_that_is_uncertain():
    """In air before and 1.336 behind. By hand: F1 = 0.49/0.015 = 32.6667 D, dF/dm₂ = (1 − 0.0009·F1/1.49)/R2 = −65.351 D."""
    exact = dict.fromkeys([name for name in ROW if name.startswith("u_")], 0.0)
    behind = {Source("osmometer", "instrument"): {"n_medium_behind": 1e-4}}
    e = evaluated(**exact, n_medium=1.0, n_medium_behind=1.336, sources=behind)
    assert e.columns["u_power_D"][0] == pytest.approx(65.351e-4, rel=1e-4, abs=0.0)
    assert e.estimates["power_D"].parts[Source("osmometer", "instrument")][0] < 0


def test_a_reading_and_an_index_side_by_side_have_each_their_own_causes_alone():
    table = {name: [READ.get(name, np.nan), ROW.get(name, np.nan)] for name in {**READ, **ROW} if not isinstance(READ.get(name), str)}
    table |= {name: [text, ""] for name, text in READ.items() if isinstance(text, str)}
    both = evaluate(table).columns
    for row, alone in enumerate((READ, ROW)):
        assert both["u_power_D"][row] == one("u_power_D", alone)
    assert both["u_n_lens"][1] == 3e-4


def test_one_gauge_that_acts_on_a_radius_and_on_its_curvature_may_act_on_neither():
    """dc = −dR/R²: 0.0225 mm of a radius of 15 mm are −1e-4 /mm, and with +1e-4 nothing."""
    exact = {name: 0.0 if name != "u_front_radius_mm" else GONE for name in ROW if name.startswith("u_")}
    gauge = Source("gauge", "instrument")
    for by_curvature, left in ((1e-4, 0.0), (-1e-4, 2e-4)):
        e = evaluated(**exact, sources={gauge: {"front_radius_mm": [0.0225], "front_curvature_per_mm": [by_curvature]}})
        assert e.columns["u_power_D"][0] == pytest.approx(abs(e.columns["d_power_d_front_curvature_per_mm"][0]) * left, abs=1e-12)


@pytest.mark.parametrize("conic", [0.0, -2.0])
@pytest.mark.parametrize("missing", ["front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm"])
def test_what_is_missing_is_not_called_impossible(missing, conic):
    rows = {**ROW, "optic_diameter_mm": 6.0, "front_conic": conic, missing: [ROW.get(missing, 6.0), np.nan]}
    e = evaluate({name: np.broadcast_to(v, 2) for name, v in rows.items()})
    assert e.problems[0] == ""
    assert e.problems[1] == ("" if missing == "optic_diameter_mm" else f"{missing} is missing")


@pytest.mark.parametrize(("dof", "k"), [(np.inf, 1.959964), (4.0, 2.776445), (10.0, 2.228139)])
def test_the_interval_reaches_k_u_to_either_side(dof, k):
    """k for 95 % from tables of the normal law and of Student's t."""
    zero = dict.fromkeys(("u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm"), 0.0)
    e = evaluated(**zero, sources={Source("replicates", dof=dof): {"n_lens": 3e-4}}).columns
    P, u = e["power_D"][0], e["u_power_D"][0]
    assert (e["interval_lower_D"][0], e["interval_upper_D"][0]) == pytest.approx((P - k * u, P + k * u), rel=1e-7, abs=0.0)
