"""Files in, files out."""

from lenscalc.batch.block import Block
from lenscalc.batch.check import Checked, check_batch
from lenscalc.batch.columns import Heading, heading_of
from lenscalc.batch.evaluating import evaluate_block
from lenscalc.batch.ranked import Ranked, rank_file
from lenscalc.batch.read import read_blocks, read_csv_text
from lenscalc.batch.run import Done, run_batch
from lenscalc.batch.sweep import Sweep, read_sweep
from lenscalc.batch.write import write_blocks
from lenscalc.batch.write_csv import csv_text

__all__ = [
    "Block", "Checked", "Done", "Heading", "Ranked", "Sweep", "check_batch", "csv_text", "evaluate_block", "heading_of", "rank_file",
    "read_blocks", "read_csv_text", "read_sweep", "run_batch", "write_blocks",
]  # fmt: skip
