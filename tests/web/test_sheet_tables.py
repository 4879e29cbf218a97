"""The tables of a reading sheet without a page: rows of text into what the sheet holds and back, and where a refusal belongs."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import InputError
from lenscalc.quantities import quantity
from lenscalc.web.reading.readings_table import ALWAYS, COLUMNS, laid_out_rows, places, readings_of_rows, rows_of
from lenscalc.web.reading.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, MEDIUM, READ, REFRACTOMETER, SPECIMEN, TO_THE_EYE, section_of
from lenscalc.web.reading.typed_cells import number_typed, numbers_typed


@pytest.mark.parametrize("name", demo_sheets())
def test_readings_come_back_from_their_rows(name):
    readings = tomllib.loads(demo_text(name))["reading"]
    assert readings_of_rows(rows_of(readings), readings).readings == readings


@pytest.mark.parametrize("name", demo_sheets())
def test_references_come_back_from_their_rows(name):
    references = tomllib.loads(demo_text(name)).get("calibration", {}).get("reference", [])
    assert tables_of_rows(rows_of_tables(references, "calibration.reference"), "calibration.reference") == references


@given(
    n=st.lists(st.floats(1.0, 3.0), min_size=1, max_size=8),
    lines=st.lists(st.sampled_from([486.13, 546.07, 587.5618, 589.29]), min_size=8, max_size=8),
    at=st.lists(st.sampled_from([20.0, 35.0]), min_size=8, max_size=8),
)
def test_any_order_of_rows_is_grouped_by_line_and_temperature(n, lines, at):
    """Each index comes back, to the twelve digits that are shown, in the list of its line and temperature, in the order of the rows."""
    rows = [{"wavelength_nm": str(w), "temperature_degC": str(t), "n": f"{x:.12g}"} for x, w, t in zip(n, lines, at, strict=False)]
    made = readings_of_rows(rows, []).readings
    assert sum(len(r["n"]) for r in made) == len(n)
    for r in made:
        wanted = [float(f"{x:.12g}") for x, w, t in zip(n, lines, at, strict=False) if (w, t) == (r["wavelength_nm"], r["temperature_degC"])]
        assert r["n"] == wanted


def test_a_column_of_indices_pasted_below_takes_line_and_temperature_from_above():
    made = readings_of_rows([{"wavelength_nm": "546.07", "temperature_degC": "20", "n": "1,5021"}, {"n": "1,5022"}, {"n": None}, {"n": "1,5023"}], [])
    assert made.readings == [{"wavelength_nm": 546.07, "temperature_degC": 20.0, "n": [1.5021, 1.5022, 1.5023]}]
    assert made.remarks == ("Decimal commas are read as decimal points.",)


def test_rows_pasted_into_one_open_cell_are_laid_out_from_there():
    made = readings_of_rows([{"wavelength_nm": "486,13\t20\t1,4974\n589,29\t20\t1,4902\r\n"}, {"n": "1.4903\n1.4904"}], []).readings
    assert [(r["wavelength_nm"], r["n"]) for r in made] == [(486.13, [1.4974]), (589.29, [1.4902, 1.4903, 1.4904])]


def test_rows_pasted_into_one_open_cell_become_rows_of_the_table():
    rows = [{"wavelength_nm": "589.29", "temperature_degC": "20", "n": "1.4902\n1.4904\r\n"}, {"n": "1.4903"}]
    laid_out = laid_out_rows(rows, ALWAYS)
    assert [(row["wavelength_nm"], row["n"]) for row in laid_out] == [("589.29", "1.4902"), ("", "1.4904"), ("", "1.4903")]
    assert laid_out_rows(laid_out, ALWAYS) is None
    assert readings_of_rows(laid_out, []) == readings_of_rows(rows, [])
    with pytest.raises(InputError, match="row 1 of the readings: 3 columns were pasted into one cell, and 1 fit there: take the text out, click"):
        laid_out_rows([{"n": "589.29\t20\t1.4902"}], ALWAYS)
    assert laid_out_rows([{"n": "1.4902\tA"}], COLUMNS)[0]["mounting"] == "A"


def test_a_row_without_an_index_is_told_and_not_counted():
    made = readings_of_rows([{"wavelength_nm": "546.07", "temperature_degC": "20", "n": "1.5"}, {"wavelength_nm": "486.13"}], [])
    assert [r["n"] for r in made.readings] == [[1.5]]
    assert made.remarks == ("Row 2 of the readings has no index yet and is not counted.",)


def test_what_a_line_was_read_with_stays_with_it():
    """A changed line keeps what was said of it; a further one starts with what was said of the first."""
    before = [{"wavelength_nm": 589.29, "temperature_degC": 20.0, "n": [1.49], "basis": "air", "u_temperature_degC": 0.2}]
    changed = readings_of_rows([{"wavelength_nm": "587.56", "temperature_degC": "20", "n": "1.49"}], before).readings
    assert changed == [{**before[0], "wavelength_nm": 587.56}]
    both = readings_of_rows([*rows_of(before), {"wavelength_nm": "486.13", "n": "1.497"}], before).readings
    assert both == [before[0], {**before[0], "wavelength_nm": 486.13, "n": [1.497]}]
    assert places(both) == ["reading 1: 589.29 nm, 20 °C", "reading 2: 486.13 nm, 20 °C"]


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([{"n": "1.49"}], "row 1 of the readings: line is missing"),
        ([{"wavelength_nm": "589", "n": "1.49"}], "row 1 of the readings: temperature is missing"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.4.9"}], "row 1 of the readings: index = '1.4.9' is not a number"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.234,5"}], "'1.234,5' holds a point and a comma: write one of them"),
        ([{"wavelength_nm": "589", "temperature_degC": "20 °C, wet", "n": "1.5"}], "temperature = '20 °C, wet' is not a number: must be -20 to 150"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.49 1.4902"}], "holds 2 numbers: give each reading a row of its own"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.49", "minutes_after_mounting": "1,200"}], "may be 1.2 or 1200"),
    ],
)
def test_a_wrong_cell_is_told_with_its_row(rows, told):
    with pytest.raises(InputError) as error:
        readings_of_rows(rows, [])
    assert told in str(error.value)


@pytest.mark.parametrize(("text", "value"), [("1,4902", 1.4902), (" 1.4902 ", 1.4902), ("1,4902e0", 1.4902), ("1,490", 1.49), ("−0,5", -0.5)])
def test_a_decimal_comma_is_a_point(text, value):
    assert number_typed(quantity("reading_temperature_degC"), text) == value


def test_lists_in_one_cell():
    n = quantity("n_reading")
    assert numbers_typed(n, "1,33452 1,33451;1,33453") == numbers_typed(n, "1.33452,1.33451, 1.33453") == [1.33452, 1.33451, 1.33453]


@pytest.mark.parametrize(
    ("sentence", "section"),
    [
        ("[reading 2] n[3]: n_reading = 14: must be 1 to 3", READ),
        ("[[reading]] stands at several temperatures", READ),
        ("[lens.back_radius_mm] u is missing", LENS),
        ("[instrument.prism 1] n_prism is missing", REFRACTOMETER),
        ("[calibration.reference 1] u_certified is missing", CALIBRATION),
        ("[medium] must be stated at", MEDIUM),
        ("[specimen] material is missing", SPECIMEN),
        ("[hydration] is given, but [specimen] state is hydrated already", TO_THE_EYE),
        ("dn_dt_per_K is missing: read away from 35 °C, or at a temperature with a u; give the wet polymer's with its u", TO_THE_EYE),
        ("provenance is missing at the top of the sheet", SPECIMEN),
        ("edge_thickness_mm = -0.1 mm: such a lens cannot be", LENS),
    ],
)
def test_a_refusal_finds_its_section(sentence, section):
    assert section_of(InputError(sentence)) == section
