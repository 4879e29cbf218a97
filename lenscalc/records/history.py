"""A lot's whole history, as one question in plain SQL that both databases answer."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Date, DateTime, text
from sqlalchemy.types import TypeEngine

from lenscalc.records.fields import field_of
from lenscalc.records.order import places

HISTORY_SQL = """
SELECT records.hash AS record, records.added_at_utc, sessions.read_on, materials.name AS material, specimens.name AS specimen, sessions.state,
       instruments.name AS instrument, instruments.kind AS instrument_kind, records.lenscalc,
       (SELECT count(*) FROM readings
          JOIN reading_lists ON reading_lists.record_id = readings.record_id AND reading_lists.position = readings.list
         WHERE readings.record_id = records.id AND reading_lists.purpose = 'specimen') AS readings,
       index_results.n_lens, index_results.u_n_lens, lens_results."power_D", lens_results."u_power_D",
       decisions."labelled_power_D", decisions.conformance_probability, decisions.verdict,
       CASE WHEN later.kind <> 'withdrawal' THEN later.hash END AS superseded_by,
       CASE WHEN later.kind = 'withdrawal' THEN later.hash END AS withdrawn_by, later.because
  FROM lots
  JOIN materials ON materials.id = lots.material_id
  JOIN specimens ON specimens.lot_id = lots.id
  JOIN sessions ON sessions.specimen_id = specimens.id
  JOIN instruments ON instruments.id = sessions.instrument_id
  JOIN records ON records.id = sessions.record_id
  JOIN index_results ON index_results.record_id = records.id
  LEFT JOIN lens_results ON lens_results.record_id = records.id
  LEFT JOIN decisions ON decisions.record_id = records.id
  LEFT JOIN records AS later ON later.supersedes = records.hash
 WHERE lots.name = :lot AND (materials.name = :material OR :any_material = 1)
 ORDER BY records.id
"""


def history(connection: Connection, lot: str, material: str | None) -> list[dict[str, Any]]:
    """The rows of the question, days and times as texts, in the order of time (`lenscalc.records.order`), one a record.

    After a merge a record may be superseded or withdrawn more than once; then its row names the first that supersedes it, by its hash.
    """
    times: dict[str, TypeEngine[Any]] = {"added_at_utc": DateTime(), "read_on": Date()}
    question = text(HISTORY_SQL).columns(**times)
    rows = connection.execute(question, {"lot": lot, "material": material or "", "any_material": int(material is None)}).mappings().all()
    place = places(connection)
    rows = sorted(rows, key=lambda row: (place[row["record"]], row["withdrawn_by"] or "", row["superseded_by"] or ""))
    once = {row["record"]: row for row in reversed(rows)}
    return [{**row, **{name: field_of(row[name], kind) for name, kind in times.items()}} for row in reversed(once.values())]
