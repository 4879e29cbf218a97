"""Workbooks that a program wrote and no spreadsheet program has opened, that say too little of their size, or that are broken further down."""

import csv
import datetime
import re
import zipfile

import openpyxl
import pytest

from lenscalc.batch import check_batch, run_batch
from lenscalc.errors import FileError

NAMES = ("candidate", "front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", "u_n_lens")
LENS, POWER_D = (15, -15, 0.9, 1.49), 20.469666  # facts: the first thick lens
SHEET = "xl/worksheets/sheet1.xml"
NEVER_SAVED = "a formula whose value was never saved; open the workbook in a spreadsheet program, save it there, and take it again"


def written(tmp_path, *rows, names=NAMES, **changes):
    """A workbook as openpyxl writes it, formulas without values; `changes` are made in its parts: old text = new text in the sheet."""
    book = openpyxl.Workbook()
    for row in (names, *rows):
        book.active.append(row)
    book.save(tmp_path / "plain.xlsx")
    with zipfile.ZipFile(tmp_path / "plain.xlsx") as plain, zipfile.ZipFile(tmp_path / "in.xlsx", "w", zipfile.ZIP_DEFLATED) as changed:
        for name in plain.namelist():
            text = plain.read(name).decode()
            for old, new in changes.get("sheet" if name == SHEET else "book" if name == "xl/workbook.xml" else "", ()):
                assert old in text
                text = text.replace(old, new)
            changed.writestr(name, text)
    return tmp_path / "in.xlsx"


def results(source):
    target = source.with_name("out.csv")
    run_batch(str(source), str(target), compute=("power_D", "u_power_D"))
    return list(csv.DictReader(target.read_text(encoding="utf-8").splitlines()))


def test_a_formula_without_a_saved_value_is_the_problem_of_its_row(tmp_path):
    """Read as an empty cell, the uncertainty would be left out and the decision look better than it is."""
    rows = results(written(tmp_path, ["A", *LENS, "=0.001*2"], ["B", *LENS, None], ["C", 15, -15, 0.9, "=1.48+0.01", "=0.001"]))
    assert rows[0]["problem"] == f"F2: {NEVER_SAVED}"
    assert not rows[0]["power_D"]
    assert not rows[1]["problem"]
    assert float(rows[1]["power_D"]) == pytest.approx(POWER_D, abs=1e-6)
    assert rows[2]["problem"] == f"E4, F4: {NEVER_SAVED}"


def test_a_row_of_nothing_but_such_formulas_is_no_empty_row(tmp_path):
    rows = results(written(tmp_path, ["A", *LENS, 0.001], [f"=A{n}" for n in range(6)], ["C", *LENS, 0.001]))
    assert [row["candidate"] for row in rows] == ["A", "", "C"]
    assert rows[1]["problem"] == f"A3, B3, C3 and 3 more: {NEVER_SAVED}"


def test_a_name_of_a_column_that_is_such_a_formula_is_told(tmp_path):
    with pytest.raises(FileError, match=f"F1: {NEVER_SAVED}"):
        results(written(tmp_path, ["A", *LENS, 0.001], names=(*NAMES[:5], '="u_n_"&"lens"')))


@pytest.mark.parametrize(
    ("saved", "told"),
    [
        ("<f>0.001*2</f><v>0.002</v>", ""),
        ("<f>0.001*2</f><v>0</v>", f"F2: {NEVER_SAVED}"),  # by who writes 0 for every formula and asks for all to be computed on opening
    ],
)
def test_what_is_to_be_computed_on_opening_is_not_taken_for_a_zero(tmp_path, saved, told):
    (row,) = results(written(tmp_path, ["A", *LENS, "=0.001*2"], sheet=[("<f>0.001*2</f><v />", saved)]))
    assert row["problem"] == told


def test_what_a_spreadsheet_program_saved_is_taken_a_zero_and_an_empty_text_too(tmp_path):
    """On saving, the program writes the value, the kind of a text, and takes the flag away."""
    sheet = [("<f>1*0</f><v />", "<f>1*0</f><v>0</v>"), ('<c r="F3"><f>""</f><v />', '<c r="F3" t="str"><f>""</f><v></v>')]
    rows = results(written(tmp_path, ["A", *LENS, "=1*0"], ["B", *LENS, '=""'], sheet=sheet, book=[('fullCalcOnLoad="1"', "")]))
    assert [row["problem"] for row in rows] == ["", ""]
    assert [float(row["u_power_D"]) for row in rows] == [0.0, 0.0]


