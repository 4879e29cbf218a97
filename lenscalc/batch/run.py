"""A file through the chain, block by block."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from lenscalc.batch.read import BLOCK_ROWS, Block, read_blocks
from lenscalc.batch.write import write_blocks
from lenscalc.chain import evaluate
from lenscalc.decision import ToleranceTable
from lenscalc.errors import FileError

# a table of labelled powers is no place for what the refraction would do: only where it is asked for by name
REFRACTION = ("refraction_shift_D", "u_refraction_shift_D")


class Done(NamedTuple):
    """How many rows went through, and how many of them have a problem."""

    rows: int
    problems: int


def evaluate_block(
    block: Block,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
) -> dict[str, Any]:
    """The block's own columns, untouched, followed by the computed ones, `problem` and `warning`."""
    result = evaluate(block.columns, compute=compute, constants=constants, tolerance_table=tolerance_table)
    computed = {n: c for n, c in result.columns.items() if n not in REFRACTION or n in compute}
    problems, warnings = result.problems, result.warnings
    given = {n: np.full(block.size, v, dtype=object) for n, v in (constants or {}).items()}  # a verdict must not lose its label
    out = {**block.columns, **given, **{n: c for n, c in computed.items() if n not in block.columns}}
    for name in ("n_lens", "u_n_lens"):  # rows with a raw reading leave these cells empty: the index in use fills them
        if name in block.columns and name in result.columns:
            empty = np.array([x is None or x != x or str(x).strip() == "" for x in block.columns[name]], dtype=bool)
            out[name] = np.where(empty, result.columns[name].astype(object), block.columns[name])
    for row, sentence in block.problems.items():
        problems[row], warnings[row] = sentence, ""
        for name in computed:
            if name not in block.columns:
                out[name] = out[name].copy()
                out[name][row] = "" if out[name].dtype == object else np.nan
    return {**out, "problem": problems, "warning": warnings}


def run_batch(
    source: str,
    target: str,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    block_rows: int = BLOCK_ROWS,
    on_progress: Callable[[int, int], None] | None = None,
) -> Done:
    """Evaluate a file of rows into another; memory does not grow with its length. `on_progress(rows done, 0)`: the total is not known beforehand.

    Raises
    ------
    FileError, InputError
        for a file or a table that cannot be used; a bad row is kept with its problem instead.
    """
    if source != "-" and target != "-" and Path(source).resolve() == Path(target).resolve():
        raise FileError(f"{target}: the results would overwrite the table they come from; give another name")
    seen = {"rows": 0, "problems": 0}

    def results() -> Iterator[dict[str, Any]]:
        for block in read_blocks(source, block_rows):
            columns = evaluate_block(block, compute=compute, constants=constants, tolerance_table=tolerance_table)
            seen["rows"] += block.size
            seen["problems"] += int(np.count_nonzero(columns["problem"] != ""))
            yield columns
            if on_progress:
                on_progress(seen["rows"], 0)

    write_blocks(target, results())
    return Done(seen["rows"], seen["problems"])
