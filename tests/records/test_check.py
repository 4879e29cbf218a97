"""Whatever was changed behind the store's back is found, and named."""

from datetime import date, datetime, timedelta
from math import isfinite, nextafter

import pytest
from record_sheets import sheet
from sqlalchemy import Date, DateTime, Double, Integer, delete, select, text, update

from lenscalc.demo import demo_text
from lenscalc.errors import InputError
from lenscalc.records import open_store
from lenscalc.records import tables as t
from lenscalc.records.canonical import hash_of
from lenscalc.records.check import checked_through
from lenscalc.records.rows import as_kept, insert_record

NOT_OF_A_RECORD = {"stores"}  # the store's own name: what is added next begins a chain of another name


@pytest.fixture
def filled(store):
    """Two records that fill every table, and one after them."""
    added = [store.add_sheet(demo_text(name), name) for name in ("copolymer_b.toml", "copolymer_e.toml")]
    return store, [*added, store.add_sheet(sheet())]


def behind(store, *statements):
    """Run statements as somebody who may do everything: no triggers, no foreign keys."""
    with store.database.engine.connect() as connection:
        if store.database.is_file:
            raw = connection.connection.driver_connection
            raw.execute("PRAGMA foreign_keys = OFF")
            locks = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
            for name, _ in locks:
                raw.execute(f"DROP TRIGGER {name}")
        else:
            locks = []
            connection.execute(text("SET session_replication_role = replica"))
        for statement in statements:
            connection.execute(text(statement) if isinstance(statement, str) else statement)
        connection.commit()
        for _, sql in locks:
            raw.execute(sql)


def changed(value, kind):
    """The least change of a value that there is."""
    if value is None:
        return {Double: 0.5, Integer: 7, Date: date(2026, 1, 1), DateTime: datetime(2026, 1, 1)}.get(type(kind), "something")
    if isinstance(kind, Double):
        return nextafter(value, 1e9) if isfinite(value) else 1e300
    if isinstance(kind, Integer):
        return value + 1000
    if isinstance(kind, Date | DateTime):
        return value + timedelta(days=1)
    return value[:-1] + ("0" if value[-1:] != "0" else "1")


def test_a_whole_store_has_nothing_to_say(filled):
    store, records = filled
    found = store.check()
    assert (found.records, found.head, found.problems, found.remarks) == (3, records[-1].hash, (), ())


def test_every_column_of_every_table_is_watched(filled):
    store, _ = filled
    unseen = []
    with store.database.engine.connect() as connection:
        free = _unlocked(connection, store)
        for name in set(t.metadata.tables) - NOT_OF_A_RECORD:
            table = t.metadata.tables[name]
            keys = list(table.primary_key.columns)
            row = connection.execute(select(table).order_by(*keys).limit(1)).mappings().one()
            for column in table.c:
                with connection.begin_nested() as there:
                    other = changed(row[column.name], column.type)
                    here = [key == row[key.name] for key in keys]
                    assert connection.execute(update(table).where(*here).values({column.name: other})).rowcount == 1
                    if set(checked_through(connection).problems) <= free:
                        unseen.append((name, column.name, row[column.name], other))
                    there.rollback()
        assert set(checked_through(connection).problems) == free
    assert unseen == []


def _unlocked(connection, store):
    """No triggers and no foreign keys for this connection; what the check says of that."""
    if not store.database.is_file:
        connection.execute(text("SET session_replication_role = replica"))
        return set()
    connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")
    for trigger in connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars().all():
        connection.execute(text(f"DROP TRIGGER {trigger}"))
    return set(checked_through(connection).problems)


def test_a_changed_record_is_named_and_again_says_what(filled):
    store, records = filled
    behind(store, "UPDATE lens_results SET \"power_D\" = 22.0 WHERE record_id = 1")
    (problem,) = store.check().problems
    assert f"record {records[0].id} (number 1 of store" in problem
    assert "was changed after it was added" in problem
    again = store.again(store.record(records[0].id))
    assert [(d.field, d.then) for d in again.differences] == [("lens.power_D", 22.0)]
    assert not again.holds


def test_a_changed_sheet_is_found(filled):
    store, records = filled
    behind(store, "UPDATE sheets SET text = replace(text, 'B-03', 'B-04')")
    (problem,) = store.check().problems
    assert records[0].id in problem
    assert "the text of its sheet was changed" in problem


def _delete_statements(row):
    of_record = [table for table in t.metadata.tables.values() if "record_id" in table.c]
    return [*(delete(table).where(table.c.record_id == row) for table in of_record), delete(t.records).where(t.records.c.id == row)]


def test_a_removed_record_is_found(filled):
    store, records = filled
    behind(store, *_delete_statements(2))
    problems = store.check().problems
    assert any(f"record {records[2].id}" in p and f"follows {records[1].id}, which does not stand before it" in p for p in problems)
    assert any("number 2 of store" in p and "is missing" in p for p in problems)


def test_a_removed_row_of_a_record_is_found(filled):
    store, records = filled
    behind(store, "DELETE FROM readings WHERE record_id = 1 AND list = 1 AND position = 8")
    assert [records[0].id in p for p in store.check().problems] == [True]


