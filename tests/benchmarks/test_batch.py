"""A batch of Parquet beside pyarrow's own reading and writing of the same files; trials on two workers beside one.

    LENSCALC_ROWS=1e7 python -m pytest tests/benchmarks/test_batch.py -o addopts="" -s

What is compared is timed in turn, round by round, so that what else the machine does falls on both; ratios compare the least of each. The processor
time is told besides: on a machine that does other work it says what the work costs, though not what two free cores would make of it.
"""

import os
import time
from contextlib import closing

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from lenscalc.batch import run_batch
from lenscalc.batch.block import BLOCK_ROWS
from lenscalc.batch.write_parquet import options_for
from lenscalc.chain.steps import PlainRow

ROWS = int(float(os.environ.get("LENSCALC_ROWS", "1e7")))
ROUNDS = 3
DERIVATIVES = (*PlainRow._fields[:6], "u_power_D")


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    path = tmp_path_factory.mktemp("batch") / "in.parquet"
    rng = np.random.default_rng(5)
    ends = {"front_radius_mm": (8.0, 30.0), "back_radius_mm": (-30.0, -8.0), "center_thickness_mm": (0.3, 1.5), "n_lens": (1.42, 1.6),
            "n_medium": (1.33, 1.34), "u_n_lens": (1e-4, 1e-3)}  # fmt: skip
    writer = None
    for begin in range(0, ROWS, BLOCK_ROWS):
        table = pa.table({name: rng.uniform(*of, min(BLOCK_ROWS, ROWS - begin)) for name, of in ends.items()})
        writer = writer or pq.ParquetWriter(path, table.schema, **options_for(table.schema))
        writer.write_table(table)
    writer.close()
    return path


def batches(path):
    with closing(pq.ParquetFile(path, pre_buffer=False, buffer_size=1 << 20)) as file:
        yield from file.iter_batches(batch_size=BLOCK_ROWS)


def clocks():
    return np.array([time.perf_counter(), time.process_time()])


def by_pyarrow(source, result, copy):
    """Wall and processor time of reading the one file and writing the other again; reading the latter is not counted."""
    begin = clocks()
    for _ in batches(source):
        pass
    spent = clocks() - begin
    writer = None
    for batch in batches(result):
        table = pa.Table.from_batches([batch])
        begin = clocks()
        writer = writer or pq.ParquetWriter(copy, table.schema, **options_for(table.schema))
        writer.write_table(table, row_group_size=BLOCK_ROWS)
        spent += clocks() - begin
    begin = clocks()
    writer.close()
    return spent + clocks() - begin


@pytest.mark.parametrize("compute", [DERIVATIVES, ()], ids=["power, derivatives, u", "all columns"])
def test_parquet_to_parquet(source, compute, tmp_path):
    run_batch(str(source), str(tmp_path / "warm.parquet"), compute=compute)
    ours, theirs = [], []
    for _ in range(ROUNDS):
        begin = clocks()
        run_batch(str(source), str(tmp_path / "out.parquet"), compute=compute)
        ours.append(clocks() - begin)
        theirs.append(by_pyarrow(source, tmp_path / "out.parquet", tmp_path / "copy.parquet"))
    (mine, my_processor), (other, their_processor) = np.min(ours, axis=0), np.min(theirs, axis=0)
    columns = len(pq.read_schema(tmp_path / "out.parquet"))
    print(f"\n{ROWS:,} rows, {columns} columns out: ours {mine:.2f} s, pyarrow alone {other:.2f} s: {mine / other:.2f} times")
    print(f"processor time {my_processor:.2f} and {their_processor:.2f} s; {mine / ROWS * 1e9:.0f} ns a row; load {os.getloadavg()[0]:.1f}")
    assert mine / other <= 1.5


TRIALS_ROWS = int(float(os.environ.get("LENSCALC_TRIALS_ROWS", "1536")))


def test_trials_on_two_workers(tmp_path, monkeypatch):
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMBA_NUM_THREADS"):
        monkeypatch.setenv(name, "1")
    rng = np.random.default_rng(6)
    table = {"front_radius_mm": rng.uniform(8.0, 30.0, TRIALS_ROWS), "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    of_u = {"u_front_radius_mm": 0.03, "u_back_radius_mm": 0.03, "u_center_thickness_mm": 0.02, "u_n_lens": 2e-4}
    columns = {name: np.broadcast_to(value, TRIALS_ROWS) for name, value in (table | of_u).items()}
    pq.write_table(pa.table(columns), tmp_path / "in.parquet")
    best = {}
    for _ in range(ROUNDS):
        for workers in (1, 2):
            begin = time.perf_counter()
            run_batch(str(tmp_path / "in.parquet"), str(tmp_path / f"{workers}.csv"), compute=("u_power_by_trials_D",), workers=workers)
            best[workers] = min(best.get(workers, 1e9), time.perf_counter() - begin)
    assert (tmp_path / "1.csv").read_bytes() == (tmp_path / "2.csv").read_bytes()
    ratio = best[1] / best[2]
    print(f"\n{TRIALS_ROWS:,} rows of 100,000 trials: one worker {best[1]:.1f} s, two {best[2]:.1f} s: {ratio:.2f} times the rate")
    print(f"load {os.getloadavg()[0]:.1f}")
    assert ratio >= 1.6
