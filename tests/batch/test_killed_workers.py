"""Workers and runs that are killed: a second try for the block, no process left behind, the identical bytes after all."""

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from batch_files import ROWS, content, sixty_rows

from lenscalc.batch import processes, run_batch
from lenscalc.errors import WorkerError


def kill_workers():
    for child in multiprocessing.active_children():
        os.kill(child.pid, signal.SIGKILL)


@pytest.fixture
def source(tmp_path):
    return sixty_rows(tmp_path)


def test_killed_workers_cost_their_blocks_a_second_try(tmp_path, source):
    killed = []

    def kill_once(done, total):
        if not killed:
            killed.extend(multiprocessing.active_children())
            kill_workers()

    run_batch(source, str(tmp_path / "whole.csv"), block_rows=5)
    done = run_batch(source, str(tmp_path / "out.csv"), block_rows=5, workers=2, on_progress=kill_once)
    assert len(killed) == 2
    assert (done.rows, done.problems) == (ROWS, 9)
    assert content(tmp_path / "out.csv") == content(tmp_path / "whole.csv")


def test_a_second_death_names_the_rows_and_keeps_the_finished_blocks(tmp_path, source, monkeypatch):
    """From the first finished block on a worker is dead before it is given the next."""
    finished, give = [], processes._Worker.give

    def given(worker, number, block, again=False):
        if finished:
            worker.process.kill()
        give(worker, number, block, again)

    monkeypatch.setattr(processes._Worker, "give", given)
    target = tmp_path / "out.csv"
    with pytest.raises(WorkerError, match=r"rows [0-9]+ to [0-9]+: a second worker process has died over them .*signal 9.*go on with --resume"):
        run_batch(source, str(target), block_rows=5, workers=2, on_progress=lambda done, total: finished.append(done))
    monkeypatch.undo()
    assert not target.exists()
    run_batch(source, str(tmp_path / "whole.csv"), block_rows=5)
    resumed = run_batch(source, str(target), block_rows=5, workers=2, resume=True)
    assert resumed.resumed >= 5
    assert content(target) == content(tmp_path / "whole.csv")


LONG = """
import signal, sys
from lenscalc.batch import run_batch
from lenscalc.cli.stopped import heeded
if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever runs the tests behind may have set it aside
    wait = (lambda done, total: sys.stdin.read()) if sys.argv[4:] else None  # until it is killed
    compute, constants = ("*", "u_power_by_trials_D"), eval(sys.argv[3])
    try:
        with heeded():  # a stop that falls where Python drops it is raised once more
            run_batch(sys.argv[1], sys.argv[2], block_rows=2, workers=2, compute=compute, constants=constants, on_progress=wait)
    except KeyboardInterrupt:
        sys.exit("stopped")
"""
CONSTANTS = {"u_n_lens": "0.0002", "u_front_radius_mm": "0.01", "u_back_radius_mm": "0.01", "u_center_thickness_mm": "0.01"}


def alive(pid):
    try:
        return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] not in "ZX"
    except OSError:
        return False


def children_of(pid):
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            if stat.read_text().rsplit(")", 1)[1].split()[1] == str(pid):
                found.append(int(stat.parent.name))
        except OSError:
            pass
    return found


def begun(source, target, script, *waits):
    script.write_text(LONG, encoding="utf-8")
    command = [sys.executable, str(script), source, str(target), repr(CONSTANTS), *waits]
    run = subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)
    journal = Path(f"{target}.unfinished") / "journal"
    end = time.monotonic() + 300
    while not (journal.exists() and journal.read_text()):
        assert run.poll() is None, run.stderr.read().decode()
        assert time.monotonic() < end
        time.sleep(0.01)
    return run


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked for in /proc")
def test_a_killed_run_leaves_no_process_and_goes_on_to_the_identical_bytes(tmp_path, source):
    target = tmp_path / "out.csv"
    run = begun(source, target, tmp_path / "script.py", "waits")
    workers = children_of(run.pid)
    assert len(workers) >= 2
    os.kill(run.pid, signal.SIGKILL)
    run.communicate()
    assert not target.exists()
    end = time.monotonic() + 300
    while any(alive(pid) for pid in workers):
        assert time.monotonic() < end, "a worker has outlived its parent"
        time.sleep(0.05)
    asked = {"compute": ("*", "u_power_by_trials_D"), "constants": CONSTANTS, "block_rows": 2}
    assert run_batch(source, str(target), resume=True, workers=2, **asked).resumed >= 2
    run_batch(source, str(tmp_path / "whole.csv"), **asked)
    assert content(target) == content(tmp_path / "whole.csv")


def hears_stops(pid):
    """Whether a process neither holds back nor ignores a stop by hand: bit 2 of its masks."""
    masks = dict(line.split(":\t") for line in Path(f"/proc/{pid}/status").read_text().splitlines() if line.startswith(("SigBlk", "SigIgn")))
    return not any(int(mask, 16) & 1 << signal.SIGINT - 1 for mask in masks.values())


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked for in /proc")
def test_a_stop_by_hand_ends_the_workers_without_a_word(tmp_path, source):
    header, *rows = Path(source).read_text(encoding="utf-8").splitlines(keepends=True)
    Path(source).write_text(header + "".join(rows) * 500, encoding="utf-8")  # nobody waits for its end
    run = begun(source, tmp_path / "out.csv", tmp_path / "script.py")
    assert [pid for pid in children_of(run.pid) if alive(pid) and hears_stops(pid)] == []
    os.killpg(run.pid, signal.SIGINT)  # as a terminal does it: to all processes at once
    _, told = run.communicate(timeout=300)
    assert told.decode() == "stopped\n"  # the script's own word; a worker says nothing
    assert (tmp_path / "out.csv.unfinished").exists()
