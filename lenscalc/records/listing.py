"""A long store's records a line each, the newest first, and only as many as are looked at: one question to the database, whatever its length."""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Date, FromClause, Select, func, select

from lenscalc.records import tables as t
from lenscalc.records.record import SHORT, WITHDRAWAL


class Line(NamedTuple):
    """One record in short; what it has not is None. `day` is that of the readings, or where the sheet does not say, of adding.

    `withdrawn`: why it was withdrawn.
    """

    hash: str
    day: str
    material: str
    lot: str | None
    specimen: str | None
    n_lens: float
    u_n_lens: float
    power_D: float | None
    u_power_D: float | None
    verdict: str | None
    superseded_by: str | None
    withdrawn: str | None = None

    @property
    def id(self) -> str:
        """The first digits of the hash, by which a record is called."""
        return self.hash[:SHORT]


class Filter(NamedTuple):
    """Which records: of a material, a lot, a span of days with both ends in it; superseded and withdrawn ones with them or not."""

    material: str | None = None
    lot: str | None = None
    since: date | None = None
    until: date | None = None
    superseded: bool = False


ALL = Filter()


def listed(connection: Connection, wanted: Filter, first: int, most: int) -> list[Line]:
    """The lines from this one on, counted from 0, the newest day first."""
    r, later = t.records, t.records.alias()
    of_this = later.c.supersedes == r.c.hash
    superseded_by = select(func.min(later.c.hash)).where(of_this, later.c.kind != WITHDRAWAL).scalar_subquery()
    withdrawn = select(func.min(later.c.because)).where(of_this, later.c.kind == WITHDRAWAL).scalar_subquery()
    query = _filtered(
        select(
            r.c.hash, _day(), t.materials.c.name, t.lots.c.name, t.specimens.c.name, t.index_results.c.n_lens, t.index_results.c.u_n_lens,
            t.lens_results.c.power_D, t.lens_results.c.u_power_D, t.decisions.c.verdict, superseded_by, withdrawn,
        ).select_from(
            _joined().join(t.index_results, t.index_results.c.record_id == r.c.id)
            .join(t.lens_results, t.lens_results.c.record_id == r.c.id, isouter=True)
            .join(t.decisions, t.decisions.c.record_id == r.c.id, isouter=True)
        ), wanted,
    )  # fmt: skip
    rows = connection.execute(query.order_by(_day().desc(), r.c.id.desc()).offset(first).limit(most))
    return [Line(hash_, day.isoformat(), *rest) for hash_, day, *rest in rows]


def counted(connection: Connection, wanted: Filter) -> int:
    """How many there are."""
    return int(connection.execute(_filtered(select(func.count()).select_from(_joined()), wanted)).scalar_one())


def lots_of(connection: Connection, material: str) -> list[str]:
    """The lots of a material."""
    query = select(t.lots.c.name).join(t.materials, t.materials.c.id == t.lots.c.material_id).where(t.materials.c.name == material)
    return sorted(connection.execute(query).scalars())


def materials_of(connection: Connection) -> list[str]:
    """The materials of the records."""
    return sorted(connection.execute(select(t.materials.c.name)).scalars())


def instruments_of(connection: Connection) -> list[str]:
    """The instruments by name, or by kind where the sheets do not name them."""
    return sorted(set(connection.execute(select(func.coalesce(t.instruments.c.name, t.instruments.c.kind))).scalars()))


def _joined() -> FromClause:
    return (
        t.records.join(t.sessions, t.sessions.c.record_id == t.records.c.id).join(t.specimens, t.specimens.c.id == t.sessions.c.specimen_id)
        .join(t.materials, t.materials.c.id == t.specimens.c.material_id).join(t.lots, t.lots.c.id == t.specimens.c.lot_id, isouter=True)
    )  # fmt: skip


def _filtered(query: Select[Any], wanted: Filter) -> Select[Any]:
    later = t.records.alias()
    if wanted.material is not None:
        query = query.where(t.materials.c.name == wanted.material)
    if wanted.lot is not None:
        query = query.where(t.lots.c.name == wanted.lot)
    if wanted.since is not None:
        query = query.where(_day() >= wanted.since)
    if wanted.until is not None:
        query = query.where(_day() <= wanted.until)
    if not wanted.superseded:
        query = query.where(~select(later.c.id).where(later.c.supersedes == t.records.c.hash).exists())
    return query


def _day() -> ColumnElement[Any]:
    return func.coalesce(t.sessions.c.read_on, func.date(t.records.c.added_at_utc), type_=Date)
