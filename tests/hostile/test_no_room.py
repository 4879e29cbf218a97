"""A disk that is full, a folder that may not be written, a clock that was set back: one sentence, and nothing half-written under a name."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from called import ALONE, lenscalc
from small_disk import small_disk

from lenscalc.demo import demo_files


@pytest.fixture
def full(tmp_path):
    with small_disk(tmp_path / "full", kilobytes=64) as disk:
        disk.fill()
        yield disk


@pytest.fixture
def read_only(tmp_path):
    with small_disk(tmp_path / "shut", kilobytes=64) as disk:
        disk.remount("ro")
        yield disk


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    for file in demo_files():
        (folder / file.name).write_bytes(file.read_bytes())
    return folder


WRITERS = {
    "demo": ("demo", "{out}"),
    "day": ("day", "{data}/day.csv", "{out}/day_results.csv", "--shared", "{data}/day.toml"),
    "batch csv": ("batch", "{data}/candidates.csv", "{out}/results.csv"),
    "batch gz": ("batch", "{data}/candidates.csv", "{out}/results.csv.gz"),
    "batch parquet": ("batch", "{data}/candidates.csv", "{out}/results.parquet"),
    "batch folder": ("batch", "{data}/candidates.csv", "{out}/results/"),
    "batch xlsx": ("batch", "{data}/candidates.csv", "{out}/results.xlsx"),
    "template csv": ("batch", "--template", "{out}/fill.csv"),
    "template xlsx": ("batch", "--template", "{out}/fill.xlsx"),
    "control": ("control", "{data}/water_checks.csv", "--baseline", "25", "--freeze", "{out}/limits.toml"),
    "chart": ("rank", "{data}/candidates_done.csv", "--best", "abbe_d:high", "--chart", "{out}/ranks.svg"),
    "ranked": ("rank", "{data}/candidates_done.csv", "--best", "abbe_d:high", "--out", "{out}/ranked.csv"),
}


def called(name, disk, data):
    return disk.run([*ALONE, *(part.format(out=disk.folder, data=data) for part in WRITERS[name])], env=os.environ | {"NO_COLOR": "1"})


def one_sentence(done):
    assert done.returncode in (1, 2)
    assert "Traceback" not in done.stderr
    lines = [line for line in done.stderr.splitlines() if line.strip()]
    assert len(lines) == 1, done.stderr
    return lines[0]


@pytest.fixture(scope="module")
def evaluated(data):
    assert lenscalc("batch", "candidates.csv", "candidates_done.csv", folder=data).returncode == 0
    return data


@pytest.mark.parametrize("name", WRITERS)
def test_a_full_disk_is_told_in_one_sentence_and_leaves_nothing_half_written(name, full, evaluated):
    done = called(name, full, evaluated)
    assert "No space left on device" in one_sentence(done)
    assert [p.name for p in full.seen.iterdir() if not p.name.endswith(".unfinished")] == ["rest"]


@pytest.mark.parametrize("name", WRITERS)
def test_a_folder_that_may_not_be_written_is_told_in_one_sentence(name, read_only, evaluated):
    done = called(name, read_only, evaluated)
    assert "Read-only file system" in one_sentence(done)


def test_what_stood_under_the_name_stays_when_the_disk_is_full(full, evaluated):
    (full.seen / "rest").unlink()
    before = "an earlier result\n"
    (full.seen / "results.csv").write_text(before)
    full.fill()
    one_sentence(called("batch csv", full, evaluated))
    assert (full.seen / "results.csv").read_text() == before
    (full.seen / "day_results.csv").symlink_to(full.folder / "results.csv")
    one_sentence(called("day", full, evaluated))
    assert (full.seen / "results.csv").read_text() == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("command", [("power", "15", "-15", "0.9", "1.49"), ("follow", "--demo"), ("batch", "{data}/candidates.csv", "-")])
def test_a_full_disk_behind_standard_output_is_told(command, data):
    arguments = [part.format(data=data) for part in command]
    if command[0] == "power":
        names = ("--front-radius-mm", "--back-radius-mm", "--center-thickness-mm", "--n-lens")
        arguments = ["power", *(x for pair in zip(names, arguments[1:], strict=True) for x in pair)]
    with Path("/dev/full").open("w", encoding="utf-8") as out:
        done = subprocess.run([*ALONE, *arguments], stdout=out, stderr=subprocess.PIPE, text=True, timeout=600)
    assert "No space left on device" in one_sentence(done)


def test_results_do_not_know_what_time_it_is(data, tmp_path):
    """Files dated tomorrow, as after a clock was set back, give the same bytes."""
    later = tmp_path / "later"
    later.mkdir()
    for file in data.glob("candidates.csv"):
        shutil.copy(file, later)
        os.utime(later / file.name, (4e9, 4e9))
    for folder in (data, later):
        assert lenscalc("batch", str(folder / "candidates.csv"), str(tmp_path / f"{folder.name}.csv")).returncode == 0
    one, other = ((tmp_path / f"{folder.name}.csv").read_bytes() for folder in (data, later))
    assert one == other
    statements = [(tmp_path / f"{folder.name}.csv.json").read_text() for folder in (data, later)]
    assert statements[0] == statements[1]


def test_a_run_goes_on_whatever_the_dates_of_what_it_left(data, tmp_path):
    """An unfinished run is found by its bytes: a journal dated after the clock is as good."""
    target = tmp_path / "out.csv"
    left = Path(f"{target}.unfinished")
    stop = "import lenscalc.batch.csv_target as w, sys\ndef no(self, statement): raise KeyboardInterrupt\nw.CsvTarget.finish = no\n"
    run = [sys.executable, "-c", stop + "from lenscalc.cli.main import main; main()", "batch", str(data / "candidates.csv"), str(target)]
    assert subprocess.run(run, capture_output=True).returncode == 130
    for file in left.iterdir():
        os.utime(file, (4e9, 4e9))
    done = lenscalc("batch", str(data / "candidates.csv"), str(target), "--resume")
    assert done.returncode == 0, done.stderr
    whole = tmp_path / "whole.csv"
    assert lenscalc("batch", str(data / "candidates.csv"), str(whole)).returncode == 0
    assert target.read_bytes() == whole.read_bytes()
