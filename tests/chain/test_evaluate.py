"""The chain on rows: what a decision needs, what becomes of a bad row, and that rows do not know of each other."""

import numpy as np
import pandas as pd
import pytest

from lenscalc import InputError, conformance_probability, evaluate, power_sensitivity, thick_lens
from lenscalc.chain import CALIBRATION
from lenscalc.decision import read_tolerance_table
from lenscalc.errors import UnknownNameError
from lenscalc.uncertainty import Source

ROW = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "u_n_lens": 3e-4, "u_front_radius_mm": 0.02,
    "u_back_radius_mm": 0.02, "u_center_thickness_mm": 0.01, "labelled_power_D": 20.5,
}  # fmt: skip
READ = {
    **{k: v for k, v in ROW.items() if k not in ("n_lens", "u_n_lens")}, "n_reading": 1.4903, "u_n_reading": 5e-5, "u_calibration": 2e-4,
    "reading_wavelength_nm": 589.29, "reading_temperature_degC": 20.0, "u_reading_temperature_degC": 0.2, "index_state": "hydrated",
    "index_basis": "air", "abbe_d": 52.0, "u_abbe_d": 2.0, "dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5,
}  # fmt: skip
GONE = object()


def evaluated(row=ROW, *, compute=(), sources=None, **changes):
    row = {k: [v] for k, v in {**row, **changes}.items() if v is not GONE}
    return evaluate(row, compute=compute, sources=sources)


def one(name, row=ROW, **changes):
    return float(evaluated(row, **changes).columns[name][0])


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
    assert columns["u_power_D"][0] == pytest.approx(wanted, rel=1e-12)
    assert columns["u_power_common_D"][0] == pytest.approx(s.d_power_d_n_lens * 3e-4, rel=1e-12)  # dimensions are the lens's
    assert np.hypot(columns["u_power_common_D"][0], columns["u_power_individual_D"][0]) == pytest.approx(wanted, rel=1e-12)
    assert columns["conformance_probability"][0] == pytest.approx(conformance_probability(20.469666, wanted, 20.1, 20.9), abs=1e-9)


def test_two_radii_on_one_gauge():
    """15/−15 mm, 0.03 mm each: 0.680200·0.03·√2 = 0.029 D apart; from one gauge both surfaces err alike, 0.680200·0.03·2 = 0.041 D."""
    none = {"u_n_lens": 0.0, "u_center_thickness_mm": 0.0}
    apart = one("u_power_D", **none, u_front_radius_mm=0.03, u_back_radius_mm=0.03)
    shared = {Source("gauge", "instrument"): {"front_radius_mm": 0.03, "back_radius_mm": -0.03}}
    together = evaluated(**none, u_front_radius_mm=GONE, u_back_radius_mm=GONE, sources=shared)
    assert apart == pytest.approx(0.6802 * 0.03 * 2**0.5, rel=1e-5)
    assert together.columns["u_power_D"][0] == pytest.approx(0.6802 * 0.03 * 2, rel=1e-5)
    assert f"{apart:.3f}, {together.columns['u_power_D'][0]:.3f}" == "0.029, 0.041"
    assert together.columns["conformance_probability"][0] > 0.9


def test_a_calibration_shared_with_the_medium_cancels():
    """3e-4 shared and 5e-5 own on each: 0.009 D in the measured medium, 0.040 D if the medium were exact (132.5·u by hand)."""
    own = {"u_front_radius_mm": 0.0, "u_back_radius_mm": 0.0, "u_center_thickness_mm": 0.0, "u_n_lens": 5e-5}
    medium = {"n_measured_medium": 1.336, "u_n_measured_medium": 5e-5}
    on_one_instrument = {CALIBRATION: {"n_lens": 3e-4, "n_measured_medium": 3e-4}}
    shared = one("u_power_in_measured_medium_D", **own, **medium, sources=on_one_instrument)
    assert shared == pytest.approx(132.5 * 5e-5 * 2**0.5, rel=1e-3)
    assert round(shared, 3) == 0.009
    assert round(one("u_power_D", **own, u_calibration=3e-4), 3) == 0.040
    # a column says nothing of the instrument that read the medium: then nothing is shared
    assert round(one("u_power_in_measured_medium_D", **own, **medium, u_calibration=3e-4), 3) == 0.041
    assert one("power_in_measured_medium_D", **own, **medium) == one("power_D")


