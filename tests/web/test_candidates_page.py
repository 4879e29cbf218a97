"""The page of candidates: whatever the batch reads comes in, is edited, is computed or stopped, and goes out as the command writes it."""

import csv
import io
import time

import numpy as np
import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shown import command, page, panel, typed, words

from lenscalc.batch import run_batch
from lenscalc.charts.candidates_scatter import NAMED, candidates_scatter
from lenscalc.demo import demo_text
from lenscalc.errors import FileError, InputError
from lenscalc.web import batch_job, batch_process, save_results
from lenscalc.web.batch_job import Job
from lenscalc.web.batch_results import Points, names_and_kinds, points_of, rows_of, spread, varying_numbers, within_rectangle
from lenscalc.web.candidates_job import JOB
from lenscalc.web.candidates_table import in_short
from lenscalc.web.save_results import written
from lenscalc.web.table_editor import frame_of, text_of, with_point
from lenscalc.web.table_wanted import ALL, BESIDES, POWER, wanted

DEMO = demo_text("candidates.csv")
LENSES = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n"
EDITOR = "candidates_editor_0"


def with_commas():
    """The demo as a spreadsheet of another country saves it."""
    rows = list(csv.reader(io.StringIO(DEMO)))
    return "\n".join(";".join(cell.replace(".", ",") if i else cell for i, cell in enumerate(row)) for row in rows) + "\n"


def uploaded(name, data):
    at = page("a_file.py")
    at.file_uploader(key="upload_candidates").set_value((name, data, "application/octet-stream")).run()
    assert not at.exception
    return at


def job_of(at):
    return at.session_state[JOB][1]


def power(at):
    return rows_of(job_of(at).result, ["power_D"])["power_D"]


@pytest.fixture
def demo_job():
    return Job("candidates.csv", DEMO.encode())


# --- what comes in


def test_the_table_on_the_page_is_the_file_it_came_from():
    assert text_of(frame_of(DEMO)) == DEMO


@pytest.mark.parametrize(
    ("name", "text", "meant"),
    [
        ("n_lens", "1,4903", "1.4903"), ("n_lens", "1,490", "1.490"), ("front_radius_mm", "-15,02", "-15.02"), ("u_n_lens", ",0003", ".0003"),
        ("dn_dt_per_K", "-1,2e-4", "-1.2e-4"), ("n_lens", "1.4903", "1.4903"), ("n_lens", "1,4,9", "1,4,9"), ("front_radius_mm", "plano", "plano"),
        ("density_kg_per_m3", "1,190", "1,190"),  # 1.19 or 1190 kg/m³: nobody can know
    ],
)  # fmt: skip
def test_a_decimal_comma_is_read_where_only_that_can_be_meant(name, text, meant):
    assert with_point(name, text) == meant


@given(st.floats(1.0, 1.99, allow_nan=False))
def test_a_pasted_number_has_the_same_value_with_a_comma(n):
    text = f"{n:.6f}"
    assert float(with_point("n_lens", text.replace(".", ","))) == float(text)


def test_rows_that_are_written_or_pasted_are_computed():
    at = page("a_file.py")
    before = power(at)
    added = dict(zip(DEMO.splitlines()[0].split(","), with_commas().splitlines()[3].split(";"), strict=True)) | {"candidate": "G"}
    at.session_state[EDITOR] = {"edited_rows": {0: {"n_reading": "1,4755"}}, "added_rows": [added], "deleted_rows": []}
    at.run()
    assert not at.exception
    after = power(at)
    assert len(after) == 7
    assert after[6] == before[2]  # a copy of C, with commas
    assert after[0] > before[0]
    assert np.array_equal(after[1:6], before[1:])
    assert "invented for the demo" not in words(at)
    at.run()
    assert np.array_equal(power(at), after)


