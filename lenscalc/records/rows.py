"""A record's sections and the tables that hold them: written once, read back as they were."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, Table, insert, select
from sqlalchemy.types import TypeEngine

from lenscalc.errors import InputError
from lenscalc.records import tables as t
from lenscalc.records.canonical import Content, hash_of
from lenscalc.records.fields import column_value, field_of

_BLOCK = 200  # records read at once


@dataclass(frozen=True)
class Section:
    """A section of a record: its table, whether a record has one row of it, and the select that reads it, its fields as labels."""

    name: str
    table: Table
    is_one: bool
    read: Select[Any]

    @property
    def fields(self) -> dict[str, TypeEngine[Any]]:
        """The type of each field."""
        return {c.name: c.type for c in self.read.selected_columns if c.name != "record_id"}


def _plain(name: str, table: Table, *, one: bool = False) -> Section:
    return Section(name, table, one, select(*table.c).order_by(*table.primary_key.columns))


_SESSION = (
    select(
        *(c for c in t.sessions.c if c.name not in ("specimen_id", "instrument_id")), t.materials.c.name.label("material"),
        t.lots.c.name.label("lot"), t.specimens.c.name.label("specimen"), t.instruments.c.name.label("instrument"),
        t.instruments.c.kind.label("instrument_kind"),
    )
    .select_from(t.sessions).join(t.specimens, t.specimens.c.id == t.sessions.c.specimen_id)
    .join(t.materials, t.materials.c.id == t.specimens.c.material_id).join(t.lots, t.lots.c.id == t.specimens.c.lot_id, isouter=True)
    .join(t.instruments, t.instruments.c.id == t.sessions.c.instrument_id).order_by(t.sessions.c.record_id)
)  # fmt: skip
_LISTS = (
    select(
        *(c for c in t.reading_lists.c if c.name != "reference_id"),
        *(c.label(f"reference_{c.name}") for c in t.reference_standards.c if c.name != "id"),
    )
    .select_from(t.reading_lists).join(t.reference_standards, t.reference_standards.c.id == t.reading_lists.c.reference_id, isouter=True)
    .order_by(t.reading_lists.c.record_id, t.reading_lists.c.position)
)  # fmt: skip
SECTIONS = (
    Section("session", t.sessions, True, _SESSION),
    Section("lists", t.reading_lists, False, _LISTS),
    _plain("readings", t.readings),
    _plain("corrections", t.corrections),
    _plain("index", t.index_results, one=True),
    _plain("steps", t.index_steps),
    _plain("budget", t.budget_lines),
    _plain("dimensions", t.lens_dimensions),
    _plain("lens", t.lens_results, one=True),
    _plain("decision", t.decisions, one=True),
    _plain("remarks", t.remarks),
)
_RECORD = {c.name: c.type for c in t.records.c if c.name not in ("id", "hash", "tolerance_sha256")}
_EDITION = {name: t.tolerance_tables.c[name].type for name in ("edition", "seen", "note")}
_BAND = {name: t.tolerance_bands.c[name].type for name in ("position", "up_to_D", "tolerance_D")}


@dataclass(frozen=True, eq=False)
class Kept:
    """A record as the tables hold it: its row's number, the hash it was given, and its content as it reads now."""

    row: int
    hash: str
    content: Content


def contents(connection: Connection, rows: Sequence[int] | None = None, sections: Collection[str] | None = None) -> Iterator[Kept]:
    """The records of these rows, or all, in the order in which this store got them; for a long list only with these sections beside `record`."""
    if rows is None:
        rows = list(connection.execute(select(t.records.c.id).order_by(t.records.c.id)).scalars())
    for start in range(0, len(rows), _BLOCK):
        yield from _block(connection, rows[start : start + _BLOCK], sections)


def _block(connection: Connection, rows: Sequence[int], sections: Collection[str] | None) -> list[Kept]:
    found = connection.execute(select(t.records).where(t.records.c.id.in_(rows)).order_by(t.records.c.id)).mappings().all()
    content: dict[int, dict[str, Any]] = {}
    tolerances: dict[str, dict[str, Any]] = {}
    for r in found:
        content[r["id"]] = {"record": {**_fields(r, _RECORD), "previous": []}}
        if r["tolerance_sha256"] is not None and (sections is None or "tolerance" in sections):
            if r["tolerance_sha256"] not in tolerances:
                tolerances[r["tolerance_sha256"]] = _tolerance(connection, r["tolerance_sha256"])
            content[r["id"]]["tolerance"] = tolerances[r["tolerance_sha256"]]
    p = t.record_previous
    for row in connection.execute(select(p).where(p.c.record_id.in_(rows)).order_by(p.c.record_id, p.c.position)).mappings():
        content[row["record_id"]]["record"]["previous"].append(row["previous"])
    for section in SECTIONS:
        if sections is not None and section.name not in sections:
            continue
        fields = section.fields
        for row in connection.execute(section.read.where(section.table.c.record_id.in_(rows))).mappings():
            values = _fields(row, fields)
            if section.is_one:
                content[row["record_id"]][section.name] = values
            else:
                content[row["record_id"]].setdefault(section.name, []).append(values)
    return [Kept(r["id"], r["hash"], content[r["id"]]) for r in found]


def _tolerance(connection: Connection, sha256: str) -> dict[str, Any]:
    b = t.tolerance_bands
    table = connection.execute(select(t.tolerance_tables).where(t.tolerance_tables.c.sha256 == sha256)).mappings().first()
    if table is None:  # removed by somebody: the record no longer gives its hash
        return {}
    bands = connection.execute(select(b).where(b.c.tolerance_sha256 == sha256).order_by(b.c.position)).mappings()
    return {
        **_fields(table, _EDITION),
        "bands": [_fields(band, _BAND) for band in bands],
    }


