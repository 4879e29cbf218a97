"""What becomes of a row or a table that cannot be used."""

import numpy as np
import pandas as pd
import pytest
from one_row import GONE, READ, ROW, evaluated

from lenscalc import InputError, evaluate
from lenscalc.chain.plan import plan_of


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


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"front_radius_mm": GONE}, "^missing column front_radius_mm$"),
        ({"front_radius_mm": GONE, "back_radius_mm": GONE}, "^missing columns front_radius_mm, back_radius_mm$"),
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


def test_strict_refuses_the_unusual_too():
    with pytest.raises(InputError, match="usual is"):
        evaluate({k: [v] for k, v in {**ROW, "center_thickness_mm": 6.0}.items()}, strict=True)
    assert "usual is" in evaluated(center_thickness_mm=6.0).warnings[0]


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


@pytest.mark.parametrize("text", ["1e400", "1_5", "+infinity", "\uff11\uff15"])
def test_what_only_looks_like_a_number_is_refused(text):
    assert "front_radius_mm" in evaluated(front_radius_mm=text).problems[0]


def test_what_is_masked_is_missing():
    """A masked array keeps a number behind its mask."""
    table = {k: [v] * 2 for k, v in ROW.items()} | {"n_lens": np.ma.array([1.49, 1.49], mask=[True, False])}
    found = evaluate(table)
    assert found.problems.tolist() == ["n_lens is missing", ""]
    assert np.isnan(found.columns["power_D"][0])
    whole = np.ma.array([3, 15], mask=[True, False])
    assert evaluate({**table, "n_lens": 1.49, "front_radius_mm": whole}).problems.tolist() == ["front_radius_mm is missing", ""]


def test_no_large_table_with_a_mask_takes_the_compiled_way(monkeypatch):
    monkeypatch.setattr("lenscalc.chain.plan.LARGE", 1)
    monkeypatch.setattr("lenscalc.chain.plan.LARGE_ONCE_COMPILED", 1)
    plain = {k: np.array([v]) for k, v in ROW.items() if k in ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens")}
    assert plan_of(plain, ("power_D",), None, None) is not None
    assert plan_of({**plain, "n_lens": np.ma.array([1.49], mask=[True])}, ("power_D",), None, None) is None


def test_a_column_of_several_columns_is_refused():
    with pytest.raises(InputError, match=r"n_lens has the shape \(1, 2\): a column is one list"):
        evaluate({**{k: [v] for k, v in ROW.items()}, "n_lens": [[1.49, 1.5]]})


FIELDS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens")
STRUCTURED = np.array([(15.0, -15.0, 0.9, 1.49)], dtype=[(name, float) for name in FIELDS])


@pytest.mark.parametrize("compute", [(), ("power_D",)])
@pytest.mark.parametrize(
    ("table", "told"),
    [
        (STRUCTURED, "of the type ndarray: .* a data frame; of these fields write {name: table"),
        (np.array([[15.0, -15.0, 0.9, 1.49]], dtype=object), "of the type ndarray: it must be a mapping of columns"),
        (np.array(1.49), "of the type ndarray"),
        ([ROW], "of the type list"),
        (None, "of the type NoneType"),
        (pd.Series({"n_lens": 1.49}), "of the type Series"),
        ({**ROW, "n_lens": [[1.49], [1.49, 1.5]]}, "n_lens holds lists of different lengths"),
        ({**ROW, "n_lens": np.float16([1.49])}, "n_lens is in half precision"),
    ],
)
def test_what_is_no_table_is_refused_in_a_sentence(table, told, compute):
    with pytest.raises(InputError, match=told):
        evaluate(table, compute=compute)


def test_the_fields_of_a_structured_array_are_a_table_as_the_sentence_says():
    e = evaluate({name: STRUCTURED[name] for name in STRUCTURED.dtype.names})
    assert round(float(e.columns["power_D"][0]), 6) == 20.469666  # worked from Gullstrand's equation, by hand


@pytest.mark.parametrize("entry", [[1.49], (1.49,), {"n": 1.49}, np.array([1.49, 1.5])])
def test_an_entry_that_is_a_list_is_the_problem_of_its_row(entry):
    both = np.empty(2, dtype=object)
    both[:] = [entry, 1.49]
    problems = evaluate({**{n: [v, v] for n, v in ROW.items()}, "n_lens": both}).problems
    assert "n_lens holds something of the type" in problems[0]
    assert problems[1] == ""


def test_a_fifth_of_a_radius_is_the_most_that_its_u_may_be():
    for u, refused in ((2.9, False), (3.0, False), (3.0000001, True)):
        problem = evaluate({k: [v] for k, v in {**ROW, "u_front_radius_mm": u}.items()}).problems[0]
        assert ("more than a fifth of front_radius_mm" in problem) == refused


@pytest.mark.parametrize("kind", [np.int8, np.uint8, np.int64, np.float32, np.float64])
def test_whole_numbers_of_any_kind_are_numbers(kind):
    columns = evaluate({**{n: [v] for n, v in ROW.items()}, "labelled_power_D": np.array([20], dtype=kind)})
    assert columns.problems[0] == ""
    assert columns.columns["upper_limit_D"][0] == 20.4  # the band of ±0.4 D up to 25 D, of the shipped table


@pytest.mark.parametrize("entry", [[1.49], True, "", "nan", "1,49"])
def test_what_follows_a_bad_entry_is_read(entry):
    """In the last row n − 1.336 is half as much as in ROW: the surfaces, and but for the product of them the power, are half as strong."""
    three = np.empty(3, dtype=object)
    three[:] = [1.49, entry, 1.413]
    r = evaluate({**{n: [v] * 3 for n, v in ROW.items()}, "n_lens": three})
    assert [bool(problem) for problem in r.problems] == [False, True, False]
    power = r.columns["power_D"]
    assert power[2] == pytest.approx(power[0] / 2.0, rel=3e-3, abs=0.0)


def test_a_choice_that_is_an_array_is_the_problem_of_its_row():
    both = np.empty(2, dtype=object)
    both[:] = [np.array(["collimated", "model-eye"]), "collimated"]
    problems = evaluate({**{n: [v, v] for n, v in ROW.items()}, "beam": both}).problems
    assert problems[0].endswith("must be collimated or model-eye")
    assert problems[1] == ""