def test_a_bad_cell_keeps_its_row_and_is_told_there():
    at = page("a_file.py")
    at.session_state[EDITOR] = {"edited_rows": {2: {"n_reading": "14,903"}}, "added_rows": [], "deleted_rows": []}
    at.run()
    table = at.table[0].value
    assert list(table.index) == list("ABCDEF")
    assert "one place off" in table.loc["C", "problem or remark"]
    assert table.loc["C", "power with u"] == ""
    assert "Of 6 rows **5 could be computed**" in words(at)
    assert "Not drawn for want of a value: 1 of 6 rows (1 with a problem)." in words(at)
    at.checkbox(key="only_problems").check().run()
    assert list(at.table[0].value.index) == ["C"]


def test_an_empty_table_is_told_and_can_be_left():
    at = page("a_file.py")
    at.button[[b.label for b in at.button].index("Start with an empty table")].click().run()
    assert not at.exception
    assert "the table is empty: write a row" in at.error[0].value
    at.button[[b.label for b in at.button].index("Start from the invented ones")].click().run()
    assert not at.error
    assert len(power(at)) == 6


def test_a_column_is_added_with_the_words_of_the_registry():
    at = page("a_file.py")
    at.selectbox(key="candidates_added_column").select("density_kg_per_m3").run()
    assert not at.exception
    assert "density_kg_per_m3" in job_of(at).data.decode().splitlines()[0]


def as_excel():
    book = openpyxl.Workbook()
    for row in csv.reader(io.StringIO(DEMO)):
        book.worksheets[0].append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def as_parquet():
    out = io.BytesIO()
    pd.read_csv(io.StringIO(DEMO)).to_parquet(out)
    return out.getvalue()


def packed():
    import gzip

    return gzip.compress(DEMO.encode())


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("t.csv", lambda: DEMO.encode()), ("t.csv", lambda: with_commas().encode()), ("t.txt", lambda: DEMO.replace(",", "\t").encode()),
        ("t.csv.gz", packed), ("t.xlsx", as_excel), ("t.parquet", as_parquet),
    ],
)  # fmt: skip
def test_whatever_the_batch_reads_gives_the_same_powers(name, data, demo_job):
    at = uploaded(name, data())
    assert not at.error
    assert np.array_equal(power(at), rows_of(demo_job.result, ["power_D"])["power_D"])


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("x.csv", b"candidate,n_lense\nA,1.49\n", "did you mean n_lens"),
        ("x.csv", b"", "x.csv: the file is empty"),
        ("x.csv", b"\xff\xfe\x00", "x.csv: not UTF-8"),
        ("x.csv", b"a;b\n1;2\n", "missing columns front_radius_mm"),
        ("x.csv", b"n_lens,n_lens\n1.49,1.5\n", "x.csv: the column n_lens stands there more than once"),
        ("x.csv", b"n_lens,u_n_lense\n1.49,1\n", "did you mean u_n_lens"),
        ("x.xlsx", b"no book", "x.xlsx: not an Excel workbook"),
        ("x.parquet", b"no table", "x.parquet: not a whole Parquet file"),
        ("x.csv.gz", b"not packed", "x.csv.gz: cannot be unpacked"),
        ("x.csv", b"a,b;c\n", "say by --separator"),
    ],
)
def test_a_file_that_is_no_table_is_told_in_one_line(name, data, told):
    at = uploaded(name, data)
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "lenscalc-" not in at.error[0].value  # no folder of ours
    assert not at.table


def test_the_signs_of_a_file_can_be_told():
    at = uploaded("x.csv", b"front_radius_mm;back_radius_mm;center_thickness_mm;n_lens\n15,123;-15,123;1,000;1,490\n")
    assert "say by --decimal" in at.error[0].value
    assert "under *Signs of this file*" in words(at)
    at.selectbox(key="decimal").select("comma").run()
    assert not at.error
    # by hand: F1 = F2 = 0.154/0.015123 m = 10.18316 D; F1 + F2 − (0.001/1.49)·F1·F2 = 20.36633 − 0.06960
    assert power(at)[0] == pytest.approx(20.29673, abs=2e-5)
    assert "--decimal comma" in panel(at)[0]


