"""Blocks computed on a cluster, by way of a Dask scheduler that is there already."""

from __future__ import annotations

import pickle
from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import CancelledError
from contextlib import closing
from typing import Any, TypeVar

from lenscalc.batch.ahead import one_ahead
from lenscalc.batch.block import Block
from lenscalc.batch.statement import versions
from lenscalc.errors import LenscalcError, WorkerError

Result = TypeVar("Result")

CONNECT_S = 5  # to a scheduler
WAIT_S = 30  # for a first worker, or for the next when the last has gone
BYTES_AT_ONCE = 1 << 28  # of blocks on their way: the scheduler holds them until they are done, so that any worker can take over


def on_cluster(blocks: Iterator[Block], work: Callable[[Block], Result], address: str) -> Generator[Result]:
    """What `work` makes of each block, in their order; two blocks a thread of the cluster are on their way, as long as they take little memory.

    Raises
    ------
    WorkerError
        for a scheduler that cannot be reached, workers that are not there or have other versions, a block over which workers keep dying.
    """
    try:
        import dask
        import distributed
    except ImportError:
        raise WorkerError("cluster: Dask is not installed, by which other machines are reached: pip install 'lenscalc[cluster]'") from None
    try:
        client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        why = str(error).splitlines()[0]
        raise WorkerError(f"cluster = {address!r}: no Dask scheduler answers there ({why}); start one by `dask scheduler`") from None
    # a block is larger than what Dask warns of; it is sent for once, and to be kept by the scheduler is what it is sent for
    with client, dask.config.set({"distributed.admin.large-graph-warning-threshold": BYTES_AT_ONCE}):
        try:
            yield from _in_order(client, blocks, work, address)
        except LenscalcError:
            raise
        except (CancelledError, OSError) as error:
            raise WorkerError(f"cluster = {address!r}: the connection to the scheduler was lost ({error or type(error).__name__})") from None


def _in_order(client: Any, blocks: Iterator[Block], work: Callable[[Block], Result], address: str) -> Generator[Result]:
    here, there = versions(), _travelling()
    sent: deque[tuple[str, Any, int]] = deque()
    _wait_for_workers(client, address)
    with closing(one_ahead(blocks)) as read:
        for block in read:
            data = pickle.dumps((work, block), protocol=5)
            while sent and (len(sent) >= 2 * _threads(client) or sum(size for *_, size in sent) + len(data) > BYTES_AT_ONCE):
                yield _result(client, address, *sent.popleft()[:2])
            sent.append((str(block), client.submit(there, data, here, pure=False), len(data)))
    while sent:
        yield _result(client, address, *sent.popleft()[:2])


def _travelling() -> Callable[[bytes, dict[str, str | None]], Any]:
    """A function that travels as code, because it has no name in a module: one that is looked up by name ends a worker that has no lenscalc."""

    def there(data: bytes, wanted: dict[str, str | None]) -> Any:
        from lenscalc.batch.cluster import compute

        return compute(data, wanted)

    return there


def compute(data: bytes, wanted: dict[str, str | None]) -> Any:
    """One block, on a worker, if it has the versions of whoever asks.

    Raises
    ------
    WorkerError
        for other versions: the results would not have the same bits.
    """
    other = [f"{name} {there} there, {wanted.get(name)} here" for name, there in versions().items() if there != wanted.get(name)]
    if other:
        raise WorkerError(f"a worker of the cluster has other versions ({'; '.join(other)}), and would give other digits: install the same there")
    work, block = pickle.loads(data)
    return work(block)


def _result(client: Any, address: str, rows: str, future: Any) -> Any:
    from distributed.scheduler import KilledWorker

    while True:
        try:
            return future.result(timeout=WAIT_S)
        except TimeoutError:
            _wait_for_workers(client, address)
        except KilledWorker:
            raise WorkerError(f"{rows}: one worker of the cluster after the other has died over them; was there memory enough?") from None
        except ImportError as error:
            raise WorkerError(f"a worker of the cluster has no {error.name}: install there what is installed here") from None


def _wait_for_workers(client: Any, address: str) -> None:
    try:
        client.wait_for_workers(1, timeout=WAIT_S)
    except TimeoutError:
        raise WorkerError(f"cluster = {address!r}: the scheduler has no workers, after {WAIT_S} s; start some by `dask worker {address}`") from None


def _threads(client: Any) -> int:
    return sum(client.nthreads().values()) or 1
