"""Blocks of random trials on several cores, handed back in their order."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

import numpy as np

from lenscalc.quantities import whole_number

Result = TypeVar("Result")


def cores(workers: int | None) -> int:
    """The number of threads: what was asked for, or the cores that this process may use."""
    if workers is None:
        return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return whole_number("workers", workers, 1)


def generator(seed: int, block: int) -> np.random.Generator:
    """The random numbers of one block: child `block` of the seed's sequence, so that they are the same whoever draws them.

    SFC64 is the quickest of numpy's generators, by a seventh in normal draws.
    """
    return np.random.Generator(np.random.SFC64(np.random.SeedSequence(int(seed), spawn_key=(block,))))


def before_blocks(seed: int) -> np.random.Generator:
    """The random numbers of a first look, from a child of the seed that no block has."""
    return generator(seed, 2**32 - 1)


def in_order(task: Callable[[int, int], Result], sizes: Iterable[int], workers: int) -> Generator[Result, None, None]:
    """Results of `task(block, size)` in the order of the blocks, worked at by threads (numpy lets go of the interpreter while it draws and computes).

    Beside the one awaited there is one under way for each thread and one more, never all: memory does not grow with their number. Whoever stops
    listening ends them. A single worker is the thread that asks.
    """
    if workers == 1:
        for block, size in enumerate(sizes):
            yield task(block, size)
        return
    pool = ThreadPoolExecutor(workers)
    try:
        under_way: deque[Future[Result]] = deque()
        for block, size in enumerate(sizes):
            under_way.append(pool.submit(task, block, size))
            if len(under_way) > workers + 1:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)
