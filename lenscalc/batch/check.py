"""A file looked through without computing: what is wrong with which row."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import closing
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from lenscalc.batch.block import BLOCK_ROWS, Block
from lenscalc.batch.columns import Heading, heading_of
from lenscalc.batch.read import read_blocks
from lenscalc.batch.run import notes_of
from lenscalc.batch.workers import computed
from lenscalc.chain import CALIBRATION
from lenscalc.chain.inputs import inputs_of
from lenscalc.chain.table import columns_of
from lenscalc.decision import ToleranceTable, shipped_tolerance_table

SHOWN = 20


class Checked(NamedTuple):
    """How many rows there are, how many have a problem, the first of them, counted from 1, and what is worth knowing about the columns."""

    rows: int
    problems: int
    first: tuple[tuple[int, str], ...]
    notes: tuple[str, ...]


def check_batch(
    source: str,
    *,
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    block_rows: int = BLOCK_ROWS,
    separator: str | None = None,
    decimal: str | None = None,
    workers: int | None = 0,
    cluster: str | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> Checked:
    """Look through a file of rows: its columns, its limits, what is missing or contradicts itself. Nothing is written.

    A problem that only the result shows (an edge thinner than nothing in a wanted re-cut, for example) is not seen here.

    Raises
    ------
    FileError, InputError
        for a file or a table that cannot be used.
    """
    table = tolerance_table or shipped_tolerance_table()
    rows = problems = 0
    first: list[tuple[int, str]] = []
    heading: Heading | None = None
    work = partial(_looked_through, constants=dict(constants or {}), table=table)
    blocks = read_blocks(source, block_rows, separator=separator, decimal=decimal)
    with closing(computed(blocks, work, workers=workers, cluster=cluster)) as looked:
        for size, names, told, count, in_all in looked:
            heading = names
            first += [(rows + row + 1, sentence) for row, sentence in told[: SHOWN - len(first)]]
            rows, problems = rows + size, problems + count
            if on_progress:
                on_progress(rows, in_all or 0)
    return Checked(rows, problems, tuple(first), notes_of(heading))


def _looked_through(
    block: Block, *, constants: Mapping[str, Any], table: ToleranceTable
) -> tuple[int, Heading, list[tuple[int, str]], int, int | None]:
    heading = heading_of(tuple(block.columns), tuple(constants))
    told = _problems(block, heading, constants, table)
    return block.size, heading, sorted(told.items())[:SHOWN], len(told), block.rows_in_all


def _problems(block: Block, heading: Heading, constants: Mapping[str, Any] | None, table: ToleranceTable) -> dict[int, str]:
    columns = columns_of(heading.known(heading.table(block)), constants)
    inputs_of(columns, {}, CALIBRATION, ())
    if "labelled_power_D" in columns.numbers:  # as the decision asks it
        label = columns.number("labelled_power_D")
        none = ~np.isnan(label) & np.isnan(columns.number("tolerance_D")) & np.isnan(table.of(label))
        columns.refuse(none, f"labelled_power_D lies beyond the tolerance table, which ends at {table.bands[-1][0]:g} D")
    return {row: "; ".join(told) for row, told in columns.problems.items()} | block.problems
