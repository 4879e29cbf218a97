"""The results of candidates: what is computed, looked at, and taken away as the command writes it."""

import csv
import io

import numpy as np
import openpyxl
import pytest
from shown import DEMO, LENSES, command, job_of, page, panel, typed, words

from lenscalc.batch import run_batch
from lenscalc.charts.candidates_scatter import NAMED, candidates_scatter
from lenscalc.errors import FileError, InputError
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import (
    WITHOUT,
    Points,
    columns_of,
    names_and_kinds,
    points_of,
    rows_of,
    spread,
    varying_numbers,
    within_rectangle,
)
from lenscalc.web.table.candidates_table import LIMITS, SHORT, in_short
from lenscalc.web.table.save_legend import legend_csv
from lenscalc.web.table.save_results import written
from lenscalc.web.table.table_editor import frame_of, text_of
from lenscalc.web.table.table_wanted import ALL, BESIDES, POWER, wanted


@pytest.fixture
def demo_job():
    return Job("candidates.csv", DEMO.encode())


def test_the_words_cover_what_must_be_named():
    from lenscalc.chain.by_trials import BY_TRIALS
    from lenscalc.chain.decision_columns import ON_REQUEST
    from lenscalc.chain.image import IMAGE
    from lenscalc.chain.power_columns import RECUT

    covered = {name for group in BESIDES.values() for name in group.results}
    assert covered == {*ON_REQUEST, *RECUT, *IMAGE, *BY_TRIALS, "chromatic_difference_D"}  # no refraction beside a table of powers
    assert wanted(POWER, ()).compute[0] == "power_D"
    assert wanted(ALL, ("Sharpness (MTF)",)).compute == ("*", "mtf", "diffraction_mtf")


def test_what_is_asked_besides_is_there_in_its_beam():
    at = page("a_file.py")
    at.multiselect(key="besides").set_value(["Sharpness (MTF)", "Coloured focus (needs the Abbe number)"]).run()
    assert not at.exception
    assert not at.error
    found = rows_of(job_of(at).result, ["mtf", "chromatic_difference_D", "beam"])
    assert np.isfinite(found["mtf"]).all()
    assert set(found["beam"]) == {"model-eye"}
    shown = at.table[1].value
    assert list(shown.index) == list("ABCDEF")
    assert [float(x) for x in shown["MTF"]] == pytest.approx(list(found["mtf"]), rel=5e-4, abs=0.0)
    at.selectbox(key="table_beam").select("as the table says").run()
    assert "beam is missing" in at.error[0].value
    at.radio(key="compute").set_value(POWER)
    at.multiselect(key="besides").set_value([]).run()
    assert "n_lens" not in varying_numbers(job_of(at).result)
    assert not at.exception


def test_a_rectangle_takes_the_rows_within_it():
    points = Points(np.array([0, 2, 3]), np.array([1.0, 2.0, 3.0]), np.array([5.0, 6.0, 7.0]), 1)
    assert within_rectangle(points, {"x": [3.5, 1.5], "y": [5.5, 8.0]}).tolist() == [2, 3]
    assert within_rectangle(points, None) is None
    assert within_rectangle(points, {"x": [1, 2]}) is None


def test_the_points_are_named_and_told_apart_by_a_sign(demo_job):
    points = points_of(demo_job.result, "n_lens", "power_D")
    names, kinds, all_kinds = names_and_kinds(demo_job.result, points.rows)
    drawn = candidates_scatter(names, points.x, points.y, kinds, x_title="index", y_title="power, D", all_kinds=all_kinds)
    assert drawn.tables["points"]["text"].tolist() == ["○ A", "● B", "● C", "● D", "○ E", "● F"]
    assert "4 would conform, 0 would not conform, 2 not decided" in drawn.description
    assert drawn.specification()["mark"]["type"] == "text"
    many = candidates_scatter(["p"] * (NAMED + 1), range(NAMED + 1), range(NAMED + 1), ["a"] * (NAMED + 1), x_title="", y_title="", all_kinds=["a"])
    assert many.specification()["mark"]["type"] == "point"
    with pytest.raises(InputError, match="nothing to draw"):
        candidates_scatter([], [], [], [], x_title="", y_title="", all_kinds=["a"])


def test_a_row_that_could_not_be_computed_is_no_candidate_of_the_picture():
    job = Job("candidates.csv", DEMO.replace("1.49028", "14.9028").encode())  # C, whose radius and Abbe number could be drawn
    points = points_of(job.result, "front_radius_mm", "abbe_d")
    assert points.rows.tolist() == [0, 1, 3, 4, 5]
    assert points.missing == 0
    assert "C" not in names_and_kinds(job.result, points.rows)[0]


def test_a_row_without_a_label_is_not_called_undecided():
    job = Job("candidates.csv", DEMO.replace(",22.0,copolymer_b", ",,copolymer_b").encode())
    names, kinds, all_kinds = names_and_kinds(job.result, np.arange(6))
    assert dict(zip(names, kinds, strict=True))["B"] == WITHOUT == all_kinds[3]


