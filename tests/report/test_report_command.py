"""`lenscalc report` as a person calls it."""

import json
import os

import pytest
from called import answer, lenscalc
from sheets import WITHOUT_LENS, C

from lenscalc.conditions import CAUTION


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(C, encoding="utf-8")
    return path


def test_a_pdf_and_a_page_are_written_and_told(sheet, tmp_path):
    for out, begins in (("lot.pdf", b"%PDF-1.7"), ("lot.HTML", b"<!DOCTYPE html>")):
        done = lenscalc("report", str(sheet), str(tmp_path / out))
        assert done.returncode == 0, done.stderr
        assert "20.419 D, u 0.060 D" in done.stdout
        assert CAUTION in done.stderr
        assert (tmp_path / out).read_bytes().startswith(begins)
    assert {p.name for p in tmp_path.iterdir()} == {"mine.toml", "lot.pdf", "lot.HTML"}


def test_json_prints_what_is_in_it_with_and_without_a_file(sheet, tmp_path):
    told = answer("report", str(sheet))
    assert told["caution"] == CAUTION
    assert told["short"][1] == {"quantity": "power_D", "label": "power of a lens of it", "text": "20.419 D, u 0.060 D"}
    assert told["file"] is None
    assert told["warnings"] == []
    out = tmp_path / "lot.html"
    assert answer("report", str(sheet), str(out))["file"] == str(out)
    assert out.exists()


def test_an_older_file_is_replaced_only_by_a_whole_one(sheet, tmp_path):
    out = tmp_path / "lot.html"
    out.write_text("older")
    bad = tmp_path / "bad.toml"
    bad.write_text("title = 'x'\n")
    assert lenscalc("report", str(bad), str(out)).returncode == 2
    assert out.read_text() == "older"
    assert lenscalc("report", str(sheet), str(out)).returncode == 0
    assert "20.419 D" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (["SHEET"], "missing OUT"),
        ([], "give one reading sheet"),
        (["SHEET", "a.pdf", "b.pdf"], "give one reading sheet"),
        (["--demo", "a.pdf", "b.pdf"], "give one reading sheet"),
        (["SHEET", "lot.docx"], ".docx is not written here; use .pdf or .html"),
        (["SHEET", "lot"], "a name without an ending is not written here"),
        (["SHEET", "nowhere/lot.pdf"], "the folder is not there"),
        (["missing.toml", "lot.pdf"], "missing.toml: No such file"),
        (["SHEET", "folder.pdf"], "is a folder"),
        (["SHEET", "/proc/lot.html"], "/proc/lot.html: "),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(sheet, tmp_path, monkeypatch, args, sentence):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "folder.pdf").mkdir()
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(p for p in (os.environ.get("PYTHONPATH"),) if p))
    done = lenscalc("report", *(str(sheet) if a == "SHEET" else a for a in args))
    assert done.returncode == 2
    assert sentence in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.glob("*.part"))


def test_the_sheet_itself_is_never_written_over(tmp_path):
    path = tmp_path / "sheet.html"
    path.write_text(C, encoding="utf-8")
    done = lenscalc("report", str(path), str(path))
    assert done.returncode == 2
    assert "is the sheet itself" in done.stderr
    assert path.read_text(encoding="utf-8") == C


def test_a_sheet_without_a_lens_goes_as_far_as_the_index(tmp_path):
    path = tmp_path / "index.toml"
    path.write_text(WITHOUT_LENS, encoding="utf-8")
    told = answer("report", str(path), str(tmp_path / "index.pdf"))
    assert [f["quantity"] for f in told["short"]] == ["n_lens"]
    assert "power" not in json.dumps([s["question"] for s in told["sections"]])


def test_a_table_of_ones_own(sheet, tmp_path):
    table = tmp_path / "ours.toml"
    table.write_text('edition = "ours, 2026"\n[[band]]\ntolerance_D = 0.25\n', encoding="utf-8")
    told = answer("report", str(sheet), "--tolerance-table", str(table))
    assert "ours, 2026" in json.dumps(told["sections"])