def as_kept(content: Content) -> dict[str, Any]:
    """The content as it will read back from the tables: every field of its column's type.

    Raises
    ------
    InputError
        for a section or a field that no table has, or a value of another type than its column's.
    """
    _refuse_strange(content, {"record", "tolerance", *(s.name for s in SECTIONS)}, "section")
    record = dict(content["record"])
    previous = [str(name) for name in record.pop("previous", [])]
    kept: dict[str, Any] = {"record": {**_normal(record, _RECORD, "record"), "previous": previous}}
    if content.get("tolerance"):
        tolerance = dict(content["tolerance"])
        bands = [_normal(band, _BAND, "band") for band in tolerance.pop("bands", [])]
        kept["tolerance"] = {**_normal(tolerance, _EDITION, "tolerance"), "bands": bands}
    for section in SECTIONS:
        given = content.get(section.name)
        if given:
            rows = [_normal(r, section.fields, section.name) for r in ([given] if section.is_one else given)]
            kept[section.name] = rows[0] if section.is_one else rows
    return kept


def insert_record(connection: Connection, content: Content, sheet_text: str) -> str:
    """Write a whole record (`as_kept`) into the tables and return its hash; the caller holds the lock and ends the transaction."""
    record, name = dict(content["record"]), hash_of(content)
    previous = record.pop("previous", [])
    values = _typed(record, _RECORD, "record")
    _find_or_add(connection, t.sheets, {"sha256": values["sheet_sha256"]}, {"text": sheet_text})
    values["tolerance_sha256"] = _add_tolerance(connection, content["tolerance"]) if content.get("tolerance") else None
    row = connection.execute(insert(t.records).values(hash=name, **values).returning(t.records.c.id)).scalar_one()
    if previous:
        connection.execute(insert(t.record_previous), [{"record_id": row, "position": i, "previous": p} for i, p in enumerate(previous, 1)])
    for section in SECTIONS:
        given = content.get(section.name)
        if not given:
            continue
        typed = [_typed(r, section.fields, section.name) for r in ([given] if section.is_one else given)]
        connection.execute(insert(section.table), [{"record_id": row, **_placed(connection, section, r)} for r in typed])
    return name


def _placed(connection: Connection, section: Section, values: dict[str, Any]) -> dict[str, Any]:
    """The row of a section with the keys of what it names: specimen, instrument, reference."""
    if section.table is t.sessions:
        material = _find_or_add(connection, t.materials, {"name": values.pop("material")})
        lot_name, specimen_name = values.pop("lot"), values.pop("specimen")
        lot = _find_or_add(connection, t.lots, {"material_id": material, "name": lot_name}) if lot_name is not None else None
        values["specimen_id"] = _find_or_add(connection, t.specimens, {"material_id": material, "lot_id": lot, "name": specimen_name})
        instrument = {"name": values.pop("instrument"), "kind": values.pop("instrument_kind")}
        values["instrument_id"] = _find_or_add(connection, t.instruments, instrument)
    if section.table is t.reading_lists:
        reference = {c.name: values.pop(f"reference_{c.name}") for c in t.reference_standards.c if c.name != "id"}
        values["reference_id"] = _find_or_add(connection, t.reference_standards, reference) if reference["name"] is not None else None
    return values


def _add_tolerance(connection: Connection, tolerance: Mapping[str, Any]) -> str:
    sha256, b = hash_of(tolerance), t.tolerance_bands
    if connection.execute(select(t.tolerance_tables.c.sha256).where(t.tolerance_tables.c.sha256 == sha256)).first() is None:
        connection.execute(insert(t.tolerance_tables).values(sha256=sha256, **{name: tolerance.get(name) for name in _EDITION}))
        connection.execute(insert(b), [{"tolerance_sha256": sha256, **_typed(band, _BAND, "band")} for band in tolerance["bands"]])
    return sha256


def _find_or_add(connection: Connection, table: Table, key: Mapping[str, Any], more: Mapping[str, Any] | None = None) -> Any:
    """The primary key of the row with these values, written if there is none yet."""
    (primary,) = table.primary_key.columns
    same = [table.c[name].is_(None) if value is None else table.c[name] == value for name, value in key.items()]
    found = connection.execute(select(primary).where(*same)).scalar()
    return found if found is not None else connection.execute(insert(table).values(**key, **(more or {})).returning(primary)).scalar_one()


def _typed(values: Mapping[str, Any], fields: Mapping[str, TypeEngine[Any]], section: str) -> dict[str, Any]:
    _refuse_strange(values, fields, f"field of {section}")
    return {name: column_value(f"{section}.{name}", values.get(name), kind) for name, kind in fields.items()}


def _normal(values: Mapping[str, Any], fields: Mapping[str, TypeEngine[Any]], section: str) -> dict[str, Any]:
    """The fields that are given, as they read back."""
    return _fields(_typed(values, fields, section), fields)


def _fields(row: Mapping[Any, Any], fields: Mapping[str, TypeEngine[Any]]) -> dict[str, Any]:
    return {name: value for name, kind in fields.items() if (value := field_of(row[name], kind)) is not None}


def _refuse_strange(values: Mapping[str, Any], known: Any, what: str) -> None:
    strange = [name for name in values if name not in known]
    if strange:
        raise InputError(f"{what} {strange[0]!r} is not known to this version: a newer one wrote it")
