"""Files in, files out: the same digits as Python and the command, and bad files told apart."""

import csv
import json
import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from batch_files import results, written

from lenscalc.batch import read_blocks, run_batch
from lenscalc.chain import evaluate
from lenscalc.errors import FileError, InputError

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"


def test_one_row_gives_the_worked_figure(tmp_path):
    [row] = results(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n")
    assert round(float(row["power_D"]), 6) == 20.469666  # worked from Gullstrand's equation, by hand
    assert row["problem"] == ""


@pytest.fixture
def thousand():
    """1,000 invented lenses with their uncertainties, labels and optics; a few of them plano, meniscus or wrong."""
    rng = np.random.default_rng(7)
    size = 1000
    table = {
        "front_radius_mm": rng.uniform(8, 30, size),
        "back_radius_mm": -rng.uniform(8, 30, size),
        "center_thickness_mm": rng.uniform(0.9, 1.5, size),
        "n_lens": rng.uniform(1.40, 1.60, size),
        "u_n_lens": rng.uniform(1e-4, 1e-3, size),
        "u_front_curvature_per_mm": np.full(size, 1e-4),
        "u_back_curvature_per_mm": np.full(size, 1e-4),
        "u_center_thickness_mm": np.full(size, 0.01),
        "labelled_power_D": np.round(rng.uniform(10, 30, size) * 2) / 2,
    }
    table["front_radius_mm"][::50] = np.inf
    table["back_radius_mm"][::60] = 12.0
    table["n_lens"][::97] = 14.9
    return table


def test_file_python_and_command_give_the_same_bytes_in_any_blocks(tmp_path, thousand):
    path = str(tmp_path / "in.csv")
    pd.DataFrame(thousand).replace(np.inf, "plano").to_csv(path, index=False)
    outs = []
    for name, rows in (("whole", 65_536), ("sevens", 7), ("single", 1)):
        outs.append(tmp_path / f"{name}.csv")
        run_batch(path, str(outs[-1]), block_rows=rows)
    command = tmp_path / "command.csv"
    code = "from lenscalc.cli.main import main; main()"
    subprocess.run([sys.executable, "-c", code, "batch", path, str(command)], check=True, capture_output=True)
    assert outs[0].read_bytes() == outs[1].read_bytes() == outs[2].read_bytes() == command.read_bytes()

    from_python = evaluate(thousand)
    with outs[0].open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for name, column in from_python.columns.items():
        if column.dtype == np.float64 and "refraction" not in name:
            from_file = np.array([float(row[name] or "nan") for row in rows])
            assert from_file.tobytes() == (column + 0.0).tobytes(), name
    assert int((from_python.problems != "").sum()) == 11


def test_a_pipe_of_csv(tmp_path):
    code = "from lenscalc.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "batch", "-", "-", "--compute", "power_D"], input=f"{HEADER}\n15,-15,0.9,1.49\n", capture_output=True, text=True
    )
    assert done.returncode == 0
    assert done.stdout.splitlines()[0] == f"{HEADER},power_D,problem,warning"
    assert round(float(done.stdout.splitlines()[1].split(",")[4]), 6) == 20.469666
    assert "medical device" in done.stderr


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("fifteen,-15,0.9,1.49", "front_radius_mm = 'fifteen' is not a number"),
        ("0,-15,0.9,1.49", "a flat surface is plano (inf), never 0"),
        ("15,-15,0.9,0.9", "n_lens = 0.9: must be 1 to 3"),
        ("15,-15,0.9,14.9", "is the decimal point one place off?"),
        ("0.015,-15,0.9,1.49", "is it in metres?"),
        ("15,-15,0.9,NaN", "n_lens = 'NaN' is not a number"),
        ("inf,-15,0.9,1.49", "write plano for a flat surface"),
        ("15,-15,,1.49", "center_thickness_mm is missing"),
        ("15,-15,0.9", "the row has 3 cells, the first line names 4"),
        ("15,-15,0.9,1.49,7", "the row has 5 cells, the first line names 4"),
    ],
)
def test_a_bad_row_keeps_its_place_and_the_others_are_computed(tmp_path, row, told):
    rows = results(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n{row}\n10,-10,1.2,1.43\n")
    assert len(rows) == 3
    assert told in rows[1]["problem"]
    assert rows[1]["power_D"] == ""
    assert round(float(rows[2]["power_D"]), 6) == 18.725852  # worked from Gullstrand's equation, by hand


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the file is empty"),
        ("front_radius_mm,back_radius_mm,n_lens\n15,-15,1.49\n", "missing column center_thickness_mm"),
        ("front_raduis_mm,back_radius_mm,center_thickness_mm,n_lens\n15,-15,0.9,1.49\n", "did you mean front_radius_mm?"),
        (f"{HEADER},n_lens\n15,-15,0.9,1.49,1.5\n", "more than once"),
    ],
)
def test_a_file_that_is_no_table_is_refused(tmp_path, text, told):
    with pytest.raises((FileError, InputError), match=told.replace("?", r"\?")):
        results(tmp_path, text)
    assert not (tmp_path / "out.csv").exists()
    assert not (tmp_path / "out.csv.unfinished").exists()


