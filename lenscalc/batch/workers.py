"""Where blocks are computed: here, in processes of this machine, or on a cluster. Results come in the order of the blocks, with the same bits."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from itertools import chain, islice
from typing import TypeVar

from lenscalc.batch.ahead import one_ahead
from lenscalc.batch.block import Block
from lenscalc.errors import InputError
from lenscalc.uncertainty.blocks import cores

Result = TypeVar("Result")

MOST_PER_CORE = 8  # more processes than that only wait for each other
PAYS_FROM_S = 3.0  # of work: a process takes a second to start


def computed(
    blocks: Iterator[Block], work: Callable[[Block], Result], *, workers: int | None = 0, cluster: str | None = None, ms_a_row: float = 0.0
) -> Generator[Result]:
    """What `work` makes of each block. `work` travels: a function of a module, or a `partial` or frozen dataclass of things that do.

    With neither `workers` nor `cluster` blocks are computed here; one is read and one computed while the caller has the one before in hand. Where
    `workers` is None there are as many as cores, if the first blocks promise so much work, at `ms_a_row` that threads cannot share, that it pays.

    Raises
    ------
    InputError
        for both, or a number of workers that cannot be.
    WorkerError
        where workers cannot be had, or die twice over one block.
    """
    if workers and cluster:
        raise InputError("workers and cluster are both given: blocks are computed on this machine or on the cluster")
    if workers is None and not cluster:
        workers, blocks = _that_pay(blocks, ms_a_row)
    if workers:
        from lenscalc.batch.processes import by_processes

        return by_processes(blocks, work, _checked(workers))
    if cluster:
        from lenscalc.batch.cluster import on_cluster

        return on_cluster(blocks, work, cluster)
    return one_ahead(map(work, one_ahead(blocks)))


def _that_pay(blocks: Iterator[Block], ms_a_row: float) -> tuple[int, Iterator[Block]]:
    looked_at = list(islice(blocks, 2))
    rows = max((block.rows_in_all or block.rows_so_far for block in looked_at), default=0)
    pays = len(looked_at) == 2 and cores(None) > 1 and rows * ms_a_row > 1000.0 * PAYS_FROM_S
    return cores(None) if pays else 0, chain(looked_at, blocks)


def _checked(workers: int) -> int:
    most = MOST_PER_CORE * cores(None)
    if not 1 <= workers <= most or int(workers) != workers:
        raise InputError(f"workers = {workers}: must be a whole number from 1 to {most}, {MOST_PER_CORE} for each core of this machine")
    return int(workers)