@pytest.mark.parametrize("said", ['<dimension ref="A1:F2" />', '<dimension ref="A1:E4" />', '<dimension ref="A1" />', ""])
def test_what_a_workbook_says_of_its_size_loses_neither_rows_nor_columns(tmp_path, said):
    rows = results(written(tmp_path, *([name, *LENS, 0.001] for name in "ABC"), sheet=[('<dimension ref="A1:F4" />', said)]))
    assert [row["candidate"] for row in rows] == ["A", "B", "C"]
    assert all(float(row["u_power_D"]) == pytest.approx(0.1325492, abs=1e-7) for row in rows)  # facts: dF/dn = 132.5492 D


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("</sheetData>", "", "cannot be read"),
        ('<row r="2">', '<row r="second">', "cannot be read"),
        ("<v>15</v>", "<v>1,5</v>", "cannot be read"),
        ('r="B2" t="n"', 'r="B2" t="s"', "cannot be read"),
        ('<row r="2">', '<row r="2000000">', "a row is numbered beyond 1,048,576"),
    ],
)
def test_a_sheet_that_is_broken_further_down_is_one_sentence(tmp_path, old, new, told):
    source = written(tmp_path, ["A", *LENS, 0.001], sheet=[(old, new)])
    with pytest.raises(FileError, match=f"in.xlsx: its first sheet cannot be read: .*{told if told != 'cannot be read' else ''}") as caught:
        results(source)
    assert "save it anew in a spreadsheet program" in str(caught.value)


def test_a_workbook_without_a_sheet_of_cells_is_told_so(tmp_path):
    source = written(tmp_path, ["A", *LENS, 0.001])
    with zipfile.ZipFile(source) as whole:
        parts = {name: whole.read(name) for name in whole.namelist()}
    parts["xl/workbook.xml"] = re.sub(rb"<sheet .*?/>", b"", parts["xl/workbook.xml"])
    with zipfile.ZipFile(source, "w") as none:
        for name, data in parts.items():
            none.writestr(name, data)
    with pytest.raises(FileError, match="not an Excel workbook: it has no sheet of cells"):
        results(source)


def test_lists_to_choose_from_take_no_part_and_are_not_warned_of(tmp_path):
    """A warning is an error in these tests."""
    lists = '<extLst><ext uri="{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}"></ext></extLst></worksheet>'
    (row,) = results(written(tmp_path, ["A", *LENS, 0.001], sheet=[("</worksheet>", lists)]))
    assert not row["problem"]


def test_a_day_gets_no_time_that_nobody_wrote(tmp_path):
    days = [datetime.date(2026, 3, 1), datetime.datetime(2026, 3, 1, 9, 30)]
    rows = results(written(tmp_path, *(["A", *LENS, 0.001, day] for day in days), names=(*NAMES, "note_day")))
    assert [row["note_day"] for row in rows] == ["2026-03-01", "2026-03-01 09:30:00"]


@pytest.mark.parametrize(
    ("number", "told"),
    [("2", "two rows of its first sheet have the number 2, so that one of them would be lost"), ("1", "row 2 stands before row 1,")],
)
def test_two_rows_at_one_place_are_no_table_and_none_is_lost(tmp_path, number, told):
    source = written(tmp_path, ["A", *LENS, 0.001], ["B", *LENS, 0.001], sheet=[('<row r="3"', f'<row r="{number}"')])
    with pytest.raises(FileError, match=told):
        results(source)
    with pytest.raises(FileError, match=told):
        check_batch(str(source))


def test_rows_without_numbers_and_with_gaps_are_all_read(tmp_path):
    rows = [[f"L{n}", *LENS, 0.001] for n in range(8_000)]  # more than a piece of the sheet
    source = written(tmp_path, *rows[:3], sheet=[('<row r="3"', "<row"), ('<row r="4"', '<row r="9"'), *((f'"{c}4"', f'"{c}9"') for c in "ABCDEF")])
    assert [row["candidate"] for row in results(source)] == ["L0", "L1", "L2"]
    assert len(results(written(tmp_path, *rows))) == len(rows)
