"""Peak memory and rate of `run_batch` by the number of rows, each in a process of its own: python tests/benchmarks/batch_memory.py 1e5 1e6 [1e7]."""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

SWEEP = """
[combine]
n_lens = {{ from = 1.40, to = 1.60, points = {points} }}
front_radius_mm = {{ from = 8.0, to = 28.0, points = 50 }}
back_radius_mm = {{ from = -8.0, to = -28.0, points = 50 }}
[fixed]
center_thickness_mm = 0.9
u_n_lens = 0.0002
u_center_thickness_mm = 0.01
"""
INPUTS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", "u_n_lens", "u_center_thickness_mm")
CHILD = """
import json, resource, sys, time
from lenscalc.batch import run_batch
start = time.perf_counter()
done = run_batch(sys.argv[1], sys.argv[2], resume=sys.argv[3] == "resume")
print(json.dumps([done.rows, time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


def measured(source, target, resume=""):
    out = subprocess.run([sys.executable, "-c", CHILD, str(source), str(target), resume], capture_output=True, text=True, check=True)
    rows, seconds, mib = json.loads(out.stdout)
    way = f"{source.name} → {target.name} {resume}"
    print(f"{way:<40}{rows:>12,} rows {seconds:8.1f} s {rows / seconds:>10,.0f} rows/s {mib:7.0f} MiB", flush=True)


def main(sizes):
    import pyarrow.csv
    import pyarrow.parquet as pq

    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        for size in sizes:
            sweep = here / "sweep.toml"
            sweep.write_text(SWEEP.format(points=max(int(size) // 2500, 2)), encoding="utf-8")
            measured(sweep, here / "sweep.parquet")
            table = pq.read_table(here / "sweep.parquet", columns=list(INPUTS))
            pq.write_table(table, here / "in.parquet")
            if size <= 2e6:
                pyarrow.csv.write_csv(table, here / "in.csv")
            del table
            measured(here / "in.parquet", here / "out.parquet")
            (here / "out.parquet").unlink()
            measured(here / "in.parquet", here / "out.parquet", "resume")
            if size <= 2e6:
                measured(here / "in.csv", here / "out.csv")
                measured(here / "in.csv", here / "out.csv.gz")


if __name__ == "__main__":
    main([float(a) for a in sys.argv[1:]] or [1e5, 1e6])
