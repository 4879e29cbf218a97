"""A disk that is really full, whichever way blocks are computed; and columns that stand twice, in every kind of file."""

import csv
import sys
from pathlib import Path

import openpyxl
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from batch_files import old_result
from small_disk import small_disk

from lenscalc.batch import run_batch
from lenscalc.errors import FileError

NAMES = ["front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens"]
ROWS = 3000


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "in.csv"
    path.write_text(",".join([*NAMES, "note_lot"]) + "\n" + "".join(f"15,-15,0.9,1.49,lot {i}\n" for i in range(ROWS)), encoding="utf-8")
    return str(path)


ON_THE_DISK = """
import sys
from lenscalc.batch import run_batch
from lenscalc.errors import FileError
source, target, workers, resume = sys.argv[1:]
try:
    done = run_batch(source, target, block_rows=100, workers=int(workers), resume=resume == "resume")
    print(done.rows, "rows,", "gone on" if done.resumed else "from the start")
except FileError as error:
    print(error)
"""


@pytest.fixture
def disk(tmp_path):
    with small_disk(tmp_path / "disk", kilobytes=192) as disk:  # the Parquet file takes 240 to 260, by the library's version
        yield disk


@pytest.mark.parametrize("workers", [0, 2])
@pytest.mark.parametrize("name", ["out.csv", "out.parquet", "out/"])
def test_a_full_disk_leaves_the_old_result(tmp_path, source, disk, name, workers):
    def run(resume):
        done = disk.run([sys.executable, "-c", ON_THE_DISK, source, f"{disk.folder}/{name}", workers, resume])
        assert done.stderr == ""
        return done.stdout

    old = disk.seen / (f"{name}part-000000.parquet" if name == "out/" else name)
    old.parent.mkdir(exist_ok=True)
    before = old_result(old)
    said = run("from the start")
    assert "No space left on device" in said
    assert "; nothing stands under this name that was not there before" in said
    assert old.read_bytes() == before
    if name == "out.parquet":  # nothing that could be gone on with
        return
    disk.remount("size=64m")  # somebody makes room
    assert run("resume") == f"{ROWS} rows, gone on\n"
    run_batch(source, f"{tmp_path}/{name}", block_rows=100)
    for path in sorted(Path(tmp_path / name).iterdir()) if name == "out/" else [tmp_path / name]:
        assert (old.parent / path.name).read_bytes() == path.read_bytes()


@pytest.mark.parametrize("ending", ["csv", "parquet", "xlsx"])
@pytest.mark.parametrize(
    ("names", "told"),
    [
        ([*NAMES, "n_lens"], "the column n_lens stands there more than once"),
        ([*NAMES, "n_lens [1]"], "the columns 'n_lens' and 'n_lens \\[1\\]' are both n_lens: leave one of them out"),
    ],
)
def test_a_column_that_stands_twice_is_refused(tmp_path, ending, names, told):
    path, row = tmp_path / f"in.{ending}", [15.0, -15.0, 0.9, 1.49, 1.5]
    if ending == "csv":
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([names, row])
    if ending == "parquet":
        pq.write_table(pa.Table.from_arrays([pa.array([x]) for x in row], names=names), path)
    if ending == "xlsx":
        book = openpyxl.Workbook()
        book.active.append(names)
        book.active.append(row)
        book.save(path)
    with pytest.raises(FileError, match=told):
        run_batch(str(path), str(tmp_path / "out.csv"))
    assert not (tmp_path / "out.csv").exists()


def test_a_workbook_of_results_is_read_by_others(tmp_path, source):
    run_batch(source, str(tmp_path / "out.xlsx"))
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx", read_only=True)
    rows = list(sheet["results"].iter_rows(values_only=True))
    sheet.close()
    assert len(rows) == ROWS + 1
    assert rows[1][rows[0].index("back_radius_mm")] == -15
    frame = pd.read_excel(tmp_path / "out.xlsx")
    assert frame["power_D"].dtype == "float64"
    assert frame["power_D"].round(6).unique().tolist() == [20.469666]  # worked from Gullstrand's equation, by hand
