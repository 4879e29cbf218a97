"""A day's readings as a spreadsheet saves them, and as people type them."""

import pytest

from lenscalc.errors import SheetError
from lenscalc.refractometer.day import day_from_text

SHARED = {
    "provenance": "invented for the tests",
    "specimen": {"material": "copolymer A", "state": "hydrated"},
    "instrument": {"kind": "v-block", "resolution": 1e-5, "u_calibration": 2e-5},
    "reading": {"wavelength_nm": 546.07, "temperature_degC": 35.0, "u_temperature_degC": 0.1, "basis": "air"},
    "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"},
}


@pytest.mark.parametrize("text", ["specimen,n,,\nA,1.4901,,\nA,1.4902,,\n,,,\n", ",,,\r\nspecimen,n\r\nA,1.4901,\r\nA,1.4902, ,\r\n"])
def test_columns_and_lines_in_which_nothing_stands_are_none(text):
    (a,) = day_from_text(text, SHARED)
    assert (a.name, a.problem, a.sheet.readings[0].n) == ("A", "", (1.4901, 1.4902))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Monday\nspecimen,n\nA,1.4901\n", "the first line must name the columns, specimen and n among them; it holds 'Monday'"),
        ("Monday,,\nspecimen,n,\nA,1.4901,\n", "it holds 'Monday'"),
        ("Sample,Index\nA,1.4901\n", "it holds 'Sample', 'Index'"),
        ("specimen,Index\nA,1.4901\n", "unknown column 'Index'; rename it if it is one that a day may have, else take it out"),
        ("specimen,n\nA,1.4901\n,1.4902\n", "line 3: specimen is empty: whose reading is it? write the name in every line of it"),
        ("specimen,n\nA1,1.4901\na1,1.4902\n", "line 3: specimen 'a1' and 'A1' differ in capitals or blanks alone: is it one?"),
        ("specimen,n\nA1,1.4901\nA 1,1.4902\n", "line 3: specimen 'A 1' and 'A1' differ in capitals or blanks alone: is it one?"),
    ],
)
def test_what_a_first_line_or_a_name_may_mean_is_asked(text, told):
    with pytest.raises(SheetError) as caught:
        day_from_text(text, SHARED)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("n/a", "line 3, n = 'n/a' is not a number; where there is no value, write nothing"),
        ("1.4902 ± 0.0001", "is not a number; write the value alone, its uncertainty has a place of its own"),
        ("−1.49", "its minus is not the keyboard's: write -1.49"),
        ("1.4902 (2nd)", "write the number alone"),
        ("14902", "line 3, n: n_reading = 14902: must be 1 to 3; is the decimal point lost?"),
    ],
)
def test_a_cell_that_is_no_number_is_told_with_what_to_write(cell, told):
    (a,) = day_from_text(f"specimen,n\nA,1.4901\nA,{cell}\n", SHARED)
    assert told in a.problem
