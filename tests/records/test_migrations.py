"""A store of an older version comes along with its data; one of a newer version, or of somebody else, is left alone."""

import sqlite3
import uuid
from datetime import datetime

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from record_sheets import sheet
from sqlalchemy import MetaData, insert, inspect, select, text

from lenscalc.demo import demo_text
from lenscalc.errors import FileError
from lenscalc.records import adding, open_store
from lenscalc.records import tables as t
from lenscalc.records.database import Database
from lenscalc.records.made_by import made_by
from lenscalc.records.migrate import _script, upgrade_to
from lenscalc.records.place import url_of

LATER = ("scipy", "processor")  # what revision 0002 has added


@pytest.fixture
def old_place(place, another_place, monkeypatch):
    """A store of revision 0001 with two records: written by this version as that one would have, and copied into that one's tables."""
    monkeypatch.setattr(adding, "made_by", lambda: {name: value for name, value in made_by().items() if name not in LATER})
    new = open_store(another_place)
    new.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    new.add_sheet(demo_text("copolymer_e.toml"), "e.toml")
    old = Database(url_of(place), 5.0)
    with old.writing() as connection:
        upgrade_to(connection, "0001")
    tables = MetaData()
    with old.writing() as connection, new.database.reading() as source:
        tables.reflect(connection)
        for table in tables.sorted_tables:
            if table.name == t.REVISION_TABLE:
                continue
            rows = [dict(r) for r in source.execute(select(*(t.metadata.tables[table.name].c[c.name] for c in table.c))).mappings()]
            if rows:
                connection.execute(insert(t.metadata.tables[table.name]), rows)
            if rows and "id" in rows[0] and not old.is_file and table.name != "stores":  # rows that bring their keys do not move a server's counter
                connection.execute(text(f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), {max(r['id'] for r in rows)})"))
        assert not set(LATER) & {c.name for c in tables.tables["records"].c}
    monkeypatch.undo()
    return place, new


def test_an_older_store_comes_along_with_its_data(old_place, tmp_path):
    place, as_it_was = old_place
    with open_store(place) as store:
        assert [r.content for r in store.records()] == [r.content for r in as_it_was.records()]
        found = store.check()
        assert (found.records, found.head, found.problems) == (2, as_it_was.head(), ())
        added = store.add_sheet(sheet())
        assert added.section("record")["scipy"]
        assert store.check().problems == ()
        old = store.again(store.records()[0] if store.records()[0].hash != added.hash else store.records()[1])
        assert (old.then["processor"], old.outcome, old.is_same_maker, old.holds) == ("unknown", "the same bits", False, True)
        if store.database.is_file:
            assert store.aside == tmp_path / "store.revision-0001.db"
            with sqlite3.connect(store.aside) as copy:
                assert copy.execute(f"SELECT version_num FROM {t.REVISION_TABLE}").fetchall() == [("0001",)]
                assert copy.execute("SELECT count(*) FROM records").fetchall() == [(2,)]
            copy.close()
    with open_store(place) as store:
        assert store.aside is None


def test_a_migration_that_breaks_off_leaves_the_old_store(old_place, monkeypatch):
    from alembic import op

    place, _ = old_place

    def torn(table, column):
        add(table, column)
        raise KeyboardInterrupt

    add = op.add_column
    monkeypatch.setattr(op, "add_column", torn)
    with pytest.raises(KeyboardInterrupt):
        open_store(place)
    monkeypatch.undo()
    with Database(url_of(place), 5.0).reading() as connection:
        assert "scipy" not in {c["name"] for c in inspect(connection).get_columns("records")}
    with open_store(place) as store:
        assert store.check().problems == ()


def test_the_tables_are_those_of_the_revisions(store):
    with store.database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": t.REVISION_TABLE})
        assert compare_metadata(context, t.metadata) == []
    assert _script().get_heads() == [t.REVISION]


def test_a_store_of_a_newer_version_is_left_alone(store, place):
    with store.database.writing() as connection:
        connection.execute(text(f"UPDATE {t.REVISION_TABLE} SET version_num = '0999'"))
    with pytest.raises(FileError, match=r"written by a newer version of lenscalc \(its revision 0999; this one knows up to 0002\)"):
        open_store(place)


def test_tables_of_somebody_else_are_left_alone(place):
    theirs = Database(url_of(place), 5.0)
    with theirs.writing() as connection:
        connection.execute(text("CREATE TABLE records (whose text)"))
    with pytest.raises(FileError, match=r"no store of records: it holds tables of something else \(records\)"):
        open_store(place)
    with theirs.reading() as connection:
        assert inspect(connection).get_table_names() == ["records"]


def test_two_stores_have_names_of_their_own(store, another_place):
    with open_store(another_place) as another:
        names = [one.add_sheet(sheet()).section("record")["store"] for one in (store, another)]
    assert names[0] != names[1]
    assert all(uuid.UUID(name).version == 4 for name in names)
    with store.database.reading() as connection:
        assert isinstance(connection.execute(select(t.stores.c.began_at_utc)).scalar_one(), datetime)
