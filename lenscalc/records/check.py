"""Whether a store still holds what was added to it: every record against its hash, every link of the chains, the locks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select, text

from lenscalc.errors import InputError
from lenscalc.quantities import counted
from lenscalc.records import tables as t
from lenscalc.records.canonical import hash_of, head_of, sha256_of
from lenscalc.records.database import Database
from lenscalc.records.migrations.locks import name_of
from lenscalc.records.query import tips
from lenscalc.records.record import SHORT, WITHDRAWAL
from lenscalc.records.rows import Kept, contents
from lenscalc.records.whole import lacking

_BLOCK = 200  # records read at once
_TRIGGERS = """
SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid JOIN pg_namespace ON pg_namespace.oid = relnamespace
 WHERE NOT tgisinternal AND tgenabled <> 'D' AND nspname = current_schema()
"""


@dataclass(frozen=True, eq=False)
class Checked:
    """What was found: `problems` say what is no longer as it was added; `remarks` what is possible, but should be known."""

    records: int
    head: str
    problems: tuple[str, ...]
    remarks: tuple[str, ...]


def checked(database: Database, head: str | None = None) -> Checked:
    """Check everything; `head` is one that was printed earlier, for the records of the time must be there still.

    Raises
    ------
    InputError
        for a head that is not the whole hash.
    """
    wanted = head.strip().lower() if head is not None else None
    if wanted is not None and (len(wanted) != 64 or not set(wanted) <= set("0123456789abcdef")):
        raise InputError(f"head {head!r}: give all 64 hexadecimal digits, as they are printed")
    with database.reading() as connection:
        return checked_through(connection, wanted)


def checked_through(connection: Connection, head: str | None = None) -> Checked:
    """Check what a connection sees."""
    is_file = connection.dialect.name == "sqlite"
    problems = [*_damage(connection, is_file), *_locks(connection, is_file), *_strays(connection)]
    remarks: list[str] = []
    chain = _Chain()
    for kept in _readable(connection, problems):
        problems += _record(kept)
        chain.add(kept)
    problems += [*_texts(connection), *chain.problems, *chain.gaps()]
    remarks += [*chain.forks(), *chain.remarks]
    now = head_of(tips(connection))
    if head is not None:
        told, good = chain.since(head, now)
        (remarks if good else problems).append(told)
    return Checked(len(chain.row), now, tuple(problems), tuple(remarks))


def in_words(hash_: str, record: Any) -> str:
    """A record for a sentence: its name, and its number in the store that added it."""
    return f"record {hash_[:SHORT]} (number {record['number']} of store {str(record['store'])[:8]})"


def _record(kept: Kept) -> Iterator[str]:
    if hash_of(kept.content) != kept.hash:
        yield f"{in_words(kept.hash, kept.content['record'])} was changed after it was added: its content no longer gives its hash"
    elif lacks := lacking(kept.content):
        yield f"{in_words(kept.hash, kept.content['record'])} lacks {lacks}, which every record has: another program made it"


def _readable(connection: Connection, problems: list[str]) -> Iterator[Kept]:
    """The records one by one; of one that does not read at all a problem is noted."""
    rows = list(connection.execute(select(t.records.c.id).order_by(t.records.c.id)).scalars())
    for start in range(0, len(rows), _BLOCK):
        block = rows[start : start + _BLOCK]
        try:
            yield from list(contents(connection, block))
            continue
        except (TypeError, ValueError, AttributeError):
            pass
        for row in block:
            try:
                yield from list(contents(connection, [row]))
            except (TypeError, ValueError, AttributeError):
                name = connection.execute(select(t.records.c.hash).where(t.records.c.id == row)).scalar()
                problems.append(f"record {str(name)[:SHORT]} was changed after it was added: it holds a value that its column cannot hold")


def _texts(connection: Connection) -> Iterator[str]:
    query = select(t.records.c.hash, t.records.c.store, t.records.c.number, t.records.c.sheet_sha256, t.sheets.c.text)
    for row in connection.execute(query.join(t.sheets, t.sheets.c.sha256 == t.records.c.sheet_sha256, isouter=True)).mappings():
        if row["text"] is None:
            yield f"{in_words(row['hash'], row)}: the text of its sheet was removed"
        elif sha256_of(row["text"]) != row["sheet_sha256"]:
            yield f"{in_words(row['hash'], row)}: the text of its sheet was changed after it was added"


class _Chain:
    """The links between records, gathered one by one in the order of the store."""

    def __init__(self) -> None:
        self.row: dict[str, int] = {}
        self.followed: dict[str, list[str]] = {}
        self.numbers: dict[str, dict[int, list[str]]] = {}
        self.added: dict[str, str] = {}
        self.superseded: dict[str, list[str]] = {}
        self.ends: dict[str, int] = {}
        self.problems: list[str] = []
        self.remarks: list[str] = []

    def add(self, kept: Kept) -> None:
        record, said = kept.content["record"], in_words(kept.hash, kept.content["record"])
        for previous in record["previous"]:
            if previous not in self.row:
                self.problems.append(f"{said} follows {previous[:SHORT]}, which does not stand before it: that one was removed, or the order changed")
            elif self.added[previous] > record["added_at_utc"]:
                self.remarks.append(
                    f"{said} was added at {record['added_at_utc'][:19]} and follows {previous[:SHORT]}, added at {self.added[previous][:19]}: "
                    "a clock was set back, or two computers' clocks differ"
                )
        if record.get("supersedes"):
            if record["supersedes"] not in self.row:
                does = "withdraws" if record["kind"] == WITHDRAWAL else "supersedes"
                self.problems.append(f"{said} {does} {record['supersedes'][:SHORT]}, which does not stand before it")
            self.superseded.setdefault(record["supersedes"], []).append(kept.hash)
            if len(self.superseded[record["supersedes"]]) == 2:
                self.remarks.append(
                    f"record {record['supersedes'][:SHORT]} is superseded or withdrawn more than once, here by {said}: look which of them holds"
                )
        self.row[kept.hash] = len(self.row) + 1
        self.added[kept.hash] = record["added_at_utc"]
        self.numbers.setdefault(record["store"], {}).setdefault(record["number"], []).append(kept.hash)
        self.ends.setdefault(head_of(record["previous"]), self.row[kept.hash])

    def gaps(self) -> Iterator[str]:
        """Numbers of a store that are not there."""
        for store, numbers in self.numbers.items():
            missing = sorted(set(range(1, max(numbers) + 1)) - set(numbers)) if max(numbers) < 10**7 else []
            for number in missing[:10]:
                yield f"number {number} of store {store[:8]} is missing: a record was removed"
            if len(missing) > 10:
                yield f"{counted(len(missing) - 10, 'more record')} of store {store[:8]} {'is' if len(missing) == 11 else 'are'} missing"

    def forks(self) -> Iterator[str]:
        """Numbers that a store gave twice."""
        for store, numbers in self.numbers.items():
            for number, hashes in sorted(numbers.items()):
                if len(hashes) > 1:
                    yield (
                        f"a fork: number {number} of store {store[:8]} was given {len(hashes)} times ({', '.join(h[:SHORT] for h in hashes)}): "
                        "two copies of one store were both added to; all of it is kept"
                    )

    def since(self, head: str, now: str) -> tuple[str, bool]:
        """What has become of an earlier head: a sentence, and whether all is well."""
        if head == now:
            return "the head is the one that was given: nothing was added since", True
        if head in self.row or head in self.ends:
            since = len(self.row) - self.row[head] if head in self.row else len(self.row) - self.ends[head] + 1
            return f"the store still holds what it held at the given head; what came since: {counted(since, 'record')}", True
        return "the store does not hold what it held at the given head: records were removed or written anew, or it is another store", False


def _damage(connection: Connection, is_file: bool) -> Iterator[str]:
    if not is_file:
        return
    for (said,) in connection.execute(text("PRAGMA integrity_check(10)")):
        if said != "ok":
            yield f"the file is damaged: {said}"


def _locks(connection: Connection, is_file: bool) -> Iterator[str]:
    """The triggers that refuse a change; without them nothing is wrong yet, but it could be."""
    if is_file:
        there = set(connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars())
    else:
        there = set(connection.execute(text(_TRIGGERS)).scalars())
    for table in t.metadata.tables:
        for what in ("UPDATE", "DELETE"):
            if name_of(table, what) not in there:
                yield f"the lock of table {table} against {what} is gone: its rows could be changed"


def _strays(connection: Connection) -> Iterator[str]:
    """Rows that name what is not there, whatever the database thinks of its own foreign keys; and keys that no content holds."""
    for table in t.metadata.sorted_tables:
        for key in table.foreign_keys:
            here, there = key.parent, key.column
            query = select(here).where(here.is_not(None), ~select(there).where(there == here).correlate(table).exists()).distinct()
            for value in connection.execute(query.limit(10)).scalars():
                yield f"table {table.name} names {here.name} {str(value)[:SHORT]}, which is not there: it was changed, or what it names was removed"
    of_lot = t.specimens.join(t.lots, t.lots.c.id == t.specimens.c.lot_id)
    for name in connection.execute(select(t.lots.c.name).select_from(of_lot).where(t.lots.c.material_id != t.specimens.c.material_id)).scalars():
        yield f"lot {name} was moved to another material than that of its specimens"
    p = t.record_previous
    for row in connection.execute(select(p.c.record_id).group_by(p.c.record_id).having(func.max(p.c.position) != func.count())).scalars():
        yield f"table record_previous does not count the records that row {row} follows from 1 on: it was changed"
