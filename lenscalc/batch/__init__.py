"""Files in, files out."""

from lenscalc.batch.ranked import Ranked, rank_file
from lenscalc.batch.read import Block, read_blocks, read_csv_text
from lenscalc.batch.run import Done, evaluate_block, run_batch
from lenscalc.batch.write import csv_text, write_blocks

__all__ = ["Block", "Done", "Ranked", "csv_text", "evaluate_block", "rank_file", "read_blocks", "read_csv_text", "run_batch", "write_blocks"]
