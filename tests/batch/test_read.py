"""Files in: packed, with semicolons, in parts; and what is cut off, damaged or unclear."""

import csv
import gzip

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from batch_files import old_result

from lenscalc.batch import read_blocks, run_batch
from lenscalc.errors import FileError, InputError

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"
POWER = 20.469666  # 15, -15, 0.9, 1.49 in 1.336: worked from Gullstrand's equation, by hand


def rows_of(tmp_path, source, **options):
    run_batch(str(source), str(tmp_path / "out.csv"), **options)
    with open(tmp_path / "out.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def written(tmp_path, text, name="in.csv"):
    (tmp_path / name).write_text(text, encoding="utf-8", newline="")
    return tmp_path / name


def frame(rows):
    return pd.DataFrame({"front_radius_mm": 10.0 + np.arange(rows), "back_radius_mm": -15, "center_thickness_mm": 0.9, "n_lens": 1.49})


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_packed_csv_goes_in_and_out(tmp_path, ending):
    data = f"{HEADER}\n15,-15,0.9,1.49\n".encode()
    packed = gzip.compress(data) if ending == "gz" else pa.compress(data, codec="zstd", asbytes=True)
    source, target = tmp_path / f"in.csv.{ending}", tmp_path / f"out.csv.{ending}"
    source.write_bytes(packed)
    run_batch(str(source), str(target))
    with pa.input_stream(target, compression={"gz": "gzip", "zst": "zstd"}[ending]) as stream:
        [row] = csv.DictReader(stream.read().decode().splitlines())
    assert round(float(row["power_D"]), 6) == POWER
    source.write_bytes(packed[:-9])
    with pytest.raises(FileError, match="cut off"):
        run_batch(str(source), str(target))
    source.write_bytes(b"not packed at all")
    with pytest.raises(FileError, match="cannot be unpacked"):
        run_batch(str(source), str(target))


def test_blocks_of_packed_csv_read_as_one_file(tmp_path):
    text = HEADER + "\n" + "15,-15,0.9,1.49\n" * 9
    for ending in ("gz", "zst"):
        run_batch(str(written(tmp_path, text)), str(tmp_path / f"out.csv.{ending}"), block_rows=2)
        assert len(pd.read_csv(tmp_path / "out.csv.gz")) == 9
        assert sum(b.size for b in read_blocks(str(tmp_path / f"out.csv.{ending}"), 4)) == 9


def test_semicolons_and_decimal_commas_are_recognised(tmp_path):
    text = HEADER.replace(",", ";") + ";price\n15;-15;0,9;1,49;1,50\n10;-10;1,2;1,430;7\n"
    rows = rows_of(tmp_path, written(tmp_path, text))
    assert [round(float(r["power_D"]), 6) for r in rows] == [POWER, 18.725852]  # the second worked by hand too
    assert rows[0]["price"] == "1,50"  # one's own column is untouched


def test_tabs_and_semicolons_go_with_points_too(tmp_path):
    for sign in ";\t":
        [row] = rows_of(tmp_path, written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n".replace(",", sign)))
        assert round(float(row["power_D"]), 6) == POWER


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("15;-15;0.9;1,49", "both '1,49' and '0.9' stand for numbers"),
        ("15;-15;1;1,490", "'1,490' may have a decimal comma or a comma between thousands"),
    ],
)
def test_an_unclear_decimal_sign_must_be_told(tmp_path, cells, told):
    source = written(tmp_path, HEADER.replace(",", ";") + f"\n{cells}\n")
    with pytest.raises(FileError, match=f"{told}: say by --decimal"):
        rows_of(tmp_path, source)
    [row] = rows_of(tmp_path, source, decimal=",")
    if "0.9" in cells:
        assert "center_thickness_mm = '0.9': the decimals of this file are written with a comma" in row["problem"]
    else:
        assert row["n_lens"] == "1.490"


@pytest.mark.parametrize("text", ["about 1.5", "n.a.", "1.49 mm", "see p. 3, below"])
def test_a_text_in_a_cell_says_nothing_of_the_decimal_sign(tmp_path, text):
    rows = rows_of(tmp_path, written(tmp_path, HEADER.replace(",", ";") + f"\n15;-15;0,9;1,49\n15;-15;0,9;{text}\n"))
    assert round(float(rows[0]["power_D"]), 6) == POWER
    assert text in rows[1]["problem"]
    assert rows[1]["power_D"] == ""


def test_the_decimal_sign_does_not_depend_on_the_blocks(tmp_path):
    text = HEADER.replace(",", ";") + "\n15;-15;1;2\n" + "15;-15;0,9;1,49\n" * 5
    rows = rows_of(tmp_path, written(tmp_path, text), block_rows=1)
    assert [r["problem"] for r in rows] == [""] * 6


