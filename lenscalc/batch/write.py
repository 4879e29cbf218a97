"""Files out: blocks of columns into CSV, Parquet or Excel. A result appears under its name only when it is whole."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, Protocol

from lenscalc.batch.csv_target import CsvTarget, PipeTarget
from lenscalc.batch.excel_target import ExcelTarget
from lenscalc.batch.legend import Explained
from lenscalc.batch.parquet_target import OneParquetTarget, PartsTarget, check_ours
from lenscalc.batch.read import ending_of, read_blocks
from lenscalc.batch.unfinished import Entry, Unfinished
from lenscalc.errors import FileError, InputError
from lenscalc.own_file import path_of, refuse_device

_OF_A_RESULT = {"problem", "rank"}  # of a batch or a day, and of a ranking
WRITES = ".csv, .csv.gz, .csv.zst, .parquet, .xlsx, or a name that ends with / for a folder of .parquet parts"


class Target(Protocol):
    """Where blocks go. `ms_a_row`: what making text of a row takes, about; 0 where the work is done outside of the interpreter."""

    ms_a_row: float

    @property
    def encode(self) -> Callable[..., Any]:
        """`(columns, types, first=)`: the block as it will be appended; it travels, and does its work wherever the block is computed."""

    def start(self, *, resume: bool) -> list[Entry]:
        """Blocks that are there already."""

    def append(self, data: Any, rows: int, problems: int) -> None:
        """One more encoded block, written and noted."""

    def finish(self, statement: Mapping[str, Any]) -> None:
        """Put the whole result under its name."""

    def give_up(self, *, keep: bool) -> None:
        """Close what is open; keep the finished blocks if they can be gone on with."""

    @property
    def kept(self) -> Path | None:
        """Where finished blocks lie, if they can be gone on with."""


def target_of(path: str, identity: Mapping[str, Any], *, resume: bool = False) -> Target:
    """The way to write a name: its ending says which kind it is, `-` is CSV to standard output.

    Raises
    ------
    FileError
        for an ending that is not written here, a folder that is not there, or a table under this name that is no result.
    InputError
        for `resume` where nothing can be gone on with.
    """
    if path == "-" or ending_of(path) == ".xlsx":
        if resume:
            raise InputError(f"{path}: a {'pipe' if path == '-' else 'workbook'} cannot be gone on with; write .csv or .parquet")
        if path == "-":
            return PipeTarget()
        _check_folder(path)
        refuse_a_table(path)
        return ExcelTarget(path, Unfinished(path, {"kind": ".xlsx"}))
    folder = path.endswith(("/", os.sep)) or path_of(path).is_dir()
    ending = "/" if folder else ending_of(path)
    if ending not in ("/", ".csv", ".csv.gz", ".csv.zst", ".parquet"):
        raise FileError(f"{path}: {ending or 'a name without an ending'} is not written here; use {WRITES}")
    _check_folder(path)
    state = Unfinished(path, {**identity, "kind": ending})
    if ending == "/":
        check_ours(Path(path))
        return PartsTarget(path, state, joined=False)
    refuse_a_table(path)
    if ending == ".parquet":
        return PartsTarget(path, state, joined=True) if resume else OneParquetTarget(path, state)
    return CsvTarget(path, state)


def write_blocks(path: str, blocks: Iterable[dict[str, Any]], *, explained: Sequence[Explained] = ()) -> int:
    """Write blocks of equal columns; returns the number of rows. `-` is CSV to standard output.

    What is `explained` besides the columns stands in the legend of a workbook; no other kind of file has one.

    Raises
    ------
    FileError
        for an ending that is not written here, a folder that is not there, a table under this name that is no result, or more rows than Excel holds.
    """
    target = target_of(path, {})
    if isinstance(target, ExcelTarget):
        target.book.explained = explained
    rows = 0
    if target.kept:
        Unfinished(path, {}).drop()
    target.start(resume=False)
    try:
        for columns in blocks:
            size = len(next(iter(columns.values())))
            target.append(target.encode(columns, {}, first=rows == 0), size, 0)
            rows += size
        target.finish({})
    except BaseException:
        target.give_up(keep=False)
        raise
    return rows


def refuse_a_table(path: str) -> None:
    """Refuse the name of a table that is no result: results can be computed again, what somebody has filled in is lost when it is written over.

    Raises
    ------
    FileError
    """
    there = path_of(path)
    if not there.is_file() or not there.stat().st_size:
        return
    try:
        with closing(read_blocks(path, 1)) as blocks:
            names = set(next(blocks).columns)
    except FileError:
        names = set()
    if not names & _OF_A_RESULT:
        raise FileError(f"{path}: is there already, and is no result that could be computed again; give another name, or remove it yourself")


def _check_folder(path: str) -> None:
    if not path_of(path).resolve().parent.is_dir():
        raise FileError(f"{path}: the folder is not there")
    refuse_device(path)
