"""A file through the chain, block by block."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from lenscalc.batch.block import BLOCK_ROWS, Block
from lenscalc.batch.columns import Heading, heading_of
from lenscalc.batch.read import read_blocks
from lenscalc.batch.statement import state_of_files, statement, whole_statement
from lenscalc.batch.write import target_of
from lenscalc.chain import evaluate
from lenscalc.decision import ToleranceTable, shipped_tolerance_table
from lenscalc.errors import FileError, InputError

# a table of labelled powers is no place for what the refraction would do: only where it is asked for by name
REFRACTION = ("refraction_shift_D", "u_refraction_shift_D")


class Done(NamedTuple):
    """How many rows went through, how many of them have a problem, and what is worth knowing about the columns; `resumed` were there already."""

    rows: int
    problems: int
    notes: tuple[str, ...] = ()
    resumed: int = 0


def evaluate_block(
    block: Block,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    total_rows: int | None = None,
) -> dict[str, Any]:
    """The block's own columns, followed by the computed ones, `problem` and `warning`.

    Quantities stand in their own units; every other column is untouched, and takes no part.
    """
    heading = heading_of(tuple(block.columns), tuple(constants or ()))
    table = heading.table(block)
    result = evaluate(heading.known(table), compute=compute, constants=constants, tolerance_table=tolerance_table, total_rows=total_rows)
    computed = {n: c for n, c in result.columns.items() if n not in REFRACTION or n in compute}
    _complain_of_clashes(heading, computed)
    problems, warnings = result.problems, result.warnings
    given = {n: np.full(block.size, v, dtype=object) for n, v in (constants or {}).items()}  # a verdict must not lose its label
    out = {**table, **given, **{n: c for n, c in computed.items() if n not in table}}
    for name in ("n_lens", "u_n_lens"):  # rows with a raw reading leave these cells empty: the index in use fills them
        if name in table and name in result.columns:
            empty = np.array([x is None or x != x or str(x).strip() == "" for x in table[name]], dtype=bool)
            out[name] = np.where(empty, result.columns[name].astype(object), table[name])
    for row, sentence in block.warnings.items():
        if not problems[row]:
            warnings[row] = f"{warnings[row]}; {sentence}" if warnings[row] else sentence
    for row, sentence in block.problems.items():
        problems[row], warnings[row] = sentence, ""
        for name in computed:
            if name not in table:
                out[name] = out[name].copy()
                out[name][row] = "" if out[name].dtype == object else np.nan
    return {**out, "problem": problems, "warning": warnings}


def _complain_of_clashes(heading: Heading, computed: Mapping[str, Any]) -> None:
    for name in heading.own:
        if name in computed:
            raise InputError(f"column {name!r}: the results have a column of this name; let yours begin with note_", quantity=name)


def run_batch(
    source: str,
    target: str,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    block_rows: int = BLOCK_ROWS,
    resume: bool = False,
    separator: str | None = None,
    decimal: str | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> Done:
    """Evaluate a file of rows, or a design of a sweep, into another file; memory does not grow with its length.

    The result appears under its name when it is whole, with a statement of where it comes from. Until then the finished blocks lie in
    `TARGET.unfinished`; with `resume` a run goes on behind them, to the same bytes. CSV and a folder of parts always keep finished blocks, one
    .parquet file only with `resume`, since it then has to be written twice. `on_progress(rows done, rows in all)`: the second is an estimate for
    CSV, 0 if unknown.

    Raises
    ------
    FileError, InputError
        for a file or a table that cannot be used, or a resumed run whose input or settings are not those it began with; a bad row is kept with its
        problem instead.
    """
    if source != "-" and target != "-" and Path(source).resolve() == Path(target).resolve():
        raise FileError(f"{target}: the results would overwrite the table they come from; give another name")
    if source == "-" and resume:
        raise InputError("a pipe cannot be gone on with: it cannot be read again; write what it brings to a file first")
    blocks = read_blocks(source, block_rows, separator=separator, decimal=decimal, checksum=(pipe := hashlib.sha256()))
    before = state_of_files(source) if source != "-" else ()
    identity = statement(
        source, compute=compute, constants=constants, tolerance_table=tolerance_table or shipped_tolerance_table(), block_rows=block_rows,
        separator=separator, decimal=decimal,
    )  # fmt: skip
    out = target_of(target, identity, resume=resume)
    rows = problems = resumed = 0
    heading: Heading | None = None
    keep = False  # what a broken input has left is of no use; what a stop or a full disk has left is
    try:
        entries = out.start(resume=resume)
    except FileError:
        raise
    except OSError as error:  # nothing of this run is there yet, and what an earlier one has left stays
        raise FileError(f"{target}: {error.strerror or error}; nothing was begun") from None
    try:
        for entry, block in zip(entries, islice(blocks, len(entries)), strict=True):
            heading = heading_of(tuple(block.columns), tuple(constants or ()))
            rows, problems = rows + entry.rows, problems + entry.problems
        resumed = rows
        for block in blocks:
            heading = heading_of(tuple(block.columns), tuple(constants or ()))
            total = round((rows + block.size) / block.share) if block.share > 0 else None
            columns = evaluate_block(block, compute=compute, constants=constants, tolerance_table=tolerance_table, total_rows=total)
            wrong = int(np.count_nonzero(columns["problem"] != ""))
            out.append(columns, block.types, wrong)
            rows, problems = rows + block.size, problems + wrong
            if on_progress:
                on_progress(rows, round(rows / block.share) if block.share > 0 else 0)
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
        kept = f"; finished rows are kept in {out.kept}: make room and go on with --resume, or delete it" if out.kept and keep else ""
        raise FileError(f"{target}: {error.strerror or error}; nothing stands under this name that was not there before{kept}") from None
    except BaseException:
        keep = rows > 0
        raise
    else:
        keep = True
    finally:
        out.give_up(keep=keep)
    return Done(rows, problems, notes_of(heading), resumed)


def _converted(heading: Heading | None) -> dict[str, str]:
    return {heading.names[n]: f"{n}: {c.unit}" for n, c in heading.conversions.items()} if heading else {}


def notes_of(heading: Heading | None) -> tuple[str, ...]:
    """What is worth knowing about the columns of a table."""
    if heading is None:
        return ()
    notes = [f"Converted, as the heading says: {n!r} to {heading.names[n]}." for n in heading.conversions]
    if heading.own:
        notes.append(f"Columns that lenscalc does not know, carried along untouched and not used: {', '.join(heading.own)}.")
    return tuple(notes)
