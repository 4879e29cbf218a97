"""A file through the chain, block by block."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from itertools import islice
from typing import Any, NamedTuple

from lenscalc.batch.block import Block, ms_a_row, rows_of_a_block
from lenscalc.batch.columns import Heading, heading_of, not_read_as_u
from lenscalc.batch.evaluating import Evaluating
from lenscalc.batch.read import read_blocks
from lenscalc.batch.statement import state_of_files, statement, whole_statement
from lenscalc.batch.workers import check_place, computed
from lenscalc.batch.write import target_of
from lenscalc.decision import ToleranceTable, shipped_tolerance_table
from lenscalc.errors import FileError, InputError, WorkerError
from lenscalc.own_file import path_of


class Done(NamedTuple):
    """How many rows went through, how many of them have a problem, and what is worth knowing about the columns; `resumed` were there already."""

    rows: int
    problems: int
    notes: tuple[str, ...] = ()
    resumed: int = 0


def run_batch(
    source: str,
    target: str,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    block_rows: int | None = None,
    resume: bool = False,
    separator: str | None = None,
    decimal: str | None = None,
    workers: int | None = 0,
    cluster: str | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> Done:
    """Evaluate a file of rows, or a design of a sweep, into another file; memory does not grow with its length.

    The result appears under its name when it is whole, with a statement of where it comes from. Until then the finished blocks lie in
    `TARGET.unfinished`; with `resume` a run goes on behind them, to the same bytes. CSV and a folder of parts always keep finished blocks, one
    .parquet file only with `resume`, since it then has to be written twice. `on_progress(rows done, rows in all)`: the second is an estimate for
    CSV, 0 if unknown. A block has `block_rows` rows, by default 65,536, or fewer of what takes long.

    Blocks are computed in this process, by `workers` processes of this machine (None: as many as pay; a script that asks for them needs its
    `if __name__ == "__main__":`), or on a `cluster` by the address of its Dask scheduler: the bytes are the same. A worker that dies costs its
    block a second try.

    Raises
    ------
    FileError, InputError
        for a file or a table that cannot be used, or a resumed run whose input or settings are not those it began with; a bad row is kept with its
        problem instead.
    WorkerError
        where workers cannot be had, or die twice over one block; finished blocks are kept.
    """
    if source != "-" and target != "-" and path_of(source).resolve() == path_of(target).resolve():
        raise FileError(f"{target}: the results would overwrite the table they come from; give another name")
    if source == "-" and resume:
        raise InputError("a pipe cannot be gone on with: it cannot be read again; write what it brings to a file first")
    check_place(workers, cluster)
    tolerance_table = tolerance_table or shipped_tolerance_table()
    block_rows = rows_of_a_block(compute) if block_rows is None else block_rows
    read = read_blocks(source, block_rows, separator=separator, decimal=decimal, checksum=(pipe := hashlib.sha256()))
    before = state_of_files(source) if source != "-" else ()
    identity = statement(
        source, compute=compute, constants=constants, tolerance_table=tolerance_table, block_rows=block_rows, separator=separator, decimal=decimal
    )
    out = target_of(target, identity, resume=resume)
    rows = problems = resumed = 0
    heading: Heading | None = None
    keep = False  # what a broken input has left is of no use; what a stop or a full disk has left is

    def headed(blocks: Iterator[Block]) -> Iterator[Block]:
        nonlocal heading
        for block in blocks:
            heading = heading_of(tuple(block.columns), tuple(constants or ()))
            yield block

    def kept() -> str:
        return f"; finished rows are kept in {out.kept}: go on with --resume, or delete it" if out.kept and rows else ""

    blocks = headed(read)
    try:
        entries = out.start(resume=resume)
    except OSError as error:
        raise error if isinstance(error, FileError) else FileError(f"{target}: {error.strerror or error}; nothing was begun") from None
    try:
        for entry, _ in zip(entries, islice(blocks, len(entries)), strict=True):
            rows, problems = rows + entry.rows, problems + entry.problems
        resumed = rows
        work = Evaluating(tuple(compute), dict(constants or {}), tolerance_table, out.encode)
        each = ms_a_row(compute) + out.ms_a_row
        with closing(computed(blocks, work, workers=workers, cluster=cluster, ms_a_row=each)) as evaluated:
            for data, size, wrong, in_all in evaluated:
                out.append(data, size, wrong)
                rows, problems = rows + size, problems + wrong
                if on_progress:
                    on_progress(rows, in_all)
        if source == "-":
            identity["input"]["sha256"] = pipe.hexdigest()
        elif state_of_files(source) != before:
            raise FileError(f"{source}: was changed while it was read; run again")
        out.finish(whole_statement(identity, rows=rows, problems=problems, own=heading.own if heading else (), converted=_converted(heading)))
    except BrokenPipeError:
        raise
    except (FileError, InputError):
        raise
    except OSError as error:
        keep = rows > 0
        room = kept().replace("go on", "make room and go on")
        raise FileError(f"{target}: {error.strerror or error}; nothing stands under this name that was not there before{room}") from None
    except WorkerError as error:
        keep = rows > 0
        raise WorkerError(f"{error}{kept()}") from None
    except BaseException:
        keep = rows > 0
        raise
    else:
        keep = True
    finally:
        read.close()
        out.give_up(keep=keep)
    return Done(rows, problems, notes_of(heading), resumed)


def _converted(heading: Heading | None) -> dict[str, str]:
    return {heading.names[n]: f"{n}: {c.unit}" for n, c in heading.conversions.items()} if heading else {}


def notes_of(heading: Heading | None) -> tuple[str, ...]:
    """What is worth knowing about the columns of a table."""
    if heading is None:
        return ()
    notes = []
    if heading.perhaps_u:
        notes.append(not_read_as_u(heading.perhaps_u, "n_lens"))
    notes += [f"Converted, as the heading says: {n!r} to {heading.names[n]}." for n in heading.conversions]
    if heading.in_words:
        notes.append(f"Headings in words, taken for the columns of that label: {'; '.join(heading.in_words)}.")
    if heading.own:
        notes.append(f"Columns that lenscalc does not know, carried along untouched and not used: {', '.join(heading.own)}.")
    return tuple(notes)