# power in 1.336 less power in saline of 1.3346 at 20 D: 20·0.0014/(n − 1.336) by hand; saline from the CRC Handbook (quoted)
@pytest.mark.parametrize(("n", "moved"), [(1.55, 0.13), (1.43, 0.30)])
def test_saline_is_not_the_reference_medium(n, moved):
    R = 2000.0 * (n - 1.336) / 20.0
    thin = {"n_lens": n, "front_radius_mm": R, "back_radius_mm": -R, "center_thickness_mm": 0.0, "labelled_power_D": 20.0}
    e = evaluated(**thin, n_measured_medium=1.3346, u_n_measured_medium=1e-4)
    assert e.columns["power_D"][0] == pytest.approx(20.0, rel=1e-12)
    assert e.columns["power_in_measured_medium_D"][0] - 20.0 == pytest.approx(moved, abs=0.005)


@pytest.mark.parametrize(
    "changes",
    [{"n_medium": 1.3346}, {"n_medium": 1.0}, {"n_medium_behind": 1.0}, {"n_medium_behind": 1.336}, {"n_medium": 1.336, "u_n_medium": 1e-4}],
    ids=["saline", "air", "air behind", "given behind", "uncertain"],
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
    assert "exact" in e.warnings[0]
    assert "not a decision" in e.warnings[0]


@pytest.mark.parametrize("name", ["u_n_reading", "u_abbe_d", "u_dn_dt_per_K", "u_reading_temperature_degC"])
def test_what_has_no_uncertainty_on_the_way_is_not_decided(name):
    assert one("conformance_probability", READ) > 0.5
    assert np.isnan(one("conformance_probability", READ, **{name: GONE}))


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


@pytest.mark.parametrize("media", [{}, {"n_medium": 1.0}, {"n_medium": 1.0, "n_medium_behind": 1.336}], ids=["eye", "air", "air in front"])
def test_powers_and_sensitivities_are_those_of_the_lens(media):
    columns = evaluated(**media, labelled_power_D=GONE).columns
    for wanted in (thick_lens, power_sensitivity):
        for name, value in wanted(15, -15, 0.9, 1.49, **media)._asdict().items():
            np.testing.assert_array_equal(columns[name][0], value, err_msg=name)


@pytest.mark.parametrize("name", ["n_lens", "n_medium", "front_radius_mm", "back_radius_mm", "center_thickness_mm"])
def test_a_part_has_the_sign_of_the_change_that_it_stands_for(name):
    u = 1e-6
    part = evaluated(sources={Source("cause"): {name: u}}).estimates["power_D"].parts[Source("cause")][0]
    moved = one("power_D", **{name: {"n_medium": 1.336, **ROW}[name] + u}) - one("power_D")
    assert part == pytest.approx(moved, rel=1e-4)


@pytest.mark.parametrize("own", [3e-4, 1e-3])
def test_a_sag_is_a_curvature(own):
    """u(c) = u(s)/(ds/dc), the slope taken numerically on s = R − √(R² − h²), h = 3 mm."""

    def sag(c):
        return (1 - (1 - 9 * c * c) ** 0.5) / c

    c = 1 / 15
    slope = (sag(c + 1e-5) - sag(c - 1e-5)) / 2e-5
    by_sag = one("u_power_D", u_front_radius_mm=GONE, u_front_sag_mm=own, optic_diameter_mm=6.0)
    assert by_sag == pytest.approx(one("u_power_D", u_front_radius_mm=GONE, u_front_curvature_per_mm=own / slope), rel=1e-8)
    assert by_sag == pytest.approx(one("u_power_D", u_front_radius_mm=own / slope * 225), rel=1e-8)


def test_a_sag_from_a_source_needs_its_height_too():
    shared = {Source("gauge", "instrument"): {"front_sag_mm": 0.05}}
    e = evaluated(u_front_radius_mm=GONE, sources=shared)
    assert "optic_diameter_mm is missing beside u_front_sag_mm" in e.problems[0]
    wide = evaluated(u_front_radius_mm=GONE, sources=shared, optic_diameter_mm=6.0).columns["u_power_D"][0]
    assert wide == pytest.approx(one("u_power_D", u_front_radius_mm=GONE, u_front_sag_mm=0.05, optic_diameter_mm=6.0), rel=1e-14)


def test_a_source_that_acts_on_an_unknown_quantity_is_refused():
    with pytest.raises(InputError, match="front_raduis_mm"):
        evaluated(sources={Source("gauge", "instrument"): {"front_raduis_mm": 0.05}})


def test_a_source_without_a_number_does_not_reach_a_verdict():
    try:
        e = evaluated(sources={Source("gauge", "instrument"): {"front_radius_mm": np.nan}})
    except InputError:
        return
    assert e.columns["verdict"][0] == ""


@pytest.mark.parametrize(
    ("row", "changes", "told"),
    [
        (ROW, {"front_radius_mm": "plano"}, "u_front_radius_mm is given for a plano surface"),
        (ROW, {"back_radius_mm": -120.0, "u_back_radius_mm": 30.0}, "more than a fifth of back_radius_mm"),
        (ROW, {"u_front_curvature_per_mm": 1e-4}, "more than one of u_front_radius_mm"),
        (ROW, {"u_front_radius_mm": GONE, "u_front_sag_mm": 1e-3}, "optic_diameter_mm is missing beside u_front_sag_mm"),
        (ROW, {"front_radius_mm": 0.015}, "is it in metres"),
        (ROW, {"front_radius_mm": 0}, "plano"),
        (ROW, {"front_radius_mm": "inf"}, "write plano"),
        (ROW, {"front_radius_mm": ""}, "front_radius_mm is missing"),
        (ROW, {"n_lens": np.nan}, "n_lens is missing"),
        (ROW, {"n_lens": "1,49"}, "write the decimals with a point"),
        (ROW, {"n_lens": 14.9}, "decimal point"),
        (ROW, {"u_n_lens": -1e-4}, "u_n_lens = -0.0001: must be 0"),
        (ROW, {"optic_diameter_mm": 9.0}, "edge thickness"),
        (ROW, {"n_measured_medium": 1.334}, "u_n_measured_medium is missing"),
        (READ, {"n_lens": 1.49}, "both n_reading and n_lens"),
        (READ, {"index_state": "wet"}, "index_state = 'wet': must be dry or hydrated"),
        (READ, {"index_state": "dry"}, "hydration_shift"),
        (READ, {"reading_wavelength_nm": GONE}, "reading_wavelength_nm is missing"),
        (READ, {"dn_dt_per_K": GONE}, "dn_dt_per_K"),
        (READ, {"abbe_d": GONE}, "abbe_d"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_used_says_why_and_has_no_numbers(row, changes, told):
    e = evaluated(row, **changes)
    assert told in e.problems[0]
    for name, values in e.columns.items():
        assert values[0] == "" if values.dtype == object else np.isnan(values[0]), name
    assert e.warnings[0] == ""
    with pytest.raises(InputError, match=told[:20].replace("(", r"\(")):
        evaluate({k: [v] for k, v in {**row, **changes}.items() if v is not GONE}, strict=True)


def random_rows(size=1000):
    """Readings and indices in use, labelled or not, with and without uncertainties, some plano, some impossible; invented."""
    rng = np.random.default_rng(20240611)

    def some(values, share, other=np.nan):
        return np.where(rng.random(size) < share, values, other)

    raw = rng.random(size) < 0.5
    R1, R2 = rng.uniform(6, 60, size), -some(rng.uniform(6, 60, size), 0.9, np.inf)
    dry = rng.random(size) < 0.3
    table = {
        "front_radius_mm": some(R1, 0.97, 0.01),
        "back_radius_mm": R2,
        "center_thickness_mm": rng.uniform(0.5, 1.5, size),
        "optic_diameter_mm": some(rng.uniform(4.0, 6.5, size), 0.7),
        "n_lens": np.where(raw, np.nan, rng.uniform(1.4, 1.6, size)),
        "n_reading": np.where(raw, rng.uniform(1.4, 1.6, size), np.nan),
        "reading_wavelength_nm": some(589.29, 0.6, 546.07),
        "reading_temperature_degC": some(20.0, 0.6, 35.0),
        "index_state": np.where(dry, "dry", "hydrated").astype(object),
        "index_basis": np.where(rng.random(size) < 0.8, "air", "unknown").astype(object),
        "abbe_d": some(rng.uniform(30, 60, size), 0.95),
        "dn_dt_per_K": some(rng.uniform(-4e-4, -1e-4, size), 0.95),
        "hydration_shift": np.where(dry, rng.uniform(-0.05, -0.01, size), np.nan),
        "n_measured_medium": some(1.334, 0.3),
        "u_n_measured_medium": np.full(size, 1e-4),
        "u_calibration": some(2e-4, 0.9),
        "labelled_power_D": some(np.round(rng.uniform(5, 35, size) * 2) / 2, 0.8),
    }
    for name in ("n_lens", "n_reading"):
        table[f"u_{name}"] = np.where(np.isnan(table[name]), np.nan, some(1e-4, 0.9))
    for name, u in (("abbe_d", 2.0), ("dn_dt_per_K", 2e-5), ("hydration_shift", 1e-3), ("reading_temperature_degC", 0.2)):
        table[f"u_{name}"] = some(u, 0.95)
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        table[f"u_{name}"] = np.where(np.isinf(table[name]), np.nan, some(0.02, 0.9))
    table["u_back_curvature_per_mm"] = np.where(np.isinf(R2), 1e-4, np.nan)
    return table


EVERYTHING = ("*", "largest_u_n_lens")


@pytest.fixture(scope="module")
def whole():
    return random_rows(), evaluate(random_rows(), compute=EVERYTHING)


@pytest.mark.parametrize(
    ("block", "size", "compute"),
    [(1, 1000, ()), (1, 200, EVERYTHING), (7, 1000, EVERYTHING), (64, 1000, EVERYTHING)],
    ids=["alone", "alone, with what is asked for", "sevens", "sixty-fours"],
)
def test_rows_alone_in_blocks_and_whole_are_the_same_bytes(whole, block, size, compute):
    table, e = whole
    parts = [evaluate({k: v[i : i + block] for k, v in table.items()}, compute=compute) for i in range(0, size, block)]
    assert len(parts[0].columns) == len(e.columns) - (compute == ())
    for name in parts[0].columns:
        joined, values = np.concatenate([p.columns[name] for p in parts]), e.columns[name][:size]
        if values.dtype == object:
            assert joined.tolist() == values.tolist(), name
        else:
            assert joined.tobytes() == values.tobytes(), name
    for texts in ("problems", "warnings"):
        assert np.concatenate([getattr(p, texts) for p in parts]).tolist() == getattr(e, texts)[:size].tolist()


def test_the_random_rows_are_of_every_kind(whole):
    _, e = whole
    bad = e.problems != ""
    assert 20 < bad.sum() < 500
    assert 50 < np.isfinite(e.columns["conformance_probability"]).sum() < 900
    assert {v for v in e.columns["verdict"] if v} >= {"would conform if cut to these dimensions", "would not conform if cut to these dimensions"}
    assert np.isnan(e.columns["power_D"][bad]).all()
    assert np.isfinite(e.columns["power_D"][~bad]).all()


def test_bad_rows_keep_their_place():
    table = {k: [v] * 3 for k, v in ROW.items()} | {"n_lens": [1.49, 14.9, 1.5]}
    e = evaluate(table)
    assert [p == "" for p in e.problems] == [True, False, True]
    for row, n in ((0, 1.49), (2, 1.5)):
        alone = evaluated(n_lens=n).columns
        assert all(values[row] == alone[name][0] or np.isnan(alone[name][0]) for name, values in e.columns.items())
    with pytest.raises(InputError, match=r"row 2: n_lens = 14\.9") as caught:
        evaluate(table, strict=True)
    assert caught.value.row == 2


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"front_radius_mm": GONE}, "missing column front_radius_mm"),
        ({"front_radius_mm": GONE, "back_radius_mm": GONE}, "missing columns front_radius_mm, back_radius_mm"),
        ({"n_lens": GONE}, "missing column n_lens"),
        ({"front_raduis_mm": 15.0}, "unknown column 'front_raduis_mm'; did you mean front_radius_mm"),
        ({"colour": "red"}, "unknown column 'colour'.*note_"),
    ],
)
def test_a_table_that_cannot_be_one(changes, told):
    with pytest.raises(InputError, match=told):
        evaluated(**changes)


