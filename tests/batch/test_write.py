"""Files out: no text becomes a formula, numbers stay numbers, a full disk leaves the old result, the result says where it comes from."""

import csv
import hashlib
import json
import subprocess
import sys

import openpyxl
import pandas as pd
import pyarrow.parquet as pq
import pytest
from batch_files import old_result
from hypothesis import given
from hypothesis import strategies as st

import lenscalc
from lenscalc.batch import csv_text, run_batch
from lenscalc.batch.write_csv import disarmed
from lenscalc.errors import FileError

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"
FORMULAS = ["=1+1", "+A1", "-2+3", "@SUM(A1)", "\t=1+1", " =1+1", "＝1+1", "=cmd|' /C calc'!A0", "-15mm"]
NUMBERS = ["-15", "+1.5", "-1e-3", "1.49", "-0,5", "-", "text", "a=b", "15-3"]


def table(tmp_path, cells, name="note_remark"):
    path = tmp_path / "in.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([[*HEADER.split(","), name], *([15, -15, 0.9, 1.49, c] for c in cells)])
    return str(path)


def test_no_text_becomes_a_formula_in_csv(tmp_path):
    run_batch(table(tmp_path, FORMULAS + NUMBERS), str(tmp_path / "out.csv"))
    with open(tmp_path / "out.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [r["note_remark"] for r in rows] == [f"'{c}" for c in FORMULAS] + NUMBERS
    assert {r["back_radius_mm"] for r in rows} == {"-15"}


def test_no_text_becomes_a_formula_in_a_workbook_and_numbers_stay_numbers(tmp_path):
    run_batch(table(tmp_path, FORMULAS + NUMBERS, "=HYPERLINK(1)"), str(tmp_path / "out.xlsx"))
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["results"]
    names = [c.value for c in sheet[1]]
    own, back = names.index("=HYPERLINK(1)"), names.index("back_radius_mm")
    assert all(c.data_type != "f" for row in sheet.iter_rows() for c in row)
    assert [row[own].value for row in sheet.iter_rows(min_row=2)] == FORMULAS + NUMBERS  # untouched: a cell of text says that it is one
    assert all(row[own].quotePrefix for row in sheet.iter_rows(min_row=2, max_row=1 + len(FORMULAS)))
    assert {(row[back].value, row[back].data_type) for row in sheet.iter_rows(min_row=2)} == {(-15, "n")}


def test_a_refused_cell_of_a_quantity_is_no_formula_either(tmp_path):
    source = tmp_path / "in.csv"
    source.write_text(f"{HEADER}\n=1+14,-15,0.9,1.49\nplano,-15,0.9,1.49\n", encoding="utf-8")
    run_batch(str(source), str(tmp_path / "out.csv"))
    assert "\n'=1+14,-15" in (tmp_path / "out.csv").read_text(encoding="utf-8")
    run_batch(str(source), str(tmp_path / "out.xlsx"))
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["results"]
    assert [(c.value, c.data_type) for c in sheet["A"][1:]] == [("=1+14", "s"), ("plano", "s")]


@given(st.text(max_size=8))
def test_what_a_spreadsheet_would_run_never_comes_first(text):
    out = disarmed(text)
    assert out in (text, f"'{text}")
    first = out.lstrip()[:1]
    if first and first in "=@＝＋－＠":
        raise AssertionError(out)


def test_a_workbook_holds_long_whole_numbers_and_odd_signs_as_text(tmp_path):
    frame = pd.DataFrame({**{n: [v] for n, v in zip(HEADER.split(","), (15, -15, 0.9, 1.49), strict=True)}, "lot": [2**60 + 1], "note_x": ["a\x07b"]})
    frame.to_parquet(tmp_path / "in.parquet")
    run_batch(str(tmp_path / "in.parquet"), str(tmp_path / "out.xlsx"))
    back = pd.read_excel(tmp_path / "out.xlsx", dtype=str)
    assert back["lot"][0] == str(2**60 + 1)
    assert back["note_x"][0] == "a\ufffdb"


def test_the_result_says_version_checksum_and_settings(tmp_path):
    source = table(tmp_path, ["x", "y"], "colour")
    options = {"compute": ("power_D",), "constants": {"n_medium": "1.336"}}
    for name in ("out.csv", "out.xlsx", "out.parquet", "out/"):
        run_batch(source, f"{tmp_path}/{name}", **options)
    told = [json.loads((tmp_path / name).read_text(encoding="utf-8")) for name in ("out.csv.json", "out.xlsx.json", "out/_statement.json")]
    told.append(json.loads(pq.read_metadata(tmp_path / "out.parquet").metadata[b"lenscalc"]))
    for statement in told:
        assert statement == told[0]
    assert told[0]["lenscalc"] == lenscalc.__version__
    with open(source, "rb") as file:
        assert told[0]["input"] == {"name": "in.csv", "sha256": hashlib.sha256(file.read()).hexdigest()}
    assert told[0]["settings"]["compute"] == ["power_D"]
    assert told[0]["settings"]["constants"] == {"n_medium": "1.336"}
    assert (told[0]["rows"], told[0]["rows_with_a_problem"], told[0]["own_columns"]) == (2, 0, ["colour"])
    assert "medical device" in told[0]["caution"]
    part = json.loads(pq.read_metadata(tmp_path / "out" / "part-000000.parquet").metadata[b"lenscalc"])
    assert part["input"] == told[0]["input"]


def test_what_comes_by_a_pipe_has_its_checksum_too(tmp_path):
    text = f"{HEADER}\n15,-15,0.9,1.49\n"
    code = "from lenscalc.cli.main import main; main()"
    for name in ("out.csv", "out.parquet"):
        subprocess.run([sys.executable, "-c", code, "batch", "-", str(tmp_path / name)], input=text, capture_output=True, text=True, check=True)
    sha = hashlib.sha256(text.encode()).hexdigest()
    assert json.loads((tmp_path / "out.csv.json").read_text(encoding="utf-8"))["input"] == {"name": "-", "sha256": sha}
    assert json.loads(pq.read_metadata(tmp_path / "out.parquet").metadata[b"lenscalc"])["input"]["sha256"] == sha


LIMITED = """
import resource, sys
from lenscalc.batch import run_batch
resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))
try:
    run_batch(sys.argv[1], sys.argv[2], block_rows=10)
except OSError as error:
    print(error)
"""


@pytest.mark.parametrize("name", ["out.csv", "out.csv.gz", "out.parquet", "out.xlsx"])
def test_a_full_disk_leaves_the_old_result_and_says_so(tmp_path, name):
    pytest.importorskip("resource")
    source = table(tmp_path, [str(i) for i in range(400)])
    target = tmp_path / name
    before = old_result(target)
    done = subprocess.run([sys.executable, "-c", LIMITED, source, str(target)], capture_output=True, text=True)
    assert "File too large; nothing stands under this name that was not there before" in done.stdout, done.stdout + done.stderr
    assert target.read_bytes() == before
    left = tmp_path / f"{name}.unfinished"
    assert left.exists() == name.startswith("out.csv")
    if left.exists():
        assert "go on with --resume" in done.stdout
        resumed = run_batch(source, str(target), block_rows=10, resume=True)
        assert resumed.resumed > 0
        assert resumed.rows == len(pd.read_csv(target)) == 400


def test_a_part_that_is_too_large_leaves_the_old_folder(tmp_path):
    pytest.importorskip("resource")
    source = table(tmp_path, [str(i) for i in range(400)])
    run_batch(table(tmp_path, ["old"]), f"{tmp_path}/out/")
    source = table(tmp_path, [str(i) for i in range(400)])
    done = subprocess.run([sys.executable, "-c", LIMITED, source, f"{tmp_path}/out/"], capture_output=True, text=True)
    assert "File too large" in done.stdout, done.stdout + done.stderr
    assert pd.read_parquet(tmp_path / "out")["note_remark"].tolist() == ["old"]


def test_an_input_that_changes_while_it_is_read_is_refused(tmp_path):
    source = table(tmp_path, ["a"] * 20)

    def change(done, total):
        with open(source, "a", encoding="utf-8") as file:
            file.write("15,-15,0.9,1.49,late\n")

    with pytest.raises(FileError, match="was changed while it was read"):
        run_batch(source, str(tmp_path / "out.csv"), block_rows=5, on_progress=change)
    assert not (tmp_path / "out.csv").exists()


def test_rows_in_all_are_estimated_on_the_way(tmp_path):
    seen = []
    run_batch(table(tmp_path, ["x"] * 100), str(tmp_path / "out.csv"), block_rows=30, on_progress=lambda done, total: seen.append((done, total)))
    assert [done for done, _ in seen] == [30, 60, 90, 100]
    assert seen[-1] == (100, 100)


def test_a_text_on_a_page_is_disarmed_too():
    import numpy as np

    assert csv_text({"=a": np.array(["=1", "-15"], dtype=object)}) == "'=a\n'=1\n-15\n"


@pytest.mark.parametrize("ending", [".csv", ".csv.gz", ".parquet", ".xlsx"])
def test_a_table_that_is_no_result_is_never_written_over(tmp_path, ending):
    """As when two tables are named in one go; results, which can be computed again, are replaced, and so is an empty file."""
    source, other = table(tmp_path, ["a"]), tmp_path / f"other{ending}"
    frame = pd.DataFrame({"front_radius_mm": [15.0]})
    getattr(frame, {".parquet": "to_parquet", ".xlsx": "to_excel"}.get(ending, "to_csv"))(other, index=False)
    before = other.read_bytes()
    with pytest.raises(FileError, match=r"is there already, and is no result that could be computed again; give another name, or remove it yourself"):
        run_batch(source, str(other))
    assert other.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.csv", other.name]
    for _ in range(2):
        run_batch(source, str(tmp_path / f"results{ending}"))
    other.write_bytes(b"")
    run_batch(source, str(other))


def test_what_cannot_be_read_as_a_table_is_not_written_over_either(tmp_path):
    (tmp_path / "photo.xlsx").write_bytes(b"\x89PNG")
    with pytest.raises(FileError, match="is there already"):
        run_batch(table(tmp_path, ["a"]), str(tmp_path / "photo.xlsx"))
    assert (tmp_path / "photo.xlsx").read_bytes() == b"\x89PNG"
