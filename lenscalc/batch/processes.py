"""Blocks computed in processes of this machine, each on a pipe of its own: a dead one costs the block it had in hand a second try, and no other.

A pool of the standard library breaks as a whole when one of its processes dies, and its processes outlive a killed parent; these end with their pipe.
"""

from __future__ import annotations

import multiprocessing
import signal
import traceback
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager, suppress
from multiprocessing import resource_tracker
from multiprocessing.connection import wait
from typing import Any, TypeVar

from lenscalc.batch.ahead import one_ahead
from lenscalc.batch.block import Block
from lenscalc.errors import LenscalcError, WorkerError

Result = TypeVar("Result")

AHEAD = 2  # blocks a worker that may be finished and wait for their turn: memory stays constant while one block takes long


def by_processes(blocks: Iterator[Block], work: Callable[[Block], Result], workers: int) -> Generator[Result]:
    """What `work` makes of each block, in their order; a process is started when there is a block for it.

    Raises
    ------
    WorkerError
        for a block over which two processes died.
    """
    crew: list[_Worker] = []
    unread = one_ahead(enumerate(blocks))
    finished: dict[int, Result] = {}
    turn = 0
    try:
        coming = next(unread, None)
        while True:
            while coming is not None and coming[0] < turn + AHEAD * workers:
                worker = next((w for w in crew if w.block is None), None)
                if worker is None and len(crew) == workers:
                    break
                if worker is None:
                    crew.append(worker := _Worker(work))
                worker.give(*coming)
                coming = next(unread, None)
            busy = {w.pipe: w for w in crew if w.block is not None}
            for pipe in wait(list(busy), timeout=0 if turn in finished else None) if busy else ():
                worker = busy[pipe]  # type: ignore[index]
                try:
                    finished[worker.number] = worker.result()
                except _DiedError:
                    crew[crew.index(worker)] = worker.replaced(work)
            if turn in finished:
                yield finished.pop(turn)
                turn += 1
            elif coming is None and not busy:
                return
    finally:
        for worker in crew:
            worker.end()
        unread.close()


class _DiedError(Exception):
    """A worker is no more."""


class _Worker:
    """A process, our end of its pipe, and the block that it has in hand."""

    def __init__(self, work: Callable[[Block], Any]) -> None:
        context = multiprocessing.get_context("spawn")  # a fork would copy locks that other threads hold
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=_serve, args=(theirs, work), daemon=True)
        with _stops_held_back():
            self.process.start()
        theirs.close()  # the only other end is the process's: when that ends, ours knows
        self.number = -1
        self.block: Block | None = None
        self.again = False

    def give(self, number: int, block: Block | None, again: bool = False) -> None:
        self.number, self.block, self.again = number, block, again
        with suppress(OSError):  # it has died: `result` meets that
            self.pipe.send(block)

    def result(self) -> Any:
        try:
            result, error = self.pipe.recv()
        except (EOFError, OSError):
            raise _DiedError from None
        self.block = None
        if error is not None:
            raise error
        return result

    def replaced(self, work: Callable[[Block], Any]) -> _Worker:
        self.process.join()
        code = self.process.exitcode or 0
        self.end()
        if self.again:
            killed = f"the system or somebody killed it by signal {-code}; was there memory enough?"
            ended = f"it ended with code {code}; a script that asks for workers needs its `if __name__ == \"__main__\":`"
            raise WorkerError(f"{self.block}: a second worker process has died over them ({killed if code < 0 else ended})")
        other = _Worker(work)
        other.give(self.number, self.block, again=True)
        return other

    def end(self) -> None:
        self.pipe.close()  # one that waits for a block ends by itself
        if self.block is not None:
            self.process.terminate()
        self.process.join()


@contextmanager
def _stops_held_back() -> Iterator[None]:
    """A process started in here does not hear a stop by hand: that is the parent's to handle, which then ends it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # started in here, with the first process, it would let stops through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(pipe: Any, work: Callable[[Block], Any]) -> None:
    """What a worker does until its pipe is closed, or its parent is no more."""
    with suppress(EOFError, OSError):
        while True:
            block = pipe.recv()
            answer: tuple[Any, Exception | None]
            try:
                answer = work(block), None
            except Exception as error:
                if not isinstance(error, LenscalcError):
                    error.add_note(traceback.format_exc())  # where it arose is lost on the way otherwise
                answer = None, error
            pipe.send(answer)
