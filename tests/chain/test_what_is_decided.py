"""What a decision needs, and what never reaches one."""

import numpy as np
import pytest
from one_row import GONE, READ, ROW, evaluated, one

from lenscalc import evaluate
from lenscalc.decision import read_tolerance_table
from lenscalc.uncertainty import Source


# power in 1.336 less power in saline of 1.3346 at 20 D: 20·0.0014/(n − 1.336) by hand; saline from the CRC Handbook (quoted)
@pytest.mark.parametrize(("n", "moved"), [(1.55, 0.13), (1.43, 0.30)])
def test_saline_is_not_the_reference_medium(n, moved):
    R = 2000.0 * (n - 1.336) / 20.0
    thin = {"n_lens": n, "front_radius_mm": R, "back_radius_mm": -R, "center_thickness_mm": 0.0, "labelled_power_D": 20.0}
    e = evaluated(**thin, n_measured_medium=1.3346, u_n_measured_medium=1e-4)
    assert e.columns["power_D"][0] == pytest.approx(20.0, rel=1e-12, abs=0.0)
    assert e.columns["power_in_measured_medium_D"][0] - 20.0 == pytest.approx(moved, abs=0.005)


@pytest.mark.parametrize(
    "changes",
    [
        {"n_medium": 1.3346}, {"n_medium": 1.0}, {"n_medium": 1.3361}, {"n_medium_behind": 1.0}, {"n_medium_behind": 1.336},
        {"n_medium": 1.336, "u_n_medium": 1e-4},
    ],
    ids=["saline", "air", "a little more", "air behind", "given behind", "uncertain"],
)
def test_another_medium_never_reaches_a_decision(changes):
    e = evaluated(**changes)
    assert np.isnan(e.columns["conformance_probability"][0])
    assert e.columns["verdict"][0] == ""
    assert np.isnan(e.columns["refraction_shift_D"][0])
    assert "not a decision" in e.warnings[0]
    assert np.isfinite(e.columns["power_D"][0])


def test_the_conventional_medium_may_be_said():
    assert one("conformance_probability", n_medium=1.336) == one("conformance_probability")


@pytest.mark.parametrize("name", ["u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm"])
@pytest.mark.parametrize("missing", [GONE, np.nan, "", None])
def test_what_has_no_uncertainty_is_not_decided(name, missing):
    e = evaluated(**{name: missing})
    assert np.isnan(e.columns["conformance_probability"][0])
    assert np.isnan(e.columns["lot_off_probability"][0])
    assert e.columns["verdict"][0] == ""
    lacks = "index" if name == "u_n_lens" else name.removeprefix("u_")
    assert e.warnings[0] == f"taken as exact for want of a u: {lacks}: not a decision"


@pytest.mark.parametrize("name", ["u_n_reading", "u_abbe_d", "u_dn_dt_per_K", "u_reading_temperature_degC"])
def test_what_has_no_uncertainty_on_the_way_is_not_decided(name):
    assert one("conformance_probability", READ) > 0.5
    assert np.isnan(one("conformance_probability", READ, **{name: GONE}))


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({"index_state": "dry", "n_reading": 1.5203, "hydration_shift": -0.03, "u_hydration_shift": 1e-3}, "u_hydration_shift"),
        ({"abbe_d": GONE, "n_second_reading": 1.4990, "second_wavelength_nm": 486.13, "u_n_second_reading": 5e-5}, "u_n_second_reading"),
        ({"reading_temperature_degC": 37.0}, "u_dn_dt_per_K"),
        ({"dn_dt_per_K": GONE, "volume_expansion_per_K": 3e-4, "u_volume_expansion_per_K": 3e-5}, "u_volume_expansion_per_K"),
    ],
)  # fmt: skip
def test_what_has_no_uncertainty_on_another_way_is_not_decided(changes, missing):
    way = {**READ, **changes, **{f"u_{name}": GONE for name, value in changes.items() if value is GONE}}
    assert one("conformance_probability", way) > 0.5
    assert np.isnan(one("conformance_probability", way, **{missing: GONE}))


def test_an_explicit_zero_is_an_uncertainty():
    zeros = {name: 0.0 for name in ROW if name.startswith("u_")}
    e = evaluated(**zeros)
    assert (e.columns["conformance_probability"][0], e.columns["u_power_D"][0], e.warnings[0]) == (1.0, 0.0, "")


def test_without_a_label_there_is_a_proposal_and_no_decision():
    e = evaluated(labelled_power_D=GONE)
    assert e.columns["proposed_label_D"][0] == 20.5
    assert not {"conformance_probability", "verdict", "refraction_shift_D"} & set(e.columns)
    mixed = evaluate({k: [v, v] for k, v in ROW.items()} | {"labelled_power_D": [20.5, np.nan]})
    assert np.isnan(mixed.columns["proposed_label_D"]).tolist() == [True, False]
    assert np.isnan(mixed.columns["conformance_probability"]).tolist() == [False, True]