def test_records_that_lost_their_first_row_leave_orphans(filled):
    store, _ = filled
    behind(store, "DELETE FROM records WHERE id = 3")
    assert any("table sessions names record_id 3, which is not there" in p for p in store.check().problems)


def test_the_last_record_cut_off_shows_by_the_head_that_was_printed(filled):
    store, records = filled
    printed = store.head()
    behind(store, *_delete_statements(3))
    assert store.check().problems == ()  # nothing inside the store can show this
    (problem,) = store.check(head=printed).problems
    assert "does not hold what it held at the given head" in problem
    assert store.check(head=records[1].hash).problems == ()


def test_an_earlier_head_is_found_again(filled):
    store, records = filled
    assert "nothing was added since" in store.check(head=records[2].hash).remarks[0]
    assert "what came since: 2 records" in store.check(head=records[0].hash).remarks[0]
    with pytest.raises(InputError, match="all 64"):
        store.check(head=records[0].id)


def test_a_swapped_order_is_found(filled):
    store, records = filled
    tables = [table for table in t.metadata.tables.values() if "record_id" in table.c]
    moves = [(1, 99), (2, 1), (99, 2)]
    swaps = [update(table).where(table.c.record_id == a).values(record_id=b) for a, b in moves for table in tables]
    behind(store, *swaps, *(update(t.records).where(t.records.c.id == a).values(id=b) for a, b in moves))
    (problem,) = store.check().problems
    assert f"record {records[1].id}" in problem
    assert f"follows {records[0].id}, which does not stand before it: that one was removed, or the order changed" in problem


def test_swapped_numbers_are_found(filled):
    store, records = filled
    behind(store, *(f"UPDATE records SET number = {b} WHERE number = {a}" for a, b in ((1, 99), (2, 1), (99, 2))))
    assert [r.id in p for r, p in zip(records[:2], store.check().problems, strict=True)] == [True, True]


def test_an_inserted_record_is_found(filled):
    store, records = filled
    content = {**records[0].content, "record": {**records[0].section("record"), "number": 2, "added_at_utc": "2026-11-20T09:00:00.000000Z"}}
    with store.database.writing() as connection:  # with a hash of its own, as good as any
        insert_record(connection, as_kept(content), store.text_of(records[0]))
    assert "a fork: number 2 of store" in store.check().remarks[0]
    behind(store, update(t.records).where(t.records.c.id == 4).values(hash="0" * 64))  # and with one that is not its own
    assert any("record 000000000000" in p and "was changed" in p for p in store.check().problems)


def test_a_missing_lock_is_found(filled):
    store, _ = filled
    with store.database.writing() as connection:
        connection.execute(text("DROP TRIGGER readings_never_update" + ("" if store.database.is_file else " ON readings")))
    (problem,) = store.check().problems
    assert problem == "the lock of table readings against UPDATE is gone: its rows could be changed"


def test_a_value_that_its_column_cannot_hold_is_found(tmp_path):
    with open_store(tmp_path / "store.db") as store:  # only SQLite takes a text for a number
        records = [store.add_sheet(sheet(day)) for day in ("2026-11-20", "2026-11-21")]
        behind(store, "UPDATE index_results SET n_lens = 'about one and a half' WHERE record_id = 1")
        problems = store.check().problems
        assert f"record {records[0].id} was changed after it was added: it holds a value that its column cannot hold" in problems
        behind(store, "UPDATE index_results SET n_lens = 1.49 WHERE record_id = 1", "UPDATE records SET added_at_utc = 'noon' WHERE id = 2")
        assert any(records[1].id in p for p in store.check().problems)


def test_a_clock_that_was_set_back_is_said_and_is_no_error(store, monkeypatch):
    import lenscalc.records.query as query

    class Clock(datetime):
        at = datetime(2026, 11, 20, 12, 0, 0)

        @classmethod
        def now(cls, tz=None):
            return cls.at.replace(tzinfo=tz)

    monkeypatch.setattr(query, "datetime", Clock)
    store.add_sheet(sheet("2026-11-19"))
    Clock.at = datetime(2026, 11, 20, 11, 0, 0)
    late = store.add_sheet(sheet("2026-11-20"))
    assert late.added_at_utc == "2026-11-20T11:00:00.000000Z"
    found = store.check()
    assert found.problems == ()
    assert len(found.remarks) == 1
    assert "a clock was set back" in found.remarks[0]


def test_a_file_that_is_damaged(tmp_path):
    path = tmp_path / "store.db"
    with open_store(path) as store:
        for day in range(10, 25):
            store.add_sheet(sheet(f"2026-11-{day}"))
    (tmp_path / "store.db-wal").unlink(missing_ok=True)
    data = bytearray(path.read_bytes())
    for at in range(4096 * 10, len(data), 4096 * 2):
        data[at : at + 300] = b"\xff" * 300
    path.write_bytes(data)
    from lenscalc.errors import FileError

    with pytest.raises(FileError, match=r"damaged|does not answer|integrity") as told, open_store(path) as store:
        raise FileError("; ".join(store.check().problems))
    assert "\n" not in str(told.value)


def test_the_hash_is_that_of_the_content_alone(filled):
    store, records = filled
    assert [hash_of(store.record(r.id).content) for r in records] == [r.hash for r in records]