def test_columns_of_different_lengths():
    with pytest.raises(InputError, match="different lengths"):
        evaluate({**{k: [v] for k, v in ROW.items()}, "n_lens": [1.49, 1.5]})


def test_labels_and_notes_are_carried_along():
    assert evaluated(lot="C-07", note_colour="red").problems[0] == ""


def test_frames_constants_and_mappings_are_the_same():
    frame = pd.DataFrame({k: [v, v] for k, v in ROW.items()})
    plain = evaluate({k: [v, v] for k, v in ROW.items()})
    lens = {k: v for k, v in ROW.items() if k not in ("n_lens", "u_n_lens")}
    held = evaluate({"n_lens": [1.49, 1.49], "u_n_lens": [3e-4, 3e-4]}, constants=lens)
    for name, values in plain.columns.items():
        for other in (evaluate(frame), held):
            np.testing.assert_array_equal(other.columns[name], values)
    with pytest.raises(InputError, match="n_lens is given as a constant"):
        evaluate(frame, constants={"n_lens": 1.5})
    assert list(evaluate(frame).frame().columns) == [*plain.columns, "problem", "warning"]


def test_compute_picks_columns():
    whole, few = evaluated(), evaluated(compute=("power_D", "u_power_D"))
    assert list(few.columns) == ["power_D", "u_power_D"]
    assert few.columns["power_D"][0] == whole.columns["power_D"][0]
    assert "largest_u_n_lens" not in whole.columns
    assert {*whole.columns, "largest_u_n_lens"} == set(evaluated(compute=("*", "largest_u_n_lens")).columns)
    with pytest.raises(UnknownNameError, match="did you mean power_D"):
        evaluated(compute=("powr_D",))