def test_largest_u_of_the_index_decides_and_a_larger_one_does_not():
    u = float(evaluated(compute=("*", "largest_u_n_lens")).columns["largest_u_n_lens"][0])
    assert one("conformance_probability", u_n_lens=u) == pytest.approx(0.95, abs=1e-9)
    assert one("conformance_probability", u_n_lens=1.05 * u) < 0.95


def test_a_shared_source_does_not_make_a_dimension_known():
    """Dimensions as they stand on a drawing stay so, whatever gauge or swelling acts on them: no decision."""
    gauge = {Source("gauge", "instrument"): {"front_radius_mm": 0.015, "back_radius_mm": -0.015, "center_thickness_mm": 0.001}}
    row = {k: [v] for k, v in {**ROW}.items() if k not in ("u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm")}
    e = evaluate(row, sources=gauge, exact=("front_radius_mm", "back_radius_mm", "center_thickness_mm"))
    assert e.columns["verdict"][0] == ""
    assert "dimensions taken as exact: not a decision" in e.warnings[0]


def test_a_tolerance_table_of_ones_own(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('edition = "own"\n[[band]]\nup_to_D = 15\ntolerance_D = 0.2\n[[band]]\nup_to_D = 25\ntolerance_D = 0.25\n', encoding="utf-8")
    rows = {k: [v] * 3 for k, v in ROW.items()} | {"labelled_power_D": [20.5, 20.5, 26.0], "tolerance_D": [np.nan, 0.1, np.nan]}
    e = evaluate(rows, tolerance_table=read_tolerance_table(path))
    assert e.columns["upper_limit_D"][:2] == pytest.approx([20.75, 20.6])
    assert e.problems[2] == "labelled_power_D lies beyond the tolerance table, which ends at 25 D"


def test_the_expected_yield_is_that_of_one_lens_from_the_lot():
    columns = evaluated().columns
    assert columns["expected_yield"][0] == pytest.approx(columns["conformance_probability"][0], abs=1e-12)
    assert np.isnan(evaluated(u_n_lens=GONE).columns["expected_yield"][0])
    assert evaluated(tolerance_D=0.0).columns["expected_yield"][0] == 0.0


def test_the_largest_u_of_the_index_where_nothing_else_is_uncertain():
    """Two causes on the index alone: what is left of u² for the others is 0, or by rounding a little below. The largest u is then that
    at which a power off its limits by d conforms with 0.95: nearly (one tail alone counts) d/1.6449 over the slope. Invented rows.
    """
    rng = np.random.default_rng(3)
    table = {
        "front_radius_mm": rng.uniform(14.9, 15.1, 500), "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.4900,
        "u_n_lens": rng.uniform(1e-4, 1e-3, 500), "u_calibration": rng.uniform(1e-4, 1e-3, 500), "labelled_power_D": 20.0, "tolerance_D": 0.9,
    } | dict.fromkeys(("u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm"), 0.0)  # fmt: skip
    c = evaluate(table, compute=("power_D", "d_power_d_n_lens", "largest_u_n_lens")).columns
    assert c["largest_u_n_lens"] == pytest.approx((20.9 - c["power_D"]) / 1.6448536 / c["d_power_d_n_lens"], rel=1e-4, abs=0.0)


def test_what_does_not_act_needs_no_uncertainty():
    """At the wavelength and temperature in use nothing is carried: neither Abbe number nor slope acts on the index. Elsewhere they do."""
    here = {"reading_wavelength_nm": 546.07, "reading_temperature_degC": 35.0, "u_abbe_d": GONE, "u_dn_dt_per_K": GONE}
    assert evaluated(READ, **here).columns["verdict"][0]
    assert evaluated(READ, **{**here, "reading_temperature_degC": 25.0}).columns["verdict"][0] == ""
    assert evaluated(READ, **{**here, "reading_wavelength_nm": 589.29}).columns["verdict"][0] == ""


def test_the_largest_u_of_the_index_needs_a_label_and_the_reference_medium():
    assert one("largest_u_n_lens", compute=("*", "largest_u_n_lens")) > 0
    for changes in ({"n_medium": 1.3345}, {"u_front_radius_mm": GONE}):
        assert np.isnan(one("largest_u_n_lens", compute=("*", "largest_u_n_lens"), **changes))
    rows = {name: [value] * 2 for name, value in ROW.items()} | {"labelled_power_D": [20.5, np.nan]}
    assert np.isnan(evaluate(rows, compute=("largest_u_n_lens",)).columns["largest_u_n_lens"]).tolist() == [False, True]
