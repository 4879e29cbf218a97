"""What a store is asked: the records of a lot, the one whose hash begins so, those that nothing follows."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, func, select

from lenscalc.errors import FileError, InputError
from lenscalc.records import tables as t
from lenscalc.records.record import DETERMINATION, SHORT, WITHDRAWAL, Record, Withdrawal
from lenscalc.records.rows import contents

LEAST = 4  # digits that must be given of a hash


def tips(connection: Connection) -> list[str]:
    """The hashes of the records that nothing follows."""
    r, p = t.records, t.record_previous
    return list(connection.execute(select(r.c.hash).where(~select(p.c.previous).where(p.c.previous == r.c.hash).exists())).scalars())


def next_place(connection: Connection, kind: str) -> dict[str, Any]:
    """Where a new record of this kind stands: its number in this store, what it follows, and the time by the clock."""
    store = connection.execute(select(t.stores.c.id)).scalar_one()
    last = connection.execute(select(func.max(t.records.c.number)).where(t.records.c.store == store)).scalar()
    now = datetime.now(UTC).replace(tzinfo=None)
    return {
        "kind": kind, "store": str(store), "number": (last or 0) + 1, "added_at_utc": now.isoformat(timespec="microseconds") + "Z",
        "previous": sorted(tips(connection)),
    }  # fmt: skip


def full_hash(connection: Connection, name: str) -> str:
    """The hash that begins with these digits.

    Raises
    ------
    InputError
        where no record, or more than one, begins so.
    """
    digits = name.strip().lower()
    if len(digits) < LEAST or not set(digits) <= set("0123456789abcdef"):
        raise InputError(f"record {name!r}: a record is called by the first {LEAST} or more hexadecimal digits of its hash")
    # a span, which the index answers; "g" comes after every digit, and behind a whole hash it would be cut off by the column's length
    span = (t.records.c.hash >= digits, t.records.c.hash < digits + "g") if len(digits) < 64 else (t.records.c.hash == digits,)
    fit = list(connection.execute(select(t.records.c.hash).where(*span).limit(2)).scalars())
    if not fit:
        raise InputError(f"record {name!r}: there is none in this store; `lenscalc records list --all` shows what there is")
    if len(fit) > 1:
        raise InputError(f"record {name!r}: more than one begins so ({fit[0][:SHORT]}, {fit[1][:SHORT]}): give more digits")
    return str(fit[0])


def found(connection: Connection, hashes: Sequence[str], sections: Collection[str] | None = None) -> list[Record]:
    """The records with these hashes, in the order in which this store got them, whole or with these sections."""
    rows = [row for part in _parts(hashes) for row in connection.execute(select(t.records.c.id).where(t.records.c.hash.in_(part))).scalars()]
    later: dict[str, list[str]] = {}
    gone: dict[str, list[Withdrawal]] = {}
    r = t.records
    for part in _parts(hashes):
        query = select(r.c.supersedes, r.c.hash, r.c.kind, r.c.because).where(r.c.supersedes.in_(part)).order_by(r.c.hash)
        for old, new, kind, because in connection.execute(query):
            if kind == WITHDRAWAL:
                gone.setdefault(old, []).append(Withdrawal(new, because))
            else:
                later.setdefault(old, []).append(new)
    return [
        Record(kept.hash, kept.content, tuple(later.get(kept.hash, ())), tuple(gone.get(kept.hash, ())))
        for kept in contents(connection, sorted(rows), sections)
    ]


def wanted(
    connection: Connection, *, material: str | None, lot: str | None, since: str | None = None, until: str | None = None,
    superseded: bool = False, instrument: str | None = None, with_water: bool = False,
) -> list[str]:  # fmt: skip
    """The hashes of the records of a material, a lot and a span of days, superseded ones with them if wanted.

    `instrument`: only what was read with it; `with_water`: only where water was read as a reference.
    """
    r, later = t.records, t.records.alias()
    query = (
        select(r.c.hash, r.c.added_at_utc, t.sessions.c.read_on).join(t.sessions, t.sessions.c.record_id == r.c.id)
        .join(t.specimens, t.specimens.c.id == t.sessions.c.specimen_id).join(t.materials, t.materials.c.id == t.specimens.c.material_id)
        .join(t.lots, t.lots.c.id == t.specimens.c.lot_id, isouter=True)
    )  # fmt: skip
    if material is not None:
        query = query.where(t.materials.c.name == material)
    if lot is not None:
        query = query.where(t.lots.c.name == lot)
    if instrument is not None:
        own_name = func.coalesce(t.instruments.c.name, t.instruments.c.kind)
        query = query.join(t.instruments, t.instruments.c.id == t.sessions.c.instrument_id).where(own_name == instrument)
    if with_water:
        of_water = t.reading_lists.join(t.reference_standards, t.reference_standards.c.id == t.reading_lists.c.reference_id)
        water = select(t.reading_lists.c.record_id).select_from(of_water).where(t.reference_standards.c.kind == "water")
        query = query.where(r.c.id.in_(water))
    if not superseded:
        query = query.where(~select(later.c.id).where(later.c.supersedes == r.c.hash).exists())
    hashes = []
    for name, added, read_on in connection.execute(query):
        day = (read_on or added.date()).isoformat()
        if (since is None or day >= since) and (until is None or day <= until):
            hashes.append(name)
    return hashes


def sheet_text(connection: Connection, sha256: str) -> str:
    """The text of a sheet by its checksum.

    Raises
    ------
    FileError
        where it was removed.
    """
    found = connection.execute(select(t.sheets.c.text).where(t.sheets.c.sha256 == sha256)).scalar()
    if found is None:
        raise FileError(f"the text of the sheet {sha256[:SHORT]} was removed from the store: take it from the last backup or export")
    return str(found)


def to_be_superseded(connection: Connection, name: str) -> str:
    """The hash of a record that stands: nothing supersedes or withdraws it yet.

    Raises
    ------
    InputError
        where it is not there, no longer stands, or is a withdrawal.
    """
    old, r = full_hash(connection, name), t.records
    if connection.execute(select(r.c.kind).where(r.c.hash == old)).scalar() == WITHDRAWAL:
        raise InputError(f"record {old[:SHORT]} withdraws another and stays: if that one should stand after all, add its sheet again")
    by = connection.execute(select(r.c.hash, r.c.kind).where(r.c.supersedes == old).order_by(r.c.kind)).first()
    if by is not None and by.kind == WITHDRAWAL:
        raise InputError(f"record {old[:SHORT]} is withdrawn already, by {by.hash[:SHORT]}: add its sheet, mended, as a record of its own")
    if by is not None:
        raise InputError(f"record {old[:SHORT]} is superseded already, by {by.hash[:SHORT]}: take that one")
    return old


def refuse_twice(connection: Connection, sheet_sha256: str, name: str, superseded: str | None) -> None:
    """A sheet that stands in a record already is not added again: it would count twice.

    Raises
    ------
    InputError
        naming the record.
    """
    # the key of the sheets answers at once; among the records only a sheet that is there is looked for
    if connection.execute(select(t.sheets.c.sha256).where(t.sheets.c.sha256 == sheet_sha256)).first() is None:
        return
    r, later = t.records, t.records.alias()
    stands = ~select(later.c.id).where(later.c.supersedes == r.c.hash).exists()
    query = select(r.c.hash).where(r.c.sheet_sha256 == sheet_sha256, r.c.kind == DETERMINATION, stands)
    there = [h for h in connection.execute(query).scalars() if h != superseded]
    if there:
        raise InputError(
            f"{name}: this very sheet is kept already, as record {there[0][:SHORT]}; readings taken anew have a date or values of their own"
        )


def _parts(hashes: Sequence[str], size: int = 500) -> list[Sequence[str]]:
    return [hashes[i : i + size] for i in range(0, len(hashes), size)]
