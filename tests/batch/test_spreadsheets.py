"""Tables as spreadsheets save them: empty columns and rows, a title, another decimal sign, marks in cells."""

import csv

import openpyxl
import pytest

from lenscalc.batch import rank_file, run_batch
from lenscalc.decision import read_criterion
from lenscalc.errors import FileError, InputError

NAMES = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens")
HEAD, LENS, POWER_D = ",".join(NAMES), "15,-15,0.9,1.49", 20.469666  # facts: the first thick lens


def results(tmp_path, text, **options):
    source, target = tmp_path / "in.csv", tmp_path / "out.csv"
    source.write_text(text, encoding="utf-8")
    run_batch(str(source), str(target), compute=("power_D",), **options)
    return list(csv.DictReader(target.read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize(
    "text",
    [
        f"{HEAD},,\n{LENS},,\n",
        f"\ufeff{HEAD},,\r\n{LENS},,\r\n,,,,,\r\n,,,,,\r\n",
        f"\n,,,,\n{HEAD}\n{LENS}\n",
        f"{HEAD}\n{LENS},\n,,,\n",
        f"{HEAD},,\n{LENS}, ,\n".replace(",", ";"),
        f"{HEAD},,\n{LENS},,\n,,,,,\n".replace(",", "\t"),
    ],
)
def test_columns_and_rows_in_which_nothing_stands_are_none(tmp_path, text):
    (row,) = results(tmp_path, text)
    assert float(row["power_D"]) == pytest.approx(POWER_D, abs=1e-6)
    assert not row["problem"]
    assert "" not in row


def test_of_a_workbook_too(tmp_path):
    book = openpyxl.Workbook()
    for line in ([], ["", None], [*NAMES, None, ""], [], [15, -15, 0.9, 1.49, None], []):
        book.active.append(line)
    book.save(tmp_path / "in.xlsx")
    run_batch(str(tmp_path / "in.xlsx"), str(tmp_path / "out.csv"), compute=("power_D",))
    (row,) = csv.DictReader((tmp_path / "out.csv").read_text().splitlines())
    assert float(row["power_D"]) == pytest.approx(POWER_D, abs=1e-6)


def test_a_cell_beyond_the_last_name_is_told(tmp_path):
    (row,) = results(tmp_path, f"{HEAD},,\n{LENS},,see below\n")
    assert "the row has 6 cells, the first line names 4" in row["problem"]


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ("Candidates, Monday,,,\n" + HEAD, "no name in the first line is known ('Candidates', 'Monday'): part names by commas, rename what"),
        ("Candidates\n" + HEAD, "no name in the first line is known ('Candidates')"),
        ("# lot 3\n" + HEAD, "no name in the first line is known ('# lot 3')"),
        (HEAD.replace(",", " "), "is known ('front_radius_mm back_radius_mm center_th'): part names by commas, rename what is meant"),
        ("R1,R2,t,n", "no name in the first line is known ('R1', 'R2', 't', 'n')"),
        (HEAD.replace("n_lens", "Index"), "n_lens is the index at 546.07 nm, 35 °C, hydrated); not known here: 'Index'"),
        (HEAD.replace("front_radius_mm", "R1 [mm]"), "missing column front_radius_mm; not known here: 'R1 [mm]'"),
        (HEAD + ",u(n_lens)", "unknown column 'u(n_lens)'; did you mean u_n_lens?"),
        (HEAD + ",u(n)", "unknown uncertainty 'u(n)'; is it u_n_lens or"),
    ],
)
def test_a_first_line_of_other_names_is_told_with_what_it_holds(tmp_path, head, told):
    with pytest.raises(InputError) as caught:
        results(tmp_path, f"{head}\n{LENS}\n")
    assert told in str(caught.value)


def test_a_title_with_gaps_is_told_as_a_first_line_without_names(tmp_path):
    with pytest.raises(FileError, match="column 2 has no name in the first line, which must be the line of names"):
        results(tmp_path, f"Lot 3,,,Monday\n{HEAD}\n{LENS}\n")


def test_a_comma_behind_a_point_is_the_decimal_one(tmp_path):
    """1.004,8 can be no number with a decimal point; the row says what to do, and the rows beside it are computed."""
    lines = (";".join(NAMES), "15;-15;0,9;1,49", "1.004,8;-15;0,9;1,49", "15;−15;0,9;1,49 ± 0,01", "")
    good, thousands, marks = results(tmp_path, "\n".join(lines))
    assert float(good["power_D"]) == pytest.approx(POWER_D, abs=1e-6)
    assert "front_radius_mm = '1.004,8': the decimals of this file are written with a comma" in thousands["problem"]
    assert "n_lens = '1.49 ± 0.01' is not a number: must be 1 to 3; write the value alone" in marks["problem"]
    assert "its minus is not the keyboard's: write -15" in marks["problem"]
    assert "with a point" not in marks["problem"]


def test_results_that_went_through_a_spreadsheet_with_commas_are_still_ranked(tmp_path):
    """The same ranks and the same probabilities from the results, and from the results saved with semicolons and decimal commas."""
    from importlib.resources import files

    run_batch(str(files("lenscalc") / "demo" / "candidates.csv"), str(tmp_path / "out.csv"))
    rows = list(csv.reader((tmp_path / "out.csv").read_text(encoding="utf-8").splitlines()))
    with (tmp_path / "commas.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";").writerows([[c.replace(".", ",") if c.lstrip("-")[:1].isdigit() else c for c in row] for row in rows])
    criteria = [read_criterion("power_D:near=labelled_power_D"), read_criterion("abbe_d:high")]
    points, commas = (rank_file(str(tmp_path / name), criteria, trials=1000) for name in ("out.csv", "commas.csv"))
    assert points.names == commas.names
    assert len(points.names) == 6
    assert points.columns["score"].tolist() == commas.columns["score"].tolist()
    assert points.columns["first_probability"].tolist() == commas.columns["first_probability"].tolist()


def test_who_is_left_out_for_a_comma_is_told_so(tmp_path):
    (tmp_path / "in.csv").write_text("candidate;price\nA;1,5\nB;2,5\nC;\n", encoding="utf-8")
    found = rank_file(str(tmp_path / "in.csv"), [read_criterion("price:low")])
    assert found.left_out == {"price is missing or not a number; write the decimals with a point": 3}
