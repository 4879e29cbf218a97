"""Records that this store adds: sheets that were computed, and the withdrawal of one that should not stand. The caller holds the lock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection

from lenscalc.errors import FileError
from lenscalc.records.canonical import hash_of, sha256_of
from lenscalc.records.made_by import made_by
from lenscalc.records.query import found, next_place, refuse_twice, sheet_text, to_be_superseded
from lenscalc.records.record import DETERMINATION, WITHDRAWAL, Record
from lenscalc.records.rows import as_kept, insert_record

_A_YEAR_days = 366


def add_computed(
    connection: Connection, done: Iterable[tuple[str, str, Mapping[str, Any]]], supersedes: str | None, because: str | None
) -> list[Record]:
    """Sheets as text, name and the sections that were computed of them, each as a record that follows the one before.

    Raises
    ------
    InputError
        where this very sheet is kept already, or the record to be superseded is not there or no longer stands.
    FileError
        where what was written does not read back as it was.
    """
    old = to_be_superseded(connection, supersedes) if supersedes is not None else None
    place, by, hashes = next_place(connection, DETERMINATION), made_by(), []
    for text, name, sections in done:
        refuse_twice(connection, sha256_of(text), name, old)
        record = {**place, "supersedes": old, "because": because, "sheet_name": name, "sheet_sha256": sha256_of(text), **by}
        hashes.append(insert_record(connection, as_kept({"record": record, **sections}), text))
        place = {**place, "number": place["number"] + 1, "previous": hashes[-1:]}
    return [_read_back(connection, name) for name in hashes]


def withdraw(connection: Connection, name: str, because: str) -> Record:
    """A record of its own that says of another that it does not stand, with nothing in its place. It names the same sheet.

    Raises
    ------
    InputError
        where the record is not there, no longer stands, or is a withdrawal itself.
    """
    old = to_be_superseded(connection, name)
    kept = found(connection, [old])[0].section("record")
    record = {
        **next_place(connection, WITHDRAWAL), "supersedes": old, "because": because, "sheet_name": kept["sheet_name"],
        "sheet_sha256": kept["sheet_sha256"], **made_by(),
    }  # fmt: skip
    return _read_back(connection, insert_record(connection, as_kept({"record": record}), sheet_text(connection, kept["sheet_sha256"])))


def clock_in_words(record: Record, before: Iterable[Record]) -> str:
    """What is to be said where one of the records before is later by its time than the one that follows: the chain keeps the order, not the clock."""
    latest = max((r.added_at_utc for r in before), default="")
    if latest <= record.added_at_utc:
        return ""
    return (
        f"by the clock of this computer it is {record.added_at_utc[:19]} UTC; the record before was added at {latest[:19]}: a clock was set back, "
        "or two computers' clocks differ. The order of the records does not depend on it; set the clock before you add more"
    )


def day_in_words(record: Record) -> str:
    """What is to be said of readings that are dated long after they were kept: another calendar counts other years."""
    ahead = date.fromisoformat(record.day) - date.fromisoformat(record.added_at_utc[:10])
    if ahead.days <= _A_YEAR_days:
        return ""
    return (
        f"record {record.id} is of readings of {record.day}, and was kept on {record.added_at_utc[:10]}: is it the year of another calendar, or "
        "mistyped? Days are written as 2026-11-20; mend the sheet and add it with --supersedes, or it stands last in every list and chart"
    )


def _read_back(connection: Connection, name: str) -> Record:
    (added,) = found(connection, [name])
    if hash_of(added.content) != added.hash:
        raise FileError("what was written does not read back as it was; nothing was added")
    return added
