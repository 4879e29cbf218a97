"""The page of candidates: whatever the batch reads comes in, is edited, and is there again after a visit to another page."""

import csv
import io

import numpy as np
import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shown import DEMO, EDITOR, HOME, LENSES, job_of, page, panel, power, typed, uploaded, with_commas, words

from lenscalc.batch import heading_of
from lenscalc.chain.table import INPUT_COLUMNS, LABELS
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import columns_of, rows_of
from lenscalc.web.table.changed_rows import CHANGED, changed_rows
from lenscalc.web.table.save_results import written
from lenscalc.web.table.table_editor import frame_of, heads, text_of, with_point
from lenscalc.web.table.table_source import NEEDED, SAVE
from lenscalc.web.table.table_wanted import POWER


@pytest.fixture
def demo_job():
    return Job("candidates.csv", DEMO.encode())


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
    assert "Not drawn of 6 rows: 1 that could not be computed." in words(at)
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
        ("x.csv", b"candidate,n_lense\nA,1.49\n", "did you mean “Index of the lens”?"),
        ("x.csv", b"", "x.csv: the file is empty"),
        ("x.csv", b"\xff\xfe\x00", "x.csv: not UTF-8"),
        ("x.csv", b"a;b\n1;2\n", "missing columns “Front radius, mm”, “Back radius, mm”"),
        ("x.csv", b"n_lens,n_lens\n1.49,1.5\n", "x.csv: the column “Index of the lens” stands there more than once"),
        ("x.csv", b"n_lens,u_n_lense\n1.49,1\n", "did you mean “u of the index of the lens”?"),
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


def test_a_refused_file_is_not_in_use_and_the_way_out_is_called_by_its_name():
    at = uploaded("mine.csv", b"candidate,front_radius,n_lense\nA,15,1.49\n")
    assert "Not in use: **mine.csv**" in words(at)
    assert "In use: **mine.csv**" not in words(at)
    assert "did you mean “Front radius, mm”? Unknown column 'n_lense'; did you mean “Index of the lens”?" in at.error[0].value
    back = next(b for b in at.button if f"*{b.label}*" in words(at))
    back.click().run()
    assert [b.label for b in at.get("download_button") if f"{b.proto.label}" == SAVE]


def headed(change):
    """The demo with the heads of the table on the page, changed, as a spreadsheet saves it."""
    names, *rows = list(csv.reader(io.StringIO(DEMO)))
    out = io.StringIO()
    csv.writer(out).writerows([[change(head["label"]) for head in heads(names).values()], *rows])
    return out.getvalue().encode()


@pytest.mark.parametrize(
    "change", [str, str.upper, lambda head: head.replace(" ", ""), lambda head: f" {head.replace(',', ' ,').lower()}  "],
    ids=["as they stand", "capitals", "no blanks", "more blanks"],
)  # fmt: skip
def test_the_heads_of_the_page_are_taken_in_a_file(change, demo_job, tmp_path):
    at = uploaded("mine.csv", headed(change))
    assert not at.error
    assert np.array_equal(power(at), rows_of(demo_job.result, ["power_D"])["power_D"])
    assert columns_of(job_of(at).result) == columns_of(demo_job.result) if change is str else True
    (tmp_path / "mine.csv").write_bytes(headed(change))
    typed(f"lenscalc batch {tmp_path / 'mine.csv'} {tmp_path / 'out.csv'}")
    assert (tmp_path / "out.csv").read_bytes() == written(job_of(at), "results.csv")


def test_every_head_of_the_page_is_its_column():
    names = (*INPUT_COLUMNS, *LABELS)
    assert list(heading_of(tuple(head["label"] for head in heads(names).values())).names.values()) == list(names)


def test_the_signs_of_a_file_can_be_told():
    at = uploaded("x.csv", b"front_radius_mm;back_radius_mm;center_thickness_mm;n_lens\n15,123;-15,123;1,000;1,490\n")
    assert "say by --decimal" in at.error[0].value
    assert "under *Signs of this file*" in words(at)
    at.selectbox(key="decimal").select("comma").run()
    assert not at.error
    # by hand: F1 = F2 = 0.154/0.015123 m = 10.18316 D; F1 + F2 − (0.001/1.49)·F1·F2 = 20.36633 − 0.06960
    assert power(at)[0] == pytest.approx(20.29673, abs=2e-5)
    assert "--decimal comma" in panel(at)[0]


def test_an_uncertainty_under_a_name_that_is_not_read_is_told_below_the_answer():
    at = uploaded("x.csv", (LENSES.replace("candidate", "candidate,sigma_n") + "A,0.001,15,-15,0.9,1.49\n").encode())
    (told,) = [info.value for info in at.info if "uncertainty" in info.value]
    assert "sigma_n. A column of standard uncertainties has a name like “u of the index of the lens”" in told


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
    assert told["B"] == "“Centre thickness” is missing"


