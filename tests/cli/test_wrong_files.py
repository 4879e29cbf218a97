"""A file, a folder or a name that is another one than meant: one sentence, which says what to do."""

import re
import shlex
import subprocess
import sys

import pytest
from called import lenscalc

LENS = ("--front-radius-mm=15", "--back-radius-mm=-15", "--center-thickness-mm=0.9", "--n-lens=1.49", "--optic-diameter-mm=6")


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "lab.db"))
    assert lenscalc("demo", ".").returncode == 0
    (tmp_path / "folder.csv").mkdir()
    return tmp_path


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("day", "day.csv", "--shared", "day.toml", "copolymer_b.toml"), "copolymer_b.toml: .toml is not written here; use .csv"),
        (("day", "day.csv", "--shared", "day.toml", "folder.csv"), "lenscalc: folder.csv: is a folder; name a file in it"),
        (("batch", "candidates.csv", "out"), "out: a name without an ending is not written here; use .csv"),
        (("batch", "copolymer_b.toml", "out.csv"), "copolymer_b.toml: a reading sheet goes to lenscalc follow: unknown table 'title'"),
        (("rank", "candidates.csv", "--best", "power_D:low"), "lenscalc: a table of candidates goes through lenscalc batch first: unknown column"),
        (("demo", "candidates.csv"), "lenscalc: candidates.csv: is a file; name a folder"),
        (("polymer", "pmma"), "unknown polymer 'pmma'; there are pmma_"),
        (("polymer", "methacrylate"), "unknown polymer 'methacrylate'; there are "),
        (("records", "export", "all.csv"), "lenscalc: all.csv: .csv is not written here; use .zip"),
        (("worksheet", *LENS, "--save", "copolymer_b.toml"), "copolymer_b.toml: .toml is not written here; use .html"),
        (("border", "--n-reading", "1.49", "--n-prism", "1.7", "--save", "copolymer_b.toml"), ".toml is not written here; use .html"),
        (("follow", "candidates.csv"), "(at line 1, column 10): 'candidate,provenance,front_radius_mm"),
    ],
)
def test_the_sentence_says_what_to_do(here, args, told):
    done = lenscalc(*args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("power", "--n", "1.49"), "lenscalc power: no option '--n'; did you mean --n-lens or --n-medium or --n-medium-behind"),
        (("power", "--n-lense", "1.49"), "no option '--n-lense'; did you mean --n-lens"),
        (("conform", "--label", "20"), "lenscalc conform: no option '--label'; did you mean --labelled-power-D?"),
        (("power", "15", "-15", "0.9"), "lenscalc power: no option '-1'; lenscalc power --help lists them"),
        (("records", "add", "copolymer_b.toml", "copolymer_b.toml"), "lenscalc records add: copolymer_b.toml is named twice"),
    ],
)
def test_an_option_that_there_is_not(here, args, told):
    done = lenscalc(*args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr


def test_slips_are_said_where_a_power_is_decided_by_itself():
    def told(power, u):
        return lenscalc("conform", f"--power-D={power}", "--labelled-power-D=20.5", f"--u-power-D={u}").stdout

    assert "the power lies more than 5 D from the label" in told(-20.5, 0.06)
    assert "u of the power is more than 3 times the tolerance" in told(20.5, 10)
    assert "times the tolerance" not in told(20.42, 0.06)
    assert "from the label" not in told(20.42, 0.06)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("value = 15.0", "value = 15,0", "not a TOML file: .*: 'value = 15,0'; numbers have a decimal point"),
        ("value = -15.0", "value = −15.0", "'value = −15.0'; numbers have a decimal point and the keyboard's minus"),
        ('lot = "C-07"', "lot = “C-07”", "'lot = “C-07”'; .*texts its straight quotation marks"),
        ('lot = "C-07"', 'lot = "C-07"\ndate = 20.11.2026', "days look like 2026-11-20"),
        ("value = -15.0", 'value = "flat"', r"value = 'flat': must be a number, .*, or \"plano\" for a flat surface"),
        ("u_scale_relative = 0.001", "u_scale_relative = 0.2", r"= 0\.2: must be 0 to 0\.1; is it a percentage\? write it as a fraction"),
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


def test_a_decimal_comma_in_a_sweep_is_no_list_of_whole_numbers(here):
    text = "[fixed]\nfront_radius_mm = 15\nback_radius_mm = -15\ncenter_thickness_mm = 0.9\n[combine]\nn_lens = [1,48, 1,49]\n"
    (here / "sweep.toml").write_text(text, encoding="utf-8")
    done = lenscalc("batch", "sweep.toml", "out.csv")
    assert done.returncode == 2
    assert "sweep.toml: n_lens: 1 stands twice in its list; is it a decimal comma? write the decimals with a point" in done.stderr


def test_a_batch_says_where_its_problems_are_told(here):
    (here / "in.csv").write_text("front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n15,-15,0.9,n/a\n", encoding="utf-8")
    assert "1 row, 1 with a problem (the column problem says which); results in out.csv" in lenscalc("batch", "in.csv", "out.csv").stderr
    assert "1 row, 1 with a problem (row 1 stands below the line of names)" in lenscalc("batch", "in.csv", "--check").stdout


def test_a_list_without_records_says_which_there_are(here):
    assert lenscalc("records", "add", "copolymer_b.toml").returncode == 0
    told = lenscalc("records", "list", "--material", "copolymer b").stdout
    assert "None is as asked for, letter by letter; there are records of copolymer B." in told
    assert "None is" not in lenscalc("records", "list").stdout


def test_a_shut_standard_output_is_no_traceback(here):
    start = [sys.executable, "-c", "import sys; from lenscalc.cli.main import main; main(sys.argv[1:])", "follow", "copolymer_c.toml"]
    done = subprocess.run(["sh", "-c", f"exec {shlex.join(start)} >&-"], stderr=subprocess.PIPE, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