def test_largest_u_of_the_index_decides_and_a_larger_one_does_not():
    u = float(evaluated(compute=("*", "largest_u_n_lens")).columns["largest_u_n_lens"][0])
    assert one("conformance_probability", u_n_lens=u) == pytest.approx(0.95, abs=1e-9)
    assert one("conformance_probability", u_n_lens=1.05 * u) < 0.95


def test_progress_is_told():
    told = []
    evaluate({k: [v] * 5 for k, v in ROW.items()}, on_progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (5, 5)


def test_strict_refuses_the_unusual_too():
    with pytest.raises(InputError, match="usual is"):
        evaluate({k: [v] for k, v in {**ROW, "center_thickness_mm": 6.0}.items()}, strict=True)
    assert "usual is" in evaluated(center_thickness_mm=6.0).warnings[0]


def test_the_calibration_column_acts_on_the_reading():
    e = evaluated(READ)
    part = e.estimates["power_D"].parts[CALIBRATION][0]
    assert e.columns["calibration_part_power_D"][0] == part
    assert part == pytest.approx(e.columns["d_power_d_n_lens"][0] * 2e-4, rel=0.01)  # dn_use/dn_reading is near 1


RAW = {
    "n_lens": GONE, "u_n_lens": GONE, "n_reading": 1.4903, "u_n_reading": 1e-4, "reading_wavelength_nm": 589.29, "reading_temperature_degC": 20.0,
    "u_reading_temperature_degC": 0.2, "index_state": "hydrated", "index_basis": "air", "abbe_d": 52.0, "u_abbe_d": 2.0, "dn_dt_per_K": -2e-4,
    "u_dn_dt_per_K": 2e-5,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"abbe_d": GONE, "u_abbe_d": GONE, "n_second_reading": 1.4802, "u_n_second_reading": 1e-4, "second_wavelength_nm": 486.13}, "exchanged?"),
        ({"n_second_reading": 1.4981, "u_n_second_reading": 1e-4, "second_wavelength_nm": 486.13}, "both given"),
        ({"u_n_lens": 0.9}, "u_n_lens is given beside n_reading"),
        ({"reading_temperature_degC": 35.0, "dn_dt_per_K": GONE, "u_dn_dt_per_K": GONE}, "at a temperature with a u"),
        ({"index_state": "dry", "hydration_shift": -0.41, "u_hydration_shift": 0.001}, "lower than water's own index"),
    ],
    ids=["exchanged", "two dispersions", "two uncertainties", "temperature without slope", "decimal slip"],
)
def test_what_would_be_lost_in_silence_is_refused(changes, told):
    assert told in evaluated(**{**RAW, **changes}).problems[0]


