"""Blocks computed on a cluster: a scheduler and two workers on this machine, one of which is killed half-way."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import lenscalc.batch.cluster as on
from lenscalc.batch import check_batch, run_batch
from lenscalc.cli.main import main
from lenscalc.errors import InputError, UnknownNameError, WorkerError

ROWS = 400


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "in.csv"
    lines = (f"{10 + i % 20},-{10 + i % 7},0.9,{1.49 if i % 7 else 14.9},lot {i}\n" for i in range(ROWS))
    path.write_text("front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,note_lot\n" + "".join(lines), encoding="utf-8")
    return str(path)


class Cluster:
    """A scheduler, and workers that are started when they are wanted."""

    def __init__(self, folder):
        pytest.importorskip("distributed")
        self.file, self.folder, self.running = folder / "scheduler.json", folder, []
        self.scheduler = self.start("scheduler", "--host", "127.0.0.1", "--port", "0")

    @property
    def address(self):
        end = time.monotonic() + 300
        while time.monotonic() < end and self.scheduler.poll() is None:
            try:
                return json.loads(self.file.read_text(encoding="utf-8"))["address"]
            except (FileNotFoundError, json.JSONDecodeError):  # not there yet, or half written
                time.sleep(0.05)
        raise AssertionError("the scheduler has not started")

    def start(self, what, *options):
        command = [sys.executable, "-m", f"distributed.cli.dask_{what}", "--no-dashboard", "--scheduler-file", str(self.file), *options]
        with open(os.devnull, "w", encoding="utf-8") as nowhere:
            self.running.append(subprocess.Popen(command, cwd=self.folder, stderr=nowhere))
        return self.running[-1]

    def workers(self, number, *options):
        """So many workers, of which the scheduler knows by now."""
        from distributed import Client

        started = [self.start("worker", "--nthreads", "1", "--no-nanny", *options) for _ in range(number)]
        with Client(self.address, timeout=300, set_as_default=False) as client:
            client.wait_for_workers(number, timeout=300)
        return started

    def end(self):
        for process in self.running:
            process.kill()
            process.wait()


@pytest.fixture
def cluster(tmp_path, monkeypatch):
    monkeypatch.setattr(on, "CONNECT_S", 300)  # on a busy machine too it answers, at last
    running = Cluster(tmp_path)
    try:
        assert running.address
        yield running
    finally:
        running.end()


def test_the_bytes_are_those_of_this_machine_though_a_worker_is_killed(tmp_path, source, cluster):
    workers = cluster.workers(2)
    told = []

    def kill_one(done, total):
        if not told:
            workers[0].kill()
        told.append(done)

    run_batch(source, f"{tmp_path}/whole.csv", block_rows=9)
    done = run_batch(source, f"{tmp_path}/out.csv", block_rows=9, cluster=cluster.address, on_progress=kill_one)
    assert (done.rows, done.problems) == (ROWS, 58)
    assert workers[0].wait() == -9
    assert told[:3] == [9, 18, 27]
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()

    parts = tmp_path / "parts"
    parts.mkdir()
    for i, rows in enumerate((150, 250)):
        frame = {"front_radius_mm": 10.0 + np.arange(rows) % 20, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
        pd.DataFrame(frame).to_parquet(parts / f"part-{i}.parquet")
    for name, where in (("out", {"cluster": cluster.address}), ("whole", {})):
        run_batch(str(parts), f"{tmp_path}/{name}/", block_rows=40, **where)
    made = [{p.name: p.read_bytes() for p in (tmp_path / name).iterdir()} for name in ("out", "whole")]
    assert len(made[0]) == 4 + 7 + 1  # parts of each part, and the statement
    assert made[0] == made[1]
    assert check_batch(source, cluster=cluster.address, block_rows=50) == check_batch(source, block_rows=50)
    with pytest.raises(UnknownNameError, match="did you mean power_D"):
        run_batch(source, f"{tmp_path}/wrong.csv", compute=("power",), cluster=cluster.address)

    def stop(done, total):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_batch(source, f"{tmp_path}/stopped.csv", block_rows=9, cluster=cluster.address, on_progress=stop)
    with pytest.raises(SystemExit) as ended:  # by the command, with other blocks and here: what stopped was another run
        main(["batch", source, f"{tmp_path}/stopped.csv", "--cluster", cluster.address, "--resume"])
    assert ended.value.code == 2
    assert run_batch(source, f"{tmp_path}/stopped.csv", block_rows=9, resume=True).resumed == 9
    assert (tmp_path / "stopped.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


def test_workers_of_another_version_are_refused(tmp_path, source, cluster, monkeypatch):
    cluster.workers(1)
    monkeypatch.setattr(on, "versions", lambda: {"lenscalc": "99.0", "numpy": "1.0"})
    with pytest.raises(WorkerError, match=r"other versions \(lenscalc .* there, 99\.0 here; numpy .* there, 1\.0 here.*install the same there"):
        run_batch(source, str(tmp_path / "out.csv"), cluster=cluster.address)
    assert not (tmp_path / "out.csv.unfinished").exists()


def test_a_worker_without_lenscalc_is_told(tmp_path, source, cluster):
    without = tmp_path / "without.py"
    without.write_text("import sys; sys.modules['lenscalc'] = None\n", encoding="utf-8")
    cluster.workers(1, "--preload", str(without))
    with pytest.raises(WorkerError, match="a worker of the cluster has no lenscalc"):
        run_batch(source, str(tmp_path / "out.csv"), cluster=cluster.address)


def test_a_scheduler_without_workers_is_told(tmp_path, source, cluster, monkeypatch):
    monkeypatch.setattr(on, "WAIT_S", 1)
    with pytest.raises(WorkerError, match="has no workers, after 1 s; start some by `dask worker"):
        run_batch(source, str(tmp_path / "out.csv"), cluster=cluster.address)


def test_a_scheduler_that_dies_is_told_and_finished_blocks_are_kept(tmp_path, source, cluster, monkeypatch):
    cluster.workers(1)

    def kill(done, total):
        monkeypatch.setattr(on, "WAIT_S", 1)
        cluster.scheduler.kill()

    with pytest.raises(WorkerError, match=r"finished rows are kept in .*go on with --resume"):
        run_batch(source, str(tmp_path / "out.csv"), block_rows=9, cluster=cluster.address, on_progress=kill)
    run_batch(source, str(tmp_path / "whole.csv"), block_rows=9)
    assert run_batch(source, str(tmp_path / "out.csv"), block_rows=9, resume=True).resumed >= 9
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


def test_an_address_where_nobody_answers_is_told_in_seconds(tmp_path, source, capsys, monkeypatch):
    """Not after the library's own time, which is half a minute."""
    pytest.importorskip("distributed")
    assert on.CONNECT_S < 10
    monkeypatch.setattr(on, "CONNECT_S", 1)
    begin = time.monotonic()
    with pytest.raises(SystemExit) as ended:
        main(["batch", source, str(tmp_path / "out.csv"), "--cluster", "tcp://127.0.0.1:1"])
    assert ended.value.code == 2
    assert time.monotonic() - begin < 20
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 1
    assert "no Dask scheduler answers there" in told[0]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.csv"]
    for nonsense in ("nonsense", "http://127.0.0.1:8786", "tcp://host"):
        with pytest.raises(InputError, match="must be the address that the scheduler prints"):
            run_batch(source, str(tmp_path / "out.csv"), cluster=nonsense)


def test_without_the_extra_the_command_says_what_to_install(tmp_path, source):
    code = "import sys; sys.modules['distributed'] = None; from lenscalc.cli.main import main; main()"
    command = [sys.executable, "-c", code, "batch", source, str(tmp_path / "out.csv"), "--cluster", "tcp://127.0.0.1:8786"]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 2
    assert done.stderr == "lenscalc: cluster: Dask is not installed, by which other machines are reached: pip install 'lenscalc[cluster]'\n"
    assert not Path(tmp_path / "out.csv.unfinished").exists()
