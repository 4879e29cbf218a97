"""The sessions with tables that the README shows are what one gets."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from free_port import free_port

README = Path(__file__).parents[1] / "README.md"
RUN = [sys.executable, "-c", "from lenscalc.cli.main import main; main()"]


def part(begin, end):
    text = README.read_text(encoding="utf-8")
    return text[text.index(begin) : text.index(end)]


def test_the_ranking_is_the_real_one(tmp_path):
    commands, shown = re.fullmatch(r"((?:    \$ [^\n]*\n)+)\n(.*)", part("    $ lenscalc demo . &&", "The command goes on with"), flags=re.S).groups()
    for command in re.split(r" && |\n", commands.replace("    $ ", "").strip()):
        done = subprocess.run([*RUN, *shlex.split(command)[1:]], cwd=tmp_path, capture_output=True, text=True, check=True)
    expected = [line.removeprefix("    ").rstrip() for line in shown.strip("\n").splitlines()]
    assert [line.rstrip() for line in done.stdout.strip("\n").splitlines()][: len(expected)] == expected


def test_a_scheduler_and_two_workers(tmp_path):
    distributed = pytest.importorskip("distributed")
    commands = re.findall(r"^    (dask .*) &$|^    (lenscalc batch .*)$", part("    dask scheduler", "`lenses/` is a folder"), flags=re.M)
    (tmp_path / "in.csv").write_text("front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n" + "15,-15,0.9,1.49\n" * 9, encoding="utf-8")
    subprocess.run([*RUN, "batch", "--set", "n_medium=1.336", "in.csv", "own/"], cwd=tmp_path, check=True, capture_output=True)
    (tmp_path / "lenses").mkdir()
    kept = pq.read_table(tmp_path / "own", columns=["front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens"])
    for i in range(3):
        pq.write_table(kept.slice(3 * i, 3), tmp_path / "lenses" / f"part-{i}.parquet")
    running, port = [], str(free_port())
    try:
        for dask, batch in commands:
            if dask:  # at a port of its own, where nothing else is running
                what, *rest = shlex.split(dask.replace("8786", port))[1:]
                options = ["--port", port, "--no-dashboard"] if what == "scheduler" else ["--no-dashboard"]
                command = [sys.executable, "-m", f"distributed.cli.dask_{what}", *rest, *options]
                running.append(subprocess.Popen(command, cwd=tmp_path, stderr=subprocess.DEVNULL))
            else:
                with distributed.Client(f"tcp://127.0.0.1:{port}", timeout=300, set_as_default=False) as client:
                    client.wait_for_workers(len(running) - 1, timeout=300)
                done = subprocess.run([*RUN, *shlex.split(batch.replace("8786", port))[1:]], cwd=tmp_path, capture_output=True, text=True)
                assert done.returncode == 0, done.stderr
    finally:
        for process in running:
            process.terminate()
            process.wait()
    assert [p.name for p in sorted((tmp_path / "results").iterdir())] == ["_statement.json", *(f"part-{i:06d}.parquet" for i in range(3))]
    assert [round(p, 6) for p in pq.read_table(tmp_path / "results")["power_D"].to_pylist()] == [20.469666] * 9  # worked by hand
