"""The order of records in time: each after those that it follows, whatever the clocks said.

A record names what it follows, and that is certain; the time in it is what a clock said, and a clock may be set back. So a record's moment is its
clock's, but never before that of a record it follows. Between records that know nothing of each other (two computers, merged later) clocks are all
there is. The order depends on the records alone: stores that hold the same ones give the same.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, select

from lenscalc.records import tables as t


def places(connection: Connection) -> dict[str, int]:
    """The place of every record of a store in that order, by its hash."""
    follows: dict[int, list[str]] = {}
    for row, previous in connection.execute(select(t.record_previous.c.record_id, t.record_previous.c.previous)):
        follows.setdefault(row, []).append(previous)
    reached: dict[str, tuple[datetime, int]] = {}  # the moment, and how many follow one another up to here
    r = t.records.c
    for row, name, added in connection.execute(select(r.id, r.hash, r.added_at_utc).order_by(r.id)):  # a store gets a record after what it follows
        before = [reached[previous] for previous in follows.get(row, ()) if previous in reached]
        reached[name] = max([added, *(moment for moment, _ in before)]), 1 + max((depth for _, depth in before), default=0)
    return {name: place for place, name in enumerate(sorted(reached, key=lambda name: (*reached[name], name)))}
