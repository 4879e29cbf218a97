"""A day's readings in one CSV: what is read, and what is said of a line that cannot be. All readings invented for the tests."""

import copy
import time

import pytest

from lenscalc.chain import follow_index
from lenscalc.errors import FileError, SheetError
from lenscalc.refractometer import sheet_from_data
from lenscalc.refractometer.day import day_from_text, read_day

SHARED = {
    "provenance": "invented for the tests",
    "specimen": {"state": "hydrated", "u_specimen_to_lens": 0.0},
    "instrument": {"kind": "v-block", "resolution": 1e-5, "u_calibration": 2e-5, "u_operator": 0.0},
    "reading": {"wavelength_nm": 546.07, "temperature_degC": 35.0, "u_temperature_degC": 0.1, "basis": "air"},
    "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"},
}


def shared(**changes):
    """The shared tables with keys put in ("reading__wavelength_nm"), or taken out where they are None."""
    data = copy.deepcopy(SHARED)
    for path, value in changes.items():
        table, _, key = path.partition("__")
        where = data[table] if key else data
        if value is None:
            del where[key or table]
        else:
            where[key or table] = value
    return data


def n_of(specimen):
    assert specimen.problem == ""
    return float(follow_index(specimen.sheet).index.n.value[0])


def test_lines_of_specimens_may_lie_between_each_other():
    day = day_from_text("specimen,n\nA,1.4901\nB,1.4911\nA,1.4903\n\nB,1.4915\n", SHARED)
    assert [(d.name, d.lines) for d in day] == [("A", (2, 4)), ("B", (3, 6))]
    assert [n_of(d) for d in day] == pytest.approx([1.4902, 1.4913], abs=1e-12)


def test_a_day_says_what_a_sheet_of_each_would():
    text = "specimen,n,wavelength_nm,temperature_degC,mounting,abbe_d,u_abbe_d\n" + "".join(
        f"C,{n},589.29,23,{m},52,2\n" for n, m in ((1.4901, 1), (1.4902, 1), (1.4905, 2), (1.4904, 2))
    )
    (c,) = day_from_text(text, shared(reading__wavelength_nm=None, reading__temperature_degC=None))
    alone = copy.deepcopy(SHARED)
    alone["specimen"]["material"], alone["dispersion"] = "C", {"abbe_d": 52.0, "u_abbe_d": 2.0}
    alone["reading"] = [
        {**SHARED["reading"], "wavelength_nm": 589.29, "temperature_degC": 23.0, "n": [1.4901, 1.4902, 1.4905, 1.4904], "mounting": [1, 1, 2, 2]}
    ]
    here, there = (follow_index(s).index.n for s in (c.sheet, sheet_from_data(alone)))
    assert (float(here.value[0]), float(here.u[0]), float(here.dof[0])) == (float(there.value[0]), float(there.u[0]), float(there.dof[0]))


def test_lines_at_several_wavelengths_become_several_readings():
    text = "specimen,n,wavelength_nm\nC,1.4965,486.13\nC,1.4905,589.29\nC,1.4967,486.13\nC,1.4907,589.29\n"
    (c,) = day_from_text(text, shared(reading__wavelength_nm=None))
    B = (1.4966 - 1.4906) / (1 / 0.48613**2 - 1 / 0.58929**2)
    assert n_of(c) == pytest.approx(1.4906 + B * (1 / 0.54607**2 - 1 / 0.58929**2), abs=1e-12)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("specimen,n,colour\nA,1.49,red\n", "unknown column 'colour'"),
        ("specimen,n,temperature\nA,1.49,35\n", "unknown column 'temperature'; did you mean temperature_degC?"),
        ("Specimen,n\nA,1.49\n", "unknown column 'Specimen'; did you mean specimen?"),
        ("specimen\nA\n", "column n is missing"),
        ("n\n1.49\n", "column specimen is missing"),
        ("specimen,n,n\nA,1.49,1.49\n", "column n stands twice"),
        ("specimen;n\nA;1,4901\nA;1.4902\n", "both '1,4901' and '1.4902' stand for numbers: write the decimals of all numbers with a point"),
        ("specimen,n\n,1.4901\n", "line 2: specimen is empty: whose reading is it"),
        ("", "no readings: a line of column names and a line a reading"),
        ("\n\n", "no readings"),
        ("specimen,n\n", "no readings"),
        ("specimen,n,basis\nA,1.49,air\n", r"basis is a column and stands in the shared \[reading\] too: one of the two"),
    ],
)
def test_files_that_are_no_day(tmp_path, text, told):
    file = tmp_path / "day.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SheetError, match=told) as caught:
        read_day(file, SHARED)
    assert str(caught.value).startswith(str(file))


