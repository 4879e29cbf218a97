"""A day's specimens as sheets of their own: the digits as they were written, or nothing at all. All readings invented for the tests."""

import tomllib
from decimal import Decimal

import pytest

from lenscalc.errors import FileError, SheetError
from lenscalc.refractometer.day_sheets import day_sheets

SHARED = """provenance = "invented for the tests"
specimen = {state = "hydrated", u_specimen_to_lens = 0.0}
instrument = {kind = "v-block", resolution = 1e-5, u_calibration = 2e-5, u_operator = 0.0}
reading = {wavelength_nm = 546.070, temperature_degC = 35.0, u_temperature_degC = 0.10, basis = "air"}
temperature = {dn_dt_per_K = -2e-4, u_dn_dt_per_K = 2e-5, state = "hydrated"}
"""


@pytest.fixture
def kept(tmp_path):
    def sheets_of(lines, shared=SHARED):
        (tmp_path / "day.csv").write_text("specimen,n\n" + lines, encoding="utf-8")
        (tmp_path / "lab.toml").write_text(shared, encoding="utf-8")
        return day_sheets(tmp_path / "day.csv", tmp_path / "lab.toml")

    return sheets_of


def test_a_sheet_a_specimen_with_the_digits_that_were_written(kept):
    sheets = {name: tomllib.loads(text, parse_float=Decimal) for name, text in kept("A,1.49010\nB,1.5000\nA,1.49030\nB,1.50\n")}
    assert [str(n) for n in sheets["A"]["reading"][0]["n"]] == ["1.49010", "1.49030"]
    assert [str(n) for n in sheets["B"]["reading"][0]["n"]] == ["1.5000", "1.50"]
    for name, sheet in sheets.items():
        assert sheet["specimen"]["name"] == name
        assert [str(sheet["reading"][0][key]) for key in ("wavelength_nm", "u_temperature_degC")] == ["546.070", "0.10"]
        assert sheet["instrument"]["kind"] == "v-block"


@pytest.mark.parametrize(
    ("lines", "shared", "told"),
    [
        ("A,1.4901\nA,1.4903\nB,14.911\nB,1.4912\n", SHARED, r"day\.csv: a day is kept whole, mend this .* out: B: line 4, n: .* must be 1 to 3"),
        ("A,nan\nB,14.911\nC,1.49\nC,1.49\n", SHARED, r"day\.csv: a day is kept whole, .*: A: .* \(and 1 more specimen cannot be read\)$"),
        ("A,nan\nB,14.911\nC,0\nD,1.49\nD,1.49\n", SHARED, r"A: .* \(and 2 more specimens cannot be read\)$"),
        ("A,nan\nC,1.49\nC,1.49\n", SHARED, r"mend this or take its lines out: A: [^(]*$"),
        ("A,1.4901\nA,1.4903\n", "reading = 3\n", r"day\.csv: the shared \[reading\] must be one table of keys"),
        ("A,1.4901\nA,1.4903\n", "reading = [\n", r"^\S*lab\.toml: not a TOML file"),
    ],
)
def test_of_a_day_in_which_something_is_wrong_there_is_no_sheet(kept, lines, shared, told):
    with pytest.raises((SheetError, FileError), match=told):
        kept(lines, shared)


def test_lines_that_are_no_day_name_the_file(kept, tmp_path):
    with pytest.raises(SheetError, match=r"day\.csv: .*line 2: specimen is empty"):
        kept(",1.4901\n")
    (tmp_path / "day.csv").unlink()
    with pytest.raises(FileError, match=r"day\.csv"):
        day_sheets(tmp_path / "day.csv", tmp_path / "lab.toml")
