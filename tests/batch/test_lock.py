"""Two runs into one target: the second is told, and a killed one keeps nobody away."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from lenscalc.batch import run_batch
from lenscalc.batch.write import write_blocks
from lenscalc.errors import FileError

TABLE = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n" + "15,-15,0.9,1.49\n" * 20
TARGETS = ["out.csv", "out.parquet", "out.xlsx", "out/"]

HOLDS = """
import sys
from lenscalc.batch import run_batch
def wait(done, total):
    print("begun", flush=True)
    sys.stdin.readline()
run_batch(sys.argv[1], sys.argv[2], block_rows=5, on_progress=wait)
"""


@pytest.fixture
def source(tmp_path):
    (tmp_path / "in.csv").write_text(TABLE, encoding="utf-8")
    return str(tmp_path / "in.csv")


def other_run(source, target):
    run = subprocess.Popen([sys.executable, "-c", HOLDS, source, target], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert run.stdout.readline() == "begun\n"
    return run


@pytest.mark.parametrize("name", TARGETS)
def test_a_second_run_is_told_and_leaves_the_first_alone(tmp_path, source, name):
    pytest.importorskip("fcntl")
    target = f"{tmp_path}/{name}"
    first = other_run(source, target)
    for options in ({}, {"resume": True}) if name != "out.xlsx" else ({},):
        with pytest.raises(FileError, match="another run is writing it at this moment; wait for its end, or give another name"):
            run_batch(source, target, block_rows=5, **options)
    with pytest.raises(FileError, match="another run is writing it"):
        write_blocks(target, [])
    first.communicate("\n" * 20)
    assert first.returncode == 0
    run_batch(source, f"{tmp_path}/alone{name}", block_rows=5)
    if name != "out.xlsx":  # a workbook knows the time of its making
        files = [sorted(Path(p).iterdir()) if Path(p).is_dir() else [Path(p)] for p in (target, f"{tmp_path}/alone{name}")]
        assert [f.read_bytes() for f in files[0]] == [f.read_bytes() for f in files[1]]
    assert not list(tmp_path.glob("*.unfinished"))


@pytest.mark.parametrize("name", TARGETS)
def test_the_lock_of_a_killed_run_blocks_nobody(tmp_path, source, name):
    target = f"{tmp_path}/{name}"
    first = other_run(source, target)
    os.kill(first.pid, signal.SIGKILL)
    first.communicate()
    assert Path(f"{target.rstrip('/')}.unfinished/lock").exists()
    resumable = name in ("out.csv", "out/")
    done = run_batch(source, target, block_rows=5, resume=resumable)
    assert (done.rows, done.resumed > 0) == (20, resumable)


def test_a_folder_that_may_not_be_written_to_is_told(tmp_path, source, monkeypatch):
    def refused(self, *arguments, **options):
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(FileError, match=r"out\.csv: Permission denied"):
        run_batch(source, str(tmp_path / "out.csv"))