@pytest.mark.parametrize("sign", [";", "\t"])
@pytest.mark.parametrize("decimal", [".", ","])
def test_semicolons_tabs_and_decimal_commas_are_read(sign, decimal):
    """As a spreadsheet saves the table where the comma is the decimal sign; a name or a mounting keeps its own comma."""
    rows = [["specimen", "n", "mounting", "temperature_degC"], ["A 1,5", "1.4901", "1,2", "35.0"], ["A 1,5", "1.4903", "1,3", "35"]]
    text = "".join(sign.join(cell.replace(".", decimal) if i in (1, 3) else cell for i, cell in enumerate(row)) + "\n" for row in rows)
    (a,) = day_from_text(text, shared(reading__temperature_degC=None))
    assert (a.name, a.sheet.readings[0].mounting) == ("A 1,5", ("1,2", "1,3"))
    assert n_of(a) == pytest.approx(1.4902, abs=1e-12)


GOOD = "B,1.4911\nB,1.4912\n"


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("A,1,4901\nA,1,4902\n", "line 2 has 3 entries, the line of names has 2; is it a decimal comma"),
        ('A,"1,4901"\nA,1.4902\n', "line 2, n = '1,4901' is not a number; write the decimals with a point"),
        ("A,1.4901\nA\n", "line 3 has 1 entry, the line of names has 2"),
        ("A,1.4901\nA,\n", "line 3: n is empty"),
        ("A,\nA,\n", "line 2: n is empty"),
        ("A,1.4901\nA,14.902\n", "line 3, n: n_reading = 14.902: must be 1 to 3; is the decimal point one place off"),
        ("A,1.4901\nA,nan\n", "line 3, n: n_reading is missing or not a number"),
        ("A,1.4901\nA,inf\n", "line 3, n: n_reading = inf: must be 1 to 3"),
        ("A,1.4901\nA,1e400\n", "line 3, n: n_reading = inf"),
        ("A,1.4901\nA,1_4\n", "line 3, n = '1_4' is not a number"),
        ("A,1.4901\nA,１.49\n", "line 3, n = '１.49' is not a number"),
        ("A,1.4901\n", "specimen A: [reading] n holds one reading"),
    ],
)
def test_one_bad_specimen_leaves_the_others(lines, told):
    a, b = day_from_text("specimen,n\n" + lines + GOOD, SHARED)
    assert told in a.problem
    assert a.sheet is None
    assert n_of(b) == pytest.approx(1.49115, abs=1e-12)


def test_a_day_read_in_use_needs_no_slope():
    """546.07 nm and 35 °C: there is no step to take, so nothing is asked for."""
    (a,) = day_from_text("specimen,n\nA,1.4901\nA,1.4903\n", shared(temperature=None, reading__u_temperature_degC=0.0))
    assert n_of(a) == pytest.approx(1.4902, abs=1e-12)


def test_a_cell_without_end_is_told_with_its_line():
    with pytest.raises(SheetError, match="line 3: not CSV: field larger than field limit"):
        day_from_text(f"specimen,n\nA,1.4901\nA,{'1' * 200_000}\n", SHARED)


def test_a_quotation_mark_left_open_is_named():
    (a,) = day_from_text('specimen,n\nA,"1.4901\nA,1.4902\n' + GOOD, SHARED)
    assert a.problem == "line 5, n = '1.4901 …' is not a number; is a quotation mark above it not closed?"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("specimen,n,mounting\nA,1.4901,\nA,1.4902,2\n", "line 2: mounting is empty, and other lines of the same specimen have it"),
        ("specimen,n,mounting\nA,1.4901,1\nA,1.4902,\n", "line 3: mounting is empty, and other lines of the same specimen have it"),
        ("specimen,n,lot\nA,1.4901,1\nA,1.4902,2\n", "line 3, lot: differs from line 2 of the same specimen"),
        ("specimen,n,u_wavelength_nm\nA,1.4901,1\nA,1.4902,2\n", "line 3, u_wavelength_nm: differs from an earlier line at the same wavelength"),
        ("specimen,n,abbe_d\nA,1.4901,520\nA,1.4902,520\n", "line 3, abbe_d: abbe_d = 520: must be 5 to 150"),
        ("specimen,n,minutes_after_mounting\nA,1.4901,-1\nA,1.4902,2\n", "line 2, minutes_after_mounting = -1 min: must be 0 to"),
    ],
)
def test_columns_that_contradict_themselves(text, told):
    (a,) = day_from_text(text, SHARED)
    assert told in a.problem


