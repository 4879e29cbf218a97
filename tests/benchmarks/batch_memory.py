"""Peak memory and rate of `run_batch` by the number of rows, each in a process of its own:

    python tests/benchmarks/batch_memory.py 1e5 1e7 [1e8] [--csv] [--resume] [--workers 2] [--compute power_D --compute u_power_D] [--tenths]

A sweep is written as Parquet, which goes through as one file, as a folder of parts, and with --csv as text too (20 µs and 700 bytes a row for all
columns). Ends with exit code 1 where a process took a GiB or more. With workers the largest of them is told behind the `+`. --tenths tells the peak
so far at every tenth of the rows.
"""

import argparse
import json
import shutil
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
def mib(who):
    return resource.getrusage(who).ru_maxrss / 1024
if __name__ == "__main__":
    start, tenths = time.perf_counter(), []
    def note(done, total):
        if total and done * 10 >= total * (len(tenths) + 1):
            tenths.append(mib(resource.RUSAGE_SELF))
    done = run_batch(sys.argv[1], sys.argv[2], on_progress=note, **json.loads(sys.argv[3]))
    peaks = [mib(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(json.dumps([done.rows, time.perf_counter() - start, peaks, tenths]))
"""
LARGEST_MIB = 1024


def measured(source, target, *, tenths=False, **options):
    command = [sys.executable, "-c", CHILD, str(source), str(target), json.dumps(options)]
    out = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True)
    rows, seconds, (own, of_a_worker), at_tenths = json.loads(out.stdout)
    way = f"{source.name} → {target.name if not str(target).endswith('out') else 'out/'}{' resume' if options.get('resume') else ''}"
    mib = f"{own:.0f} MiB" + (f" + {of_a_worker:.0f}" if options.get("workers") else "")
    print(f"{way:<40}{rows:>12,} rows {seconds:8.1f} s {rows / seconds:>10,.0f} rows/s {mib:>16}", flush=True)
    if tenths:
        print(f"    at every tenth: {', '.join(f'{m:.0f}' for m in at_tenths)} MiB", flush=True)
    return max(own, of_a_worker if options.get("workers") else 0.0)


def copied(source, target, how):
    """A part of the sweep's file, block by block, as another file."""
    import pyarrow.csv
    import pyarrow.parquet as pq

    writer = None
    for batch in pq.ParquetFile(source, pre_buffer=False, buffer_size=1 << 20).iter_batches(65_536, columns=list(INPUTS)):
        writer = writer or (pq.ParquetWriter(target, batch.schema) if how == "parquet" else pyarrow.csv.CSVWriter(target, batch.schema))
        writer.write_batch(batch)
    writer.close()


def main():
    asked = argparse.ArgumentParser(usage=__doc__)
    asked.add_argument("rows", nargs="*", type=float, default=[1e5, 1e6])
    asked.add_argument("--csv", action="store_true")
    asked.add_argument("--resume", action="store_true")
    asked.add_argument("--tenths", action="store_true")
    asked.add_argument("--workers", type=int, default=0)
    asked.add_argument("--compute", action="append", default=[])
    asked = asked.parse_args()
    options = {"workers": asked.workers, "compute": asked.compute, "resume": asked.resume, "tenths": asked.tenths}
    peaks = []
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        for rows in asked.rows:
            sweep = here / "sweep.toml"
            sweep.write_text(SWEEP.format(points=max(int(rows) // 2500, 2)), encoding="utf-8")
            peaks.append(measured(sweep, here / "sweep.parquet", **options))
            copied(here / "sweep.parquet", here / "in.parquet", "parquet")
            (here / "sweep.parquet").unlink()
            peaks.append(measured(here / "in.parquet", here / "out.parquet", **options))
            (here / "out.parquet").unlink()
            (here / "out").mkdir()
            peaks.append(measured(here / "in.parquet", here / "out", **options))
            shutil.rmtree(here / "out")
            if asked.csv:
                copied(here / "in.parquet", here / "in.csv", "csv")
                (here / "in.parquet").unlink()
                peaks.append(measured(here / "in.csv", here / "out.csv", **options))
                (here / "out.csv").unlink()
    sys.exit(max(peaks) >= LARGEST_MIB)


if __name__ == "__main__":
    main()
