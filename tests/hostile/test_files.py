"""Files made to break a reader: each is told in one sentence, quickly, in little memory."""

import gzip
import io
import tracemalloc
import zipfile
from pathlib import Path

import openpyxl
import pytest

from lenscalc.batch import read_blocks
from lenscalc.batch.sweep import read_sweep
from lenscalc.decision import read_tolerance_table
from lenscalc.demo import demo_text
from lenscalc.errors import LenscalcError
from lenscalc.material.polymer_file import read_polymers
from lenscalc.refractometer import read_sheet
from lenscalc.refractometer.day import read_day

HEADING, ROW = demo_text("candidates.csv").splitlines()[:2]
SHEET = demo_text("copolymer_b.toml")

TOML = {
    "brackets": ("a = " + "[" * 100_000 + "]" * 100_000, "brackets within brackets"),
    "tables in tables": ("a = " + "{a=" * 50_000 + "1" + "}" * 50_000, "brackets within brackets"),
    "points": (".".join(["a"] * 50_000) + " = 1", "more than fifty points"),
    "quoted points": (" . ".join(['"a"'] * 50_000) + " = 1", "more than fifty points"),
    "NUL": ("a = 1\0", "not a TOML file"),
    "control character": (SHEET.replace('material = "', 'material = "\u202e\x07', 1), "not a TOML file"),
    "digits": ("a = " + "9" * 5000, "not a TOML file"),
    "size": ("a = '" + "x" * (17 << 20) + "'", "larger than 16 MiB"),
    "words": ("x" * 100_000, "not a TOML file"),
}


def read_own_polymers(path):
    return read_polymers(Path(path), own=True)


def read_lab_day(path):
    return read_day(path, {})


@pytest.mark.parametrize("reader", [read_sheet, read_sweep, read_tolerance_table, read_own_polymers], ids=lambda f: f.__name__)
@pytest.mark.parametrize("kind", TOML)
def test_a_toml_file_that_is_none(tmp_path, reader, kind):
    text, told = TOML[kind]
    path = tmp_path / "hostile.toml"
    path.write_text(text, encoding="utf-8")
    tracemalloc.start()
    try:
        with pytest.raises(LenscalcError, match=told) as caught:
            reader(path)
        assert tracemalloc.get_traced_memory()[1] < 100e6
    finally:
        tracemalloc.stop()
    assert "hostile.toml" in str(caught.value)
    assert len(str(caught.value)) < 400


@pytest.mark.parametrize("reader", [read_sheet, read_sweep, read_tolerance_table, read_own_polymers, read_lab_day], ids=lambda f: f.__name__)
def test_a_device_that_never_ends(reader):
    with pytest.raises(LenscalcError, match="/dev/zero: larger than 16 MiB"):
        reader("/dev/zero")


def _packed(member, size):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive, archive.open(member, "w", force_zip64=True) as file:
        for _ in range(size >> 20):
            file.write(b" " * (1 << 20))
    return data.getvalue()


def _quiet_cell():
    """A workbook whose one cell unpacks to 200 MB."""
    whole, data = io.BytesIO(), io.BytesIO()
    openpyxl.Workbook().save(whole)
    with zipfile.ZipFile(whole) as old, zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, old.read(name) + (b"<!--" + b" " * (200 << 20) + b"-->" if name.endswith("sheet1.xml") else b""))
    return data.getvalue()


TABLES = {
    "line.csv": (lambda: (HEADING + "\n" + "1" * (20 << 20)).encode(), "longer than 16,777,216 characters"),
    "columns.csv": (lambda: ",".join(f"c{i}" for i in range(1_000_000)).encode(), "1,000,000 columns; 16,384 are the most"),
    "quote.csv": (lambda: (HEADING + '\n"' + "a\n" * 500_000).encode(), "every quotation mark in pairs"),
    "utf16.csv": (lambda: (HEADING + "\n" + ROW).encode("utf-16"), "not UTF-8 text"),
    "bytes.csv": (lambda: bytes(range(256)) * 100, "not UTF-8 text"),
    "packed.csv.gz": (lambda: gzip.compress(b"0" * (200 << 20)), "longer than 16,777,216 characters"),
    "torn.csv.gz": (lambda: gzip.compress((HEADING + "\n" + ROW + "\n").encode())[:-12], "cut off"),
    "not.csv.gz": (lambda: b"\x1f\x8b" + bytes(range(256)), "cannot be unpacked"),
    "not.csv.zst": (lambda: bytes(range(256)), "cannot be unpacked"),
    "not.parquet": (lambda: b"PAR1" + bytes(range(256)) + b"PAR1", "not a whole Parquet file"),
    "not.xlsx": (lambda: b"PK" + bytes(range(256)), "not an Excel workbook"),
    "flood.xlsx": (lambda: _packed("xl/workbook.xml", 200 << 20), "over 100 times its size"),
    "cell.xlsx": (_quiet_cell, "over 100 times its size"),
}


@pytest.mark.parametrize("name", TABLES)
def test_a_table_that_is_none(tmp_path, name):
    make, told = TABLES[name]
    path = tmp_path / name
    path.write_bytes(make())
    tracemalloc.start()
    try:
        with pytest.raises(LenscalcError, match=told) as caught:
            list(read_blocks(str(path)))
        assert tracemalloc.get_traced_memory()[1] < 200e6
    finally:
        tracemalloc.stop()
    assert name in str(caught.value)
    assert len(str(caught.value)) < 600


def test_as_many_columns_as_a_workbook_holds_are_read(tmp_path):
    own = [f"note_{i}" for i in range(16_384 - len(HEADING.split(",")))]
    path = tmp_path / "wide.csv"
    path.write_text(",".join([HEADING, *own]) + "\n" + ROW + "," * len(own) + "\n", encoding="utf-8")
    (block,) = read_blocks(str(path))
    assert (len(block.columns), block.size, block.problems) == (16_384, 1, {})