def test_a_wavelength_left_out_once_is_named():
    text = "specimen,n,wavelength_nm\nA,1.4901,546.07\nA,1.4902,546.07\nA,1.4935,486.13\nA,1.4936,\n"
    (a,) = day_from_text(text, shared(reading__wavelength_nm=None))
    assert a.problem == "line 5: wavelength_nm is empty, and other lines of the same specimen have it"


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"reading": [SHARED["reading"]]}, r"shared \[reading\] must be one table of keys; .* in single brackets"),
        ({"reading": "546 nm"}, r"shared \[reading\] must be one table"),
        ({"specimen": "hydrated"}, r"shared \[specimen\] must be one table"),
        ({"temperature": 35}, r"shared \[temperature\] must be one table"),
        ({"lens": []}, r"shared \[lens\] must be one table"),
        ({"reading__n": [1.49, 1.491]}, r"n is a column and stands in the shared \[reading\] too"),
    ],
)
def test_shared_tables_of_a_wrong_kind(changes, told):
    with pytest.raises(SheetError, match=told):
        day_from_text("specimen,n,dn_dt_per_K\nA,1.49,-2e-4\n" if "temperature" in changes else "specimen,n\nA,1.49\n", shared(**changes))


def test_the_day_of_another_spreadsheet(tmp_path):
    """A byte order mark and the line ends of another system are no mistakes, UTF-16 is one that is named."""
    file = tmp_path / "day.csv"
    file.write_bytes("specimen,n\r\nÄ日,1.4901\r\nÄ日,1.4903\r\n".encode("utf-8-sig"))
    (a,) = read_day(file, SHARED)
    assert (a.name, n_of(a)) == ("Ä日", pytest.approx(1.4902))
    file.write_bytes("specimen,n\nA,1.4901\n".encode("utf-16"))
    with pytest.raises(FileError, match=r"day.csv: not UTF-8 text; save the file as CSV UTF-8"):
        read_day(file, SHARED)
    with pytest.raises(FileError, match=r"none.csv"):
        read_day(tmp_path / "none.csv", SHARED)


def test_two_thousand_specimens():
    text = "specimen,n\n" + "".join(f"S{i},{1.49 + j * 1e-4:.4f}\n" for j in range(3) for i in range(2000))  # each specimen's lines lie far apart
    start = time.process_time()
    day = day_from_text(text, SHARED)
    assert time.process_time() - start < 20  # 1 s on the machine of the first measurement
    assert len(day) == 2000
    assert not any(d.problem for d in day)
    assert day[1999].lines == (2001, 4001, 6001)


def test_a_line_that_ends_before_its_specimen_names_none():
    with pytest.raises(SheetError, match="line 3: specimen is empty"):
        day_from_text("n,specimen\n1.4901,A\n1.4902\n", SHARED)


@pytest.mark.parametrize(
    ("key", "first", "second"), [("u_temperature_degC", "0.1", "0.2"), ("u_temperature_degC", "0.2", "0.1"), ("basis", "air", "vacuum")]
)
def test_lines_of_one_place_do_not_differ_in_what_they_share(key, first, second):
    (a,) = day_from_text(f"specimen,n,{key}\nA,1.4901,{first}\nA,1.4902,{second}\n", shared(**{f"reading__{key}": None}))
    assert f"line 3, {key}: differs from an earlier line at the same wavelength and temperature" in a.problem


def test_a_line_that_ends_two_columns_before_its_specimen_names_none():
    with pytest.raises(SheetError, match="line 3: specimen is empty: whose reading is it"):
        day_from_text("n,lot,specimen\n1.4901,1,A\n1.4902\n", SHARED)
