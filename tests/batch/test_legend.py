"""The legend of the columns goes with a workbook, and is there for every column that can come out."""

import csv

import openpyxl
import pandas as pd
import pytest

from lenscalc.batch import rank_file, run_batch, write_blocks
from lenscalc.batch.describe import ON_DEMAND, input_columns, result_columns
from lenscalc.batch.legend import legend
from lenscalc.conditions import CAUTION
from lenscalc.decision import read_criterion, read_limit
from lenscalc.demo import demo_text


def saved(tmp_path, text, name="out.xlsx"):
    (tmp_path / "in.csv").write_text(text, encoding="utf-8")
    run_batch(str(tmp_path / "in.csv"), str(tmp_path / name))
    return tmp_path / name


def sheet_of(path):
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["results", "columns"]
    return [[cell or "" for cell in row] for row in book["columns"].iter_rows(values_only=True)], next(book["results"].iter_rows(values_only=True))


def test_a_workbook_explains_every_column_it_has_and_cautions(tmp_path):
    told, names = sheet_of(saved(tmp_path, demo_text("candidates.csv")))
    assert told[0] == ["column", "in words", "unit", "meaning"]
    assert [row[0] for row in told[1:-1]] == list(names)
    assert told[-1] == ["caution", "", "", CAUTION]
    assert all(row[3] for row in told[1:])
    of = {row[0]: row for row in told}
    assert of["front_radius_mm"][1:3] == ["front radius", "mm"]
    assert of["power_D"] == ["power_D", "power", "D", "equivalent power of the lens in its medium"]
    assert of["note_sheet"][3] == "a column of the table's own, carried along; it takes no part"


def test_the_legend_is_not_read_as_rows(tmp_path):
    """A workbook that was written is a table again: the first sheet alone."""
    path = saved(tmp_path, demo_text("candidates.csv"))
    found = rank_file(str(path), [read_criterion("abbe_d:high")], trials=100)
    assert (found.rows, len(found.names)) == (6, 6)
    assert len(pd.read_excel(path)) == 6
    write_blocks(str(tmp_path / "ranked.xlsx"), [found.columns])
    told, names = sheet_of(tmp_path / "ranked.xlsx")
    assert [row[0] for row in told[1:-1]] == list(names)
    assert {row[0]: row[1] for row in told}["normalised_abbe_d"] == "worth by the Abbe number"


def test_a_workbook_of_a_ranking_says_what_counted(tmp_path):
    path = saved(tmp_path, demo_text("candidates.csv"))
    criteria = [read_criterion("power_D:near=labelled_power_D", 3.0), read_criterion("abbe_d:high")]
    found = rank_file(str(path), criteria, [read_limit("conformance_probability>=0.95")], trials=100)
    write_blocks(str(tmp_path / "ranked.xlsx"), [found.columns], explained=found.explained)
    told, names = sheet_of(tmp_path / "ranked.xlsx")
    assert [row[0] for row in told[1 : len(names) + 1]] == list(names)
    assert told[len(names) + 1 :] == [
        ["criterion: power_D", "power", "D", "near labelled_power_D is good; weight 75 %"],
        ["criterion: abbe_d", "Abbe number", "", "high is good; weight 25 %"],
        ["limit: conformance_probability", "conformance probability", "", "0.95 or more; who is outside is not ranked"],
        ["caution", "", "", CAUTION],
    ]
    write_blocks(str(tmp_path / "a.csv"), [found.columns], explained=found.explained)
    write_blocks(str(tmp_path / "b.csv"), [found.columns])
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()


def test_a_workbook_is_read_without_setting_it_up(tmp_path):
    """The head stays in sight, headings are seen whole, numbers show the decimals of their quantity and keep the 16 digits of a sheet."""
    path = saved(tmp_path, demo_text("candidates.csv"))
    book = openpyxl.load_workbook(path)
    with saved(tmp_path, demo_text("candidates.csv"), "out.csv").open(encoding="utf-8", newline="") as file:
        whole = list(csv.DictReader(file))
    for sheet in book.worksheets:
        assert sheet.freeze_panes == "A2"
    sheet = book["results"]
    heads = {cell.value: cell.column_letter for cell in sheet[1]}
    for name, letter in heads.items():
        assert sheet.column_dimensions[letter].width >= min(len(name), 40)
    for name, wanted in (("power_D", "0.000"), ("u_n_reading", "0.000000"), ("labelled_power_D", "0.00"), ("front_radius_mm", "0.000")):
        column = sheet[heads[name]][1:]
        assert {cell.number_format for cell in column} == {wanted}
        assert [cell.value for cell in column] == pytest.approx([float(row[name]) for row in whole], rel=1e-15, abs=0.0)
    assert {cell.number_format for cell in sheet[heads["candidate"]]} == {"General"}


def test_what_is_no_number_keeps_its_place_in_a_column_of_numbers(tmp_path):
    """A flat surface, an empty cell and a text between numbers: a cell is written at once, so the next row's number is not put into it."""
    text = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\nA,15,-15,0.9,1.49\nB,plano,-15,0.9,1.49\nC,,-15,0.9,1.49\n"
    sheet = openpyxl.load_workbook(saved(tmp_path, text + "D,abc,-15,0.9,1.49\nE,16,-15,0.9,1.49\n"))["results"]
    assert [cell.value for cell in sheet["B"]] == ["front_radius_mm", 15, "plano", None, "abc", 16]


def test_a_heading_that_looks_like_a_formula_is_a_text_in_the_legend_too(tmp_path):
    write_blocks(str(tmp_path / "out.xlsx"), [{"=1+1": pd.Series(["a"], dtype=object).to_numpy()}])
    cell = openpyxl.load_workbook(tmp_path / "out.xlsx")["columns"]["A2"]
    assert (cell.value, cell.data_type) == ("=1+1", "s")


def test_a_table_without_a_row_has_its_legend(tmp_path):
    told, names = sheet_of(saved(tmp_path, demo_text("candidates.csv").splitlines()[0] + "\n"))
    assert [row[0] for row in told[1:-1]] == list(names)


def test_every_column_that_can_stand_in_a_table_or_come_out_is_explained():
    names = [c.name for c in (*input_columns(), *result_columns()) if not c.name.endswith("…")] + list(ON_DEMAND)
    for line in legend(names):
        assert line.meaning
        assert "table's own" not in line.meaning, line.column