def test_own_columns_travel_and_are_named():
    at = uploaded("x.csv", (LENSES.replace("candidate", "candidate,batch_no") + "A,007,15,-15,0.9,1.49\n").encode())
    assert "carried along untouched and not used: batch_no" in at.info[0].value
    assert rows_of(job_of(at).result, ["batch_no"])["batch_no"].tolist() == ["007"]
    assert "The **one row** could be computed; none has a label" in words(at)


def test_a_table_without_rows_and_one_of_bad_rows():
    assert "**no row** yet" in words(uploaded("x.csv", LENSES.encode()))
    at = uploaded("x.csv", (LENSES + "A,0.015,-15,0.9,1.49\nB,15,-15,,1.49\n").encode())
    assert "**None of the 2 rows could be computed**" in words(at)
    told = at.table[0].value["problem or remark"]
    assert "is it in metres" in told["A"]
    assert "center_thickness_mm is missing" in told["B"]


def test_many_rows_are_drawn_and_shown_in_part_and_say_so():
    lines = "".join(f"P{i},{15 + i / 6000},-15,0.9,{1.45 + i / 60000:.6f}\n" for i in range(6000))
    at = uploaded("many.csv", (LENSES + lines).encode())
    assert "5,000 of 6,000 rows are drawn, evenly spread over the file" in words(at)
    assert "The first 200 of them are shown" in words(at)
    assert not at.table
    assert len(at.dataframe[-1].value) == 200


# --- what to compute


def test_the_words_cover_what_must_be_named():
    from lenscalc.chain.by_trials import BY_TRIALS
    from lenscalc.chain.evaluate import ON_REQUEST, RECUT
    from lenscalc.chain.image import IMAGE

    covered = {name for group in BESIDES.values() for name in group.results}
    assert covered == {*ON_REQUEST, *RECUT, *IMAGE, *BY_TRIALS, "chromatic_difference_D"}  # no refraction beside a table of powers
    assert wanted(POWER, ()).compute[0] == "power_D"
    assert wanted(ALL, ("Sharpness (MTF)",)).compute == ("*", "mtf", "diffraction_mtf")


def test_what_is_asked_besides_is_there_in_its_beam():
    at = page("a_file.py")
    at.multiselect(key="besides").set_value(["Sharpness (MTF)", "Coloured focus (needs abbe_d)"]).run()
    assert not at.exception
    assert not at.error
    found = rows_of(job_of(at).result, ["mtf", "chromatic_difference_D", "beam"])
    assert np.isfinite(found["mtf"]).all()
    assert set(found["beam"]) == {"model-eye"}
    at.selectbox(key="table_beam").select("as the table says").run()
    assert "beam is missing" in at.error[0].value
    at.radio(key="compute").set_value(POWER)
    at.multiselect(key="besides").set_value([]).run()
    assert "n_lens" not in varying_numbers(job_of(at).result)
    assert not at.exception


# --- progress, and stopping


def ended(job):
    until = time.monotonic() + 60
    while job.state == "running":
        job.look()
        assert time.monotonic() < until
        time.sleep(0.05)
    return job


def test_a_process_of_its_own_gives_the_same_and_tells_the_same(demo_job):
    job = ended(Job("candidates.csv", DEMO.encode(), expected_s=60))
    assert (job.state, job.rows, job.problems) == ("done", 6, 0)
    assert job.result.read_bytes() == demo_job.result.read_bytes()
    bad = ended(Job("x.csv", b"a;b\n1;2\n", expected_s=60))
    assert bad.state == "failed"
    assert bad.error == Job("x.csv", b"a;b\n1;2\n").error


