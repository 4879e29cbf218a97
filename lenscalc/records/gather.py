"""Records that another store added, taken into this one: what is here already is passed over, nothing here is changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from lenscalc.errors import FileError, InputError
from lenscalc.records import tables as t
from lenscalc.records.canonical import Content, hash_of, sha256_of
from lenscalc.records.record import SHORT
from lenscalc.records.rows import as_kept, insert_record
from lenscalc.records.whole import lacking


@dataclass(frozen=True)
class Gathered:
    """What was taken in: how many records are new, how many were here, and a sentence for every fork that came of it.

    `new`: the hashes of the new ones; `not_the_same`: a sentence for each of them that does not come out again, computed from its sheet.
    """

    added: int
    already_here: int
    forks: tuple[str, ...]
    new: tuple[str, ...] = ()
    not_the_same: tuple[str, ...] = ()


def gather(connection: Connection, coming: Iterable[tuple[str, Content]], text_of: Callable[[str], str], where: str) -> Gathered:
    """Take in records (hash, content), each after those that it follows; `text_of` gives a sheet's text by its checksum.

    Raises
    ------
    FileError
        for a record that does not give its hash, lacks what every record has, follows one that is nowhere, or whose sheet was changed: then nothing
        may be kept.
    """
    already = 0
    forks, new = [], []
    for name, content in coming:
        if _is_here(connection, name):
            already += 1
            continue
        try:
            kept = as_kept(content)
            gives_its_hash = hash_of(kept) == name
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            what = error if isinstance(error, InputError) else f"{type(error).__name__} {error}"
            raise FileError(f"{where}: record {name[:SHORT]} cannot be read: {what}; nothing was taken in") from None
        if not gives_its_hash:
            raise FileError(
                f"{where}: record {name[:SHORT]} was changed after it was added: its content does not give its hash; nothing was taken in"
            )
        if lacks := lacking(kept):
            raise FileError(f"{where}: record {name[:SHORT]} lacks {lacks}, which every record has: another program made it; nothing was taken in")
        for previous in kept["record"]["previous"]:
            if not _is_here(connection, previous):
                raise FileError(f"{where}: record {name[:SHORT]} follows {previous[:SHORT]}, which does not come before it; nothing was taken in")
        sheet = text_of(kept["record"]["sheet_sha256"])
        if sha256_of(sheet) != kept["record"]["sheet_sha256"]:
            raise FileError(f"{where}: the sheet of record {name[:SHORT]} was changed after it was added; nothing was taken in")
        store, number = kept["record"]["store"], kept["record"]["number"]
        query = select(func.min(t.records.c.hash)).where(t.records.c.store == store, t.records.c.number == number)
        other = connection.execute(query).scalar()
        if other is not None:
            forks.append(
                f"a fork: number {number} of store {store[:8]} is {other[:SHORT]} here and {name[:SHORT]} there: two copies of one store were both "
                "added to; both are kept"
            )
        insert_record(connection, kept, sheet)
        new.append(name)
    return Gathered(len(new), already, tuple(forks), tuple(new))


def _is_here(connection: Connection, name: str) -> bool:
    return connection.execute(select(t.records.c.id).where(t.records.c.hash == name)).first() is not None
