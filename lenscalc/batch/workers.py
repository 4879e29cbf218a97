"""Where blocks are computed: here, in processes of this machine, or on a cluster. Results come in the order of the blocks, with the same bits."""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from itertools import chain, islice
from typing import TypeVar

from lenscalc.batch.ahead import one_ahead
from lenscalc.batch.block import Block
from lenscalc.errors import InputError
from lenscalc.quantities import whole_number
from lenscalc.uncertainty.blocks import cores

Result = TypeVar("Result")

_ADDRESS = re.compile(r"((tcp|tls|ucx|ws|wss)://)?[^/\s]+:[0-9]{1,5}")
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
        as `check_place`.
    WorkerError
        where workers cannot be had, or die twice over one block.
    """
    check_place(workers, cluster)
    if cluster is not None:
        from lenscalc.batch.cluster import on_cluster

        return on_cluster(blocks, work, cluster)
    if workers is None:
        workers, blocks = _that_pay(blocks, ms_a_row)
    if workers:
        from lenscalc.batch.processes import by_processes

        return by_processes(blocks, work, workers)
    return _here(blocks, work)


def _here(blocks: Iterator[Block], work: Callable[[Block], Result]) -> Generator[Result]:
    with closing(one_ahead(blocks)) as read:  # whoever ends early ends the reading too: nobody could close what a thread still reads
        yield from one_ahead(map(work, read))


def _that_pay(blocks: Iterator[Block], ms_a_row: float) -> tuple[int, Iterator[Block]]:
    looked_at = list(islice(blocks, 2))
    rows = max((block.rows_in_all or block.rows_so_far for block in looked_at), default=0)
    pays = len(looked_at) == 2 and cores(None) > 1 and rows * ms_a_row > 1000.0 * PAYS_FROM_S
    return cores(None) if pays else 0, chain(looked_at, blocks)


def check_place(workers: int | None, cluster: str | None) -> None:
    """Refuse what is no place to compute: before anything is read or written.

    Raises
    ------
    InputError
        for both of the two, a number of workers that cannot be, or what is no address.
    """
    if workers and cluster is not None:
        raise InputError("workers and cluster are both given: blocks are computed on this machine or on the cluster")
    if cluster is not None and not _ADDRESS.fullmatch(cluster):
        raise InputError(f"cluster = {cluster!r}: must be the address that the scheduler prints when it starts, as tcp://10.0.0.5:8786")
    most = MOST_PER_CORE * cores(None)
    if workers:
        whole_number("workers", workers, 1, most, why=f"{MOST_PER_CORE} for each core of this machine")