def test_a_shared_source_does_not_make_a_dimension_known():
    """Dimensions as they stand on a drawing stay so, whatever gauge or swelling acts on them: no decision."""
    gauge = {Source("gauge", "instrument"): {"front_radius_mm": 0.015, "back_radius_mm": -0.015, "center_thickness_mm": 0.001}}
    row = {k: [v] for k, v in {**ROW}.items() if k not in ("u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm")}
    e = evaluate(row, sources=gauge, exact=("front_radius_mm", "back_radius_mm", "center_thickness_mm"))
    assert e.columns["verdict"][0] == ""
    assert "dimensions taken as exact: not a decision" in e.warnings[0]


@pytest.mark.parametrize("text", ["1e400", "1_5", "+infinity", "\uff11\uff15"])
def test_what_only_looks_like_a_number_is_refused(text):
    assert "front_radius_mm" in evaluated(front_radius_mm=text).problems[0]


def test_a_tolerance_table_of_ones_own(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('edition = "own"\n[[band]]\nup_to_D = 25\ntolerance_D = 0.25\n', encoding="utf-8")
    rows = {k: [v] * 3 for k, v in ROW.items()} | {"labelled_power_D": [20.5, 20.5, 26.0], "tolerance_D": [np.nan, 0.1, np.nan]}
    e = evaluate(rows, tolerance_table=read_tolerance_table(path))
    assert e.columns["upper_limit_D"][:2] == pytest.approx([20.75, 20.6])
    assert e.problems[2] == "labelled_power_D lies beyond the tolerance table, which ends at 25 D"


def test_the_expected_yield_is_that_of_one_lens_from_the_lot():
    columns = evaluated().columns
    assert columns["expected_yield"][0] == pytest.approx(columns["conformance_probability"][0], abs=1e-12)
    assert np.isnan(evaluated(u_n_lens=GONE).columns["expected_yield"][0])
    assert evaluated(tolerance_D=0.0).columns["expected_yield"][0] == 0.0


def by_trials(**columns):
    from lenscalc.chain.by_trials import BY_TRIALS

    row = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "u_n_lens": 1e-3, "u_front_radius_mm": 0.05,
           "u_back_radius_mm": 0.05, "u_center_thickness_mm": 0.02, "labelled_power_D": 20.5, **columns}  # fmt: skip
    size = max(np.size(v) for v in row.values())
    return evaluate({k: np.broadcast_to(v, size) for k, v in row.items()}, compute=("*", *BY_TRIALS)).columns


def test_trials_on_request_agree_with_the_linear_law_where_the_lens_is_nearly_linear():
    """u 0.14 D, of which the second order is below a thousandth; 100,000 trials leave 0.3 % of u and 0.002 of a probability."""
    c = by_trials()
    assert c["u_power_by_trials_D"][0] == pytest.approx(c["u_power_D"][0], rel=0.01)
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
    assert (c["trials_upper_D"][0] - c["trials_lower_D"][0]) / 2 == pytest.approx(3.182 * c["u_power_D"][0], rel=0.02)


def test_no_trials_where_nothing_is_known_or_the_row_is_bad():
    c = by_trials(n_lens=[1.49, 14.9], u_n_lens=[np.nan, 1e-3])
    assert np.isnan(c["trials_lower_D"]).all()