def test_a_stopped_job_leaves_nothing(monkeypatch):
    job = Job("candidates.csv", DEMO.encode(), expected_s=60)
    job.stop()
    assert job.state == "stopped"
    assert job._process.poll() is not None
    assert not job.result.parent.parent.exists()
    job.look()
    assert job.state == "stopped"


def test_a_job_that_is_forgotten_ends_with_its_folder():
    job = Job("candidates.csv", DEMO.encode(), expected_s=60)
    process, folder = job._process, job.result.parent.parent
    del job
    assert process.poll() is not None
    assert not folder.exists()


def test_on_the_page_a_run_is_watched_stopped_and_begun_again(monkeypatch, demo_job):
    monkeypatch.setattr(batch_job, "AT_ONCE_S", -1.0)
    at = page("a_file.py")
    assert not at.exception
    assert job_of(at).state == "running"
    assert not at.table
    job = job_of(at)
    at.button(key=f"stop {JOB}").click().run()
    assert job.state == "stopped"
    assert "Nothing is shown or saved of a half result" in at.info[0].value
    assert not at.table
    monkeypatch.setattr(batch_job, "AT_ONCE_S", 60.0)
    at.button(key=f"again {JOB}").click().run()
    assert job_of(at).state == "done"
    assert np.array_equal(power(at), rows_of(demo_job.result, ["power_D"])["power_D"])


def test_another_table_ends_the_run_of_the_one_before(monkeypatch):
    monkeypatch.setattr(batch_job, "AT_ONCE_S", -1.0)
    at = page("a_file.py")
    before = job_of(at)
    at.file_uploader(key="upload_candidates").set_value(("x.csv", (LENSES + "A,15,-15,0.9,1.49\n").encode(), "text/csv")).run()
    assert before.state == "stopped"
    job_of(at).stop()


def test_too_many_rows_for_a_page_are_told(monkeypatch):
    monkeypatch.setattr(batch_process, "MOST_ROWS", 5)
    job = Job("candidates.csv", DEMO.encode())
    assert job.state == "failed"
    assert "more than 5 rows: too many for a page; the command takes a file of any length" in job.error
    assert not job.result.exists()


def test_a_file_that_takes_long_is_prepared_on_a_click_and_for_this_table_alone(monkeypatch):
    monkeypatch.setattr(save_results, "AT_ONCE_S", -1.0)
    at = page("a_file.py")
    at.button(key=f"prepare {JOB} csv").click().run()
    assert not at.exception
    prepared = at.session_state[f"{JOB} csv"][1]
    assert prepared.read() == written(job_of(at), "results.csv")
    at.session_state[EDITOR] = {"edited_rows": {}, "added_rows": [], "deleted_rows": [5]}
    at.run()
    assert f"{JOB} csv" not in at.session_state


# --- looking


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


# --- taking away


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


# --- from page to page


def test_table_and_choices_survive_a_visit_to_another_page():
    from shown import HOME

    at = uploaded("mine.csv", (LENSES + "A,15,-15,0.9,1.49\nB,15,-15,0.9,1.5\n").encode())
    at.radio(key="compute").set_value(POWER).run()
    at.switch_page(str(HOME / "views" / "how_we_know.py")).run()
    at.switch_page(str(HOME / "views" / "a_file.py")).run()
    assert not at.exception
    assert "In use: **mine.csv**" in words(at)
    assert at.radio(key="compute").value == POWER
    assert len(power(at)) == 2
    at.button[[b.label for b in at.button].index("Back to the table on the page")].click().run()
    assert len(power(at)) == 6


def test_an_edited_table_survives_a_visit_to_another_page():
    from shown import HOME

    at = page("a_file.py")
    at.session_state[EDITOR] = {"edited_rows": {0: {"candidate": "Z"}}, "added_rows": [], "deleted_rows": [5]}
    at.run()
    at.switch_page(str(HOME / "views" / "how_we_know.py")).run()
    at.switch_page(str(HOME / "views" / "a_file.py")).run()
    assert list(at.table[0].value.index) == list("ZBCDE")