def test_rows_are_spread_evenly():
    assert spread(0, 5).size == 0
    assert spread(100_000, 5000).size == 5000
    assert spread(100_000, 5000)[-1] == 99_999


def test_columns_that_tell_nobody_apart_and_refractions_are_no_axes(demo_job):
    names = varying_numbers(demo_job.result)
    assert names[:3] == ["power_D", "n_lens", "abbe_d"]
    assert "optic_diameter_mm" not in names  # 6 mm in every row
    assert not [n for n in names if "refraction" in n]


def test_the_short_table_is_short():
    columns = {"problem": ["", "bad"], "warning": ["", ""], "power_D": [20.0, np.nan], "u_power_D": [0.1, np.nan], "row_name": ["row 1", "row 2"]}
    short = in_short(columns)
    assert list(short.columns) == ["power with u", "problem or remark"]
    assert list(short.index) == ["row 1", "row 2"]


@pytest.mark.parametrize("name", ["results.csv", "results.parquet", "results.csv.gz"])
def test_what_is_saved_are_the_bytes_of_the_command(name, demo_job, tmp_path):
    (tmp_path / "candidates.csv").write_bytes(DEMO.encode())
    done = command("batch", str(tmp_path / "candidates.csv"), str(tmp_path / name))
    assert done.returncode == 0
    assert written(demo_job, name) == (tmp_path / name).read_bytes()
    if name == "results.parquet":
        assert demo_job.result.read_bytes() == (tmp_path / name).read_bytes()


def test_what_is_saved_as_excel_are_the_cells_of_the_command(demo_job, tmp_path):
    """A workbook holds the hour at which it was written: its bytes are never the same twice."""
    (tmp_path / "candidates.csv").write_bytes(DEMO.encode())
    run_batch(str(tmp_path / "candidates.csv"), str(tmp_path / "results.xlsx"))
    ours, theirs = (
        [[c.value for c in row] for row in openpyxl.load_workbook(book).worksheets[0].iter_rows()]
        for book in (io.BytesIO(written(demo_job, "results.xlsx")), tmp_path / "results.xlsx")
    )
    assert ours == theirs
    assert len(ours) == 7


def test_no_cell_becomes_a_formula():
    job = Job("x.csv", (LENSES + "=1+1,15,-15,0.9,1.49\n").encode())
    assert "\n'=1+1," in written(job, "results.csv").decode()
    assert "'=1+1" in text_of(frame_of(LENSES + "=1+1,15,-15,0.9,1.49\n"))
    with pytest.raises(FileError, match="empty"):
        text_of(frame_of(LENSES))


@pytest.mark.parametrize("besides", [[], ["Sharpness (MTF)", "The radii that would give the label"]])
def test_the_lines_of_the_panel_give_the_same(besides, tmp_path, monkeypatch):
    at = page("a_file.py")
    at.multiselect(key="besides").set_value(besides).run()
    monkeypatch.chdir(tmp_path)
    (tmp_path / "candidates.csv").write_bytes(job_of(at).data)
    line, python = panel(at)
    wanted_bytes = written(job_of(at), "results.csv")
    typed(line)
    assert (tmp_path / "results.csv").read_bytes() == wanted_bytes
    (tmp_path / "results.csv").unlink()
    exec(compile(python, "panel", "exec"), {})
    assert (tmp_path / "results.csv").read_bytes() == wanted_bytes


def test_each_row_shows_the_limits_that_its_verdict_stands_on(demo_job):
    """Candidate A has the label 20.0 D, C 20.5 D; both with ±0.40 D, as the tolerance table quotes for 15 to 25 D."""
    short = in_short(rows_of(demo_job.result, ["candidate", *SHORT]))
    assert short.loc["A", LIMITS] == "20.0\u00a0D: 19.60 to 20.40\u00a0D"
    assert short.loc["C", LIMITS] == "20.5\u00a0D: 20.10 to 20.90\u00a0D"


def test_the_answer_stands_in_short_with_its_rule_and_no_name_of_a_column():
    at = page("a_file.py")
    told = words(at)
    assert "In short: All **6 rows** could be computed" in told
    assert "JCGM 106" in told
    assert "required is 0.95." in told
    assert "tolerance_D" not in told


def test_the_legend_that_is_saved_is_that_of_the_workbook(demo_job):
    rows = list(csv.reader(io.StringIO(legend_csv(columns_of(demo_job.result)))))
    book = openpyxl.load_workbook(io.BytesIO(written(demo_job, "results.xlsx")))
    assert rows == [[cell or "" for cell in row] for row in book["columns"].iter_rows(values_only=True)]


@pytest.mark.parametrize("file", ["a_file.py", "worth_making.py", "a_sweep.py"])
def test_a_page_says_where_the_legend_is(file):
    at = page(file)
    assert not at.exception
    assert "The Excel file has this legend on its second sheet. CSV and Parquet hold names alone" in words(at)