def test_an_unclear_separator_must_be_told(tmp_path):
    source = written(tmp_path, "a;b,c\n1;2,3\n")
    with pytest.raises(FileError, match="say by --separator"):
        next(read_blocks(str(source)))
    assert list(next(read_blocks(str(source), separator=";")).columns) == ["a", "b,c"]
    clear = written(tmp_path, f"{HEADER},x;y\n15,-15,0.9,1.49,z\n")
    assert rows_of(tmp_path, clear)[0]["x;y"] == "z"
    with pytest.raises(InputError, match="must be a comma, a semicolon or a tab"):
        read_blocks(str(source), separator="|")
    with pytest.raises(FileError, match="has decimal points"):
        next(read_blocks(str(source), separator=",", decimal=","))


def test_a_torn_last_line_is_told(tmp_path):
    rows = rows_of(tmp_path, written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n15,-15,0.9"))
    assert "3 cells" in rows[1]["problem"]
    assert "is it cut off?" in rows[1]["problem"]
    rows = rows_of(tmp_path, written(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n15,-15,0.9,1.4"), block_rows=1)
    assert "is it cut off?" in rows[1]["warning"]  # 1.4 may have been 1.49
    assert "cut off" not in rows[0]["warning"]
    with pytest.raises(FileError, match="quotation mark"):
        rows_of(tmp_path, written(tmp_path, f'{HEADER}\n"15,-15\n' + "15,-15,0.9,1.49\n" * 10_000))


def test_a_folder_of_parts_is_one_table(tmp_path):
    (tmp_path / "parts").mkdir()
    for i, rows in enumerate((3, 0, 4)):
        frame(rows).to_parquet(tmp_path / "parts" / f"part-{i}.parquet")
    (tmp_path / "parts" / "_note.parquet").write_text("no part", encoding="utf-8")
    rows = rows_of(tmp_path, tmp_path / "parts")
    assert [float(r["front_radius_mm"]) for r in rows] == [10, 11, 12, 10, 11, 12, 13]
    run_batch(str(tmp_path / "parts"), str(tmp_path / "out") + "/", block_rows=2)
    back = pd.read_parquet(tmp_path / "out")
    assert [repr(p) for p in back["power_D"]] == [r["power_D"] for r in rows]
    frame(2).rename(columns={"n_lens": "n_reading"}).to_parquet(tmp_path / "parts" / "part-9.parquet")
    with pytest.raises(FileError, match=r"part-9\.parquet: its columns are not those of part-0"):
        rows_of(tmp_path, tmp_path / "parts")
    (tmp_path / "empty").mkdir()
    with pytest.raises(FileError, match=r"no \.parquet part"):
        rows_of(tmp_path, tmp_path / "empty")


def test_types_of_ones_own_columns_come_through_parquet(tmp_path):
    table = pa.table({
        **{n: pa.array(v) for n, v in frame(3).items()},
        "lot": pa.array([2**60 + 1, None, 3]),
        "when": pa.array([1, 2, None], pa.timestamp("us")),
        "ok": pa.array([True, None, False]),
        "pair": pa.array([[1, 2], [3, 4], None]),
        "small": pa.array([0.1, None, float("nan")], pa.float32()),
        "kind": pa.array(["a", "b", "a"]).dictionary_encode(),
        "text": pa.array(["=1+1", None, ""]),
    })  # fmt: skip
    pq.write_table(table, tmp_path / "in.parquet")
    run_batch(str(tmp_path / "in.parquet"), str(tmp_path / "out.parquet"), block_rows=2)
    back = pq.read_table(tmp_path / "out.parquet")
    for name in ("lot", "when", "ok", "pair", "kind", "text"):
        assert back[name].to_pylist() == table[name].to_pylist(), name
        assert back[name].type == table[name].type or name == "kind", name
    assert str(back["small"].to_pylist()) == str(table["small"].to_pylist())


def test_damaged_parquet_leaves_the_old_result(tmp_path):
    source, target = tmp_path / "in.parquet", tmp_path / "out.csv"
    frame(5000).to_parquet(source, row_group_size=500)
    before = old_result(target)
    whole = source.read_bytes()
    source.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(FileError, match="not a whole Parquet file"):
        run_batch(str(source), str(target))
    middle = len(whole) // 2
    source.write_bytes(whole[:middle] + b"\xff" * 2000 + whole[middle + 2000 :])
    with pytest.raises(FileError, match="damaged after row"):
        run_batch(str(source), str(target), block_rows=100)
    assert target.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.parquet", "out.csv"]


def test_mixed_types_and_a_tenth_of_bad_rows(tmp_path):
    import openpyxl

    book = openpyxl.Workbook()
    book.active.append(HEADER.split(","))
    cells = [15, "15", 15.0, " 15 ", "fifteen", True, None, "plano"]
    for cell in cells:
        book.active.append([cell, -15, 0.9, 1.49])
    book.save(tmp_path / "in.xlsx")
    rows = rows_of(tmp_path, tmp_path / "in.xlsx")
    assert [bool(r["problem"]) for r in rows] == [False, False, False, False, True, True, True, False]
    text = HEADER + "\n" + "".join("15,-15,0.9,bad\n" if i % 10 == 3 else "15,-15,0.9,1.49\n" for i in range(1000))
    done = run_batch(str(written(tmp_path, text)), str(tmp_path / "out.parquet"), block_rows=64)
    assert done[:2] == (1000, 100)
    back = pd.read_parquet(tmp_path / "out.parquet")
    assert back["power_D"].isna().sum() == back["n_lens"].isna().sum() == (back["problem"] != "").sum() == 100
    assert back["n_lens"].dtype == np.float64


@pytest.mark.parametrize("target", ["out.csv", "out.csv.gz", "out.parquet", "out.xlsx", "out/"])
@pytest.mark.parametrize("rows", [0, 1])
def test_no_row_and_one_row(tmp_path, target, rows):
    for source in (written(tmp_path, f"{HEADER}\n" + "15,-15,0.9,1.49\n" * rows), tmp_path / "in.parquet", tmp_path / "in.xlsx"):
        if source.suffix == ".parquet":
            frame(rows).to_parquet(source)
        if source.suffix == ".xlsx":
            frame(rows).to_excel(source, index=False)
        assert run_batch(str(source), f"{tmp_path}/{target}")[:2] == (rows, 0)
    read = {"out.csv": pd.read_csv, "out.csv.gz": pd.read_csv, "out.parquet": pd.read_parquet, "out.xlsx": pd.read_excel, "out/": pd.read_parquet}
    back = read[target](tmp_path / target)
    assert len(back) == rows
    assert {"power_D", "problem", "n_lens"} <= set(back.columns)


def test_blank_lines_of_a_sheet_do_not_end_it(tmp_path):
    import openpyxl

    book = openpyxl.Workbook()
    for row in (HEADER.split(","), [15, -15, 0.9, 1.49], *[[None]] * 5, [15, -15, 0.9, 1.49]):
        book.active.append(row)
    book.save(tmp_path / "in.xlsx")
    assert len(rows_of(tmp_path, tmp_path / "in.xlsx", block_rows=2)) == 2


def test_parts_in_a_folder_within_the_folder_are_not_left_out_without_a_word(tmp_path):
    """As a table is written that is divided by a column's values."""
    (tmp_path / "lenses" / "lot=3").mkdir(parents=True)
    frame(2).to_parquet(tmp_path / "lenses" / "a.parquet")
    (tmp_path / "lenses" / "notes").mkdir()
    (tmp_path / "lenses" / "_old").mkdir()
    frame(2).to_parquet(tmp_path / "lenses" / "_old" / "b.parquet")
    assert len(rows_of(tmp_path, tmp_path / "lenses")) == 2
    frame(3).to_parquet(tmp_path / "lenses" / "lot=3" / "b.parquet")
    with pytest.raises(FileError, match="lot=3: parts in a folder within the folder are not read: put all parts into one folder"):
        rows_of(tmp_path, tmp_path / "lenses")


def test_a_whole_number_beyond_all_digits_is_the_problem_of_its_row(tmp_path):
    frame(2).assign(front_radius_mm=np.array([15, 2**63 + 1], dtype=np.uint64)).to_parquet(tmp_path / "in.parquet")
    good, bad = rows_of(tmp_path, tmp_path / "in.parquet")
    assert float(good["power_D"]) == pytest.approx(POWER, abs=1e-6)
    assert "front_radius_mm" in bad["problem"]
    assert "must be 0.5 to 1e+07 mm in magnitude" in bad["problem"]


def test_a_packed_file_may_have_its_ending_in_capitals(tmp_path):
    (tmp_path / "IN.CSV.GZ").write_bytes(gzip.compress(f"{HEADER}\n15,-15,0.9,1.49\n".encode()))
    (row,) = rows_of(tmp_path, tmp_path / "IN.CSV.GZ")
    assert float(row["power_D"]) == pytest.approx(POWER, abs=1e-6)


def test_an_index_in_half_precision_is_refused(tmp_path):
    """IEEE 754: of eleven bits, 1.49 becomes 1 + 502/1024 = 1.490234375; at 132.5 D (facts) that is 0.031 D."""
    of_half = frame(2).assign(n_lens=np.array([1.49, 1.49], dtype=np.float16), note_u=np.array([1.5, 2.5], dtype=np.float16))
    assert float(of_half["n_lens"][0]) == 1.490234375
    of_half.to_parquet(tmp_path / "in.parquet")
    with pytest.raises(FileError, match="n_lens in half precision, which holds three digits: write float or double"):
        rows_of(tmp_path, tmp_path / "in.parquet")
    of_half.assign(n_lens=np.float32(1.49)).to_parquet(tmp_path / "in.parquet")
    assert [row["note_u"] for row in rows_of(tmp_path, tmp_path / "in.parquet")] == ["1.5", "2.5"]