def test_what_is_wrong_in_every_row_is_said_once():
    """A file without the conditions of its readings: they are missing in every row, and in one row a radius is wrong besides."""
    text = LENSES.replace("n_lens", "n_reading") + "A,15,-15,0.9,1.49\nB,15,flat,0.9,1.49\nC,15,-15,0.9,1.5\n"
    at = uploaded("x.csv", text.encode())
    told = words(at)
    assert "**None of the 3 rows could be computed**. In every row: “Wavelength of the reading” is missing" in told
    assert "Basis of the index” must be air" in told
    shown = at.table[0].value["problem or remark"]
    assert shown["A"] == shown["C"] == "as in every row"
    assert shown["B"].startswith("Back radius = 'flat' is not a number")
    assert "is missing" not in shown["B"]
    alone = uploaded("x.csv", "\n".join(text.splitlines()[:2]).encode()).table[0].value["problem or remark"]
    assert "Wavelength of the reading” is missing" in alone["A"]


def test_the_page_says_which_columns_are_needed_where_a_table_comes_in():
    assert words(page("a_file.py")).count(NEEDED) == 2  # below the field for a file, and at the table


@pytest.mark.parametrize("left_out", ["front_radius_mm", "center_thickness_mm", "n_reading", "reading_wavelength_nm", "reading_temperature_degC",
                                      "index_state", "index_basis", "abbe_d", "dn_dt_per_K"])  # fmt: skip
def test_what_is_said_to_be_needed_is(left_out):
    """Without it the demo's rows, which were read at another line and temperature, cannot be computed; it names the column."""
    frame = frame_of(DEMO).drop(columns=left_out)
    job = Job("x.csv", frame.to_csv(index=False).encode())
    assert left_out in (job.error or " ".join(str(t) for t in rows_of(job.result, ["problem"])["problem"]))


def test_many_rows_are_drawn_and_shown_in_part_and_say_so():
    lines = "".join(f"P{i},{15 + i / 6000},-15,0.9,{1.45 + i / 60000:.6f}\n" for i in range(6000))
    at = uploaded("many.csv", (LENSES + lines).encode())
    assert "5,000 of 6,000 rows are drawn, evenly spread over the file" in words(at)
    assert "The first 200 of them are shown" in words(at)
    assert not at.table
    assert len(at.dataframe[-1].value) == 200


def test_table_and_choices_survive_a_visit_to_another_page():
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
    at = page("a_file.py")
    at.session_state[EDITOR] = {"edited_rows": {0: {"candidate": "Z"}}, "added_rows": [], "deleted_rows": [5]}
    at.run()
    at.switch_page(str(HOME / "views" / "how_we_know.py")).run()
    at.switch_page(str(HOME / "views" / "a_file.py")).run()
    assert list(at.table[0].value.index) == list("ZBCDE")


def provenances(at):
    return [row["provenance"] for row in csv.DictReader(io.StringIO(job_of(at).data.decode()))]


def test_a_row_of_the_demo_that_was_changed_says_so_until_somebody_says_whose_it_is():
    at = page("a_file.py")
    invented = provenances(at)
    assert set(invented) == {"invented for the demo"}
    assert "Changed on this page" not in words(at)
    edits = {2: {"n_reading": "1,4910"}, 3: {"abbe_d": "44,0"}, 4: {"abbe_d": "48"}}  # the last is what stood there
    at.session_state[EDITOR] = {"edited_rows": edits, "added_rows": [], "deleted_rows": []}
    at.run()
    assert "Changed on this page: **C, D**." in words(at)
    assert provenances(at) == [CHANGED if i in (2, 3) else told for i, told in enumerate(invented)]
    sheets = [row["note_sheet"] for row in csv.DictReader(io.StringIO(job_of(at).data.decode()))]
    assert sheets == ["", "copolymer_b.toml", "", "", "copolymer_e.toml", ""]  # C is no more the lens of its sheet
    edits[2]["provenance"], edits[3]["provenance"] = "ours, lot 9", ""
    at.session_state[EDITOR] = {"edited_rows": edits, "added_rows": [], "deleted_rows": []}
    at.run()
    assert "Changed on this page" not in words(at)
    assert provenances(at)[2:4] == ["ours, lot 9", ""]


def test_the_ranking_is_told_of_a_changed_row():
    at = page("a_file.py")
    at.session_state[EDITOR] = {"edited_rows": {2: {"n_reading": "1.4910"}}, "added_rows": [], "deleted_rows": [0]}
    at.run()
    at.switch_page(str(HOME / "views" / "worth_making.py")).run()
    told = words(at)
    assert "invented for the demo (4 of 5)" in told
    assert f"{CHANGED} (1 of 5)" in told
    assert "lenses of the demo's reading sheets" not in told


@given(st.lists(st.integers(0, 5), min_size=1, max_size=8), st.data())
def test_rows_that_are_only_moved_copied_or_left_out_stay_the_demos(which, data):
    frame = frame_of(DEMO).iloc[which].reset_index(drop=True)
    assert changed_rows(frame) == []
    row, column = data.draw(st.integers(0, len(frame) - 1)), data.draw(st.sampled_from([n for n in frame.columns if n != "provenance"]))
    frame.iloc[row, frame.columns.get_loc(column)] = "7.77"
    assert changed_rows(frame) == [row]
    assert changed_rows(frame.assign(density_kg_per_m3="")) == [row]
    assert changed_rows(frame.assign(provenance="")) == []
