"""A file, a folder or a name that is another one than meant: one sentence, which says what to do."""

import re
import shlex
import subprocess
import sys

import pytest
from called import lenscalc


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "lab.db"))
    assert lenscalc("demo", ".").returncode == 0
    return tmp_path


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("day", "day.csv", "--shared", "day.toml", "."), "lenscalc: .: is a folder; name a file in it"),
        (("batch", "candidates.csv", "out"), "out: a name without an ending is not written here; use .csv"),
        (("batch", "copolymer_b.toml", "out.csv"), "copolymer_b.toml: a reading sheet goes to lenscalc follow: unknown table 'title'"),
        (("rank", "candidates.csv", "--best", "power_D:low"), "lenscalc: a table of candidates goes through lenscalc batch first: unknown column"),
        (("demo", "candidates.csv"), "lenscalc: candidates.csv: is a file; name a folder"),
        (("polymer", "pmma"), "unknown polymer 'pmma'; there are pmma_"),
        (("polymer", "methacrylate"), "unknown polymer 'methacrylate'; there are "),
        (("records", "export", "all.csv"), "lenscalc: all.csv: an export is a zip file; give it a name that ends in .zip"),
        (("follow", "candidates.csv"), "(at line 1, column 10): 'candidate,provenance,front_radius_mm"),
    ],
)
def test_the_sentence_says_what_to_do(here, args, told):
    done = lenscalc(*args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("value = 15.0", "value = 15,0", "not a TOML file: .*: 'value = 15,0'; numbers have a decimal point"),
        ("value = -15.0", "value = −15.0", "'value = −15.0'; numbers have a decimal point and the keyboard's minus"),
        ('lot = "C-07"', "lot = “C-07”", "'lot = “C-07”'; .*texts its straight quotation marks"),
        ('lot = "C-07"', 'lot = "C-07"\ndate = 20.11.2026', "days look like 2026-11-20"),
        ("n = [1.4902, ", "n = [1,4902, ", r"\[reading\] n\[2\]: n_reading = 4902: must be 1 to 3; is it a decimal comma\?"),
    ],
)
def test_a_slip_in_a_sheet_is_shown(here, old, new, told):
    text = (here / "copolymer_c.toml").read_text(encoding="utf-8")
    assert old in text
    (here / "mine.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    done = lenscalc("follow", "mine.toml")
    assert done.returncode == 2
    assert re.search(told, done.stderr)
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_list_without_records_says_which_there_are(here):
    assert lenscalc("records", "add", "copolymer_b.toml").returncode == 0
    told = lenscalc("records", "list", "--material", "copolymer b").stdout
    assert "None is as asked for, letter by letter; there are records of copolymer B." in told
    assert "None is" not in lenscalc("records", "list").stdout


def test_a_shut_standard_output_is_no_traceback(here):
    start = [sys.executable, "-c", "import sys; from lenscalc.cli.main import main; main(sys.argv[1:])", "follow", "copolymer_c.toml"]
    done = subprocess.run(["sh", "-c", f"exec {shlex.join(start)} >&-"], stderr=subprocess.PIPE, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