def test_a_file_in_utf_16_is_told_apart(tmp_path):
    path = written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n", encoding="utf-16")
    with pytest.raises(FileError, match="UTF-8"):
        run_batch(path, str(tmp_path / "out.csv"))


def test_a_byte_order_mark_does_no_harm(tmp_path):
    out = tmp_path / "out.csv"
    run_batch(written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n", encoding="utf-8-sig"), str(out))
    assert out.read_text(encoding="utf-8").startswith("front_radius_mm")


def test_a_first_line_alone_gives_a_first_line(tmp_path):
    assert results(tmp_path, f"{HEADER}\n") == []
    assert "power_D" in (tmp_path / "out.csv").read_text(encoding="utf-8")


def test_parquet_and_excel_say_what_csv_says(tmp_path, thousand):
    frame = pd.DataFrame(thousand).head(100).replace(np.inf, 1e7)
    for ending in ("csv", "parquet", "xlsx"):
        path = str(tmp_path / f"in.{ending}")
        {"csv": lambda p: frame.to_csv(p, index=False), "parquet": frame.to_parquet, "xlsx": lambda p: frame.to_excel(p, index=False)}[ending](path)
        run_batch(path, str(tmp_path / f"out.{ending}"))
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        a = np.array([float(row["power_D"] or "nan") for row in csv.DictReader(file)])
    b = pd.read_parquet(tmp_path / "out.parquet")["power_D"].to_numpy()
    c = pd.read_excel(tmp_path / "out.xlsx")["power_D"].to_numpy(dtype=np.float64)
    assert a.tobytes() == b.tobytes()
    np.testing.assert_allclose(c, a, rtol=1e-14)  # a cell of Excel keeps 16 digits of the 17 that a float may need


def test_the_demo_candidates_go_through(tmp_path):
    from lenscalc.demo import demo_text

    rows = results(tmp_path, demo_text("candidates.csv"))
    assert [r["candidate"] for r in rows] == list("ABCDEF")
    assert all(r["problem"] == "" for r in rows)


def test_an_interrupted_run_leaves_nothing_under_the_name_of_the_result(tmp_path):
    path = written(tmp_path, HEADER + "\n" + "15,-15,0.9,1.49\n" * 20)

    def stop(done, total):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_batch(path, str(tmp_path / "out.csv"), block_rows=5, on_progress=stop)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.csv", "out.csv.unfinished"]


def test_blocks_are_of_the_asked_size(tmp_path):
    path = written(tmp_path, HEADER + "\n" + "15,-15,0.9,1.49\n" * 20)
    assert [b.size for b in read_blocks(path, 7)] == [7, 7, 6]


def test_a_count_in_json(tmp_path):
    path = written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n15,-15,0.9,14.9\n")
    code = "from lenscalc.cli.main import main; main()"
    done = subprocess.run([sys.executable, "-c", code, "batch", path, str(tmp_path / "o.csv"), "--json"], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout)["problems"] == 1


def test_a_workbook_keeps_every_cell_below_its_own_name(tmp_path):
    import openpyxl

    for header, cells, told in (
        (["front_radius_mm", "back_radius_mm", "center_thickness_mm", None, "n_lens"], [15, -15, 0.9, 1.45, 1.49], "has no name"),
        (HEADER.split(","), [15, -15, 0.9, 1.49, 99], None),
    ):
        book = openpyxl.Workbook()
        book.active.append(header)
        book.active.append(cells)
        path = tmp_path / "in.xlsx"
        book.save(path)
        if told:
            with pytest.raises(FileError, match=told):
                run_batch(str(path), str(tmp_path / "out.csv"))
        else:
            run_batch(str(path), str(tmp_path / "out.csv"))
            assert "beyond the 4 columns" in (tmp_path / "out.csv").read_text(encoding="utf-8")
