"""Files that the tests of the batch write, and what they find in the results."""

import csv
from pathlib import Path

import pandas as pd

from lenscalc.batch import run_batch

ROWS = 60


def written(tmp_path, text, name="in.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return str(path)


def results(tmp_path, text, **options):
    out = str(tmp_path / "out.csv")
    run_batch(written(tmp_path, text), out, **options)
    with open(out, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def sixty_rows(tmp_path):
    """Lenses with nine bad rows among them."""
    header = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,note_lot"
    lines = (f"{10 + i % 20},-{10 + i % 7},0.9,{1.49 if i % 7 else 14.9},lot {i}" for i in range(ROWS))
    return written(tmp_path, "\n".join([header, *lines]) + "\n")


def old_result(path):
    """What an earlier run has left under a name: a table with a column of problems, so that it may be written over."""
    path, frame = Path(path), pd.DataFrame({"problem": ["the old result"]})
    getattr(frame, {".parquet": "to_parquet", ".xlsx": "to_excel"}.get(path.suffix, "to_csv"))(path, index=False)
    return path.read_bytes()


def content(path):
    path = Path(path)
    return {p.name: p.read_bytes() for p in path.iterdir()} if path.is_dir() else path.read_bytes()
