"""Stores that meet: exported, imported, merged, backed up; whole, twice, in a fork."""

import csv
import io
import json
import os
import zipfile

import pytest
from record_sheets import sheet

from lenscalc.demo import demo_text
from lenscalc.errors import FileError, InputError
from lenscalc.records import open_copy, open_store
from lenscalc.records import tables as t
from lenscalc.records.canonical import head_of


@pytest.fixture
def another(another_place):
    with open_store(another_place) as opened:
        yield opened


def _names(store):
    return sorted(r.hash for r in store.records(superseded=True))


def test_an_export_and_back_gives_the_same_store(store, another, tmp_path):
    old = store.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    store.add_sheet(demo_text("copolymer_e.toml"), "e.toml")
    store.add_sheet(demo_text("copolymer_b.toml"), "b.toml", supersedes=old.id, because="for the test")
    assert store.export(tmp_path / "all.zip") == 3
    found = another.import_file(tmp_path / "all.zip")
    assert (found.added, found.already_here, found.forks) == (3, 0, ())
    assert another.head() == store.head()
    assert [r.content for r in another.records(superseded=True)] == [r.content for r in store.records(superseded=True)]
    assert another.text_of(old) == store.text_of(old)
    assert another.check().problems == ()
    assert another.import_file(tmp_path / "all.zip").already_here == 3
    store.export(tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "all.zip").read_bytes()


def test_an_export_is_read_without_us(store, tmp_path):
    record = store.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    store.export(tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        assert {f"tables/{name}.csv" for name in t.metadata.tables} < set(archive.namelist())
        (row,) = csv.DictReader(io.TextIOWrapper(archive.open("tables/index_results.csv"), "utf-8"))
        assert float(row["n_lens"]) == record.section("index")["n_lens"]  # to the bit
        (line,) = archive.read("records.jsonl").decode().splitlines()
        assert json.loads(line)["content"]["session"]["lot"] == "B-03"
        assert archive.read(f"sheets/{record.section('record')['sheet_sha256']}.toml").decode() == demo_text("copolymer_b.toml")
        manifest = json.loads(archive.read("manifest.json"))
    assert (manifest["head"], manifest["records"]) == (store.head(), 1)


def test_an_empty_store_is_exported_and_imported(store, another, tmp_path):
    assert store.export(tmp_path / "none.zip") == 0
    assert another.import_file(tmp_path / "none.zip").added == 0
    assert another.head() == head_of([])


def test_two_computers_merge_without_loss_and_twice_adds_nothing(store, another):
    mine = [store.add_sheet(sheet(day, lot="L1")).hash for day in ("2026-11-01", "2026-11-03")]
    theirs = [another.add_sheet(sheet(day, lot="L2")).hash for day in ("2026-11-02", "2026-11-04")]
    assert store.merge(another).added == 2
    assert _names(store) == sorted(mine + theirs)
    assert _names(another) == sorted(theirs)  # the other one stays as it is
    both = store.head()
    assert both == head_of([mine[1], theirs[1]])
    again = store.merge(another)
    assert (again.added, again.already_here, store.head()) == (0, 2, both)
    assert another.merge(store).added == 2
    assert another.head() == both  # whoever merges, the same records have the same head
    joined = store.add_sheet(sheet("2026-11-05", lot="L1"))
    assert joined.section("record")["previous"] == sorted([mine[1], theirs[1]])
    assert store.head() == joined.hash
    assert another.merge(store).added == 1
    assert another.head() == store.head()
    for one in (store, another):
        found = one.check(head=both)
        assert found.problems == ()
        assert found.remarks == ("the store still holds what it held at the given head; what came since: 1 record",)
        assert one.history("L1", material=None)[0]["record"] == mine[0]


def test_a_removed_segment_shows_after_the_next_record(store, another):
    from test_check import _delete_statements, behind

    store.add_sheet(sheet("2026-11-01"))
    theirs = another.add_sheet(sheet("2026-11-02"))
    store.merge(another)
    store.add_sheet(sheet("2026-11-03"))
    behind(store, *_delete_statements(2))
    assert any(theirs.id in p and "removed" in p for p in store.check().problems)


def test_copies_of_one_store_that_were_both_added_to_fork_and_it_is_said(tmp_path):
    with open_store(tmp_path / "lab.db") as store:
        store.add_sheet(sheet("2026-11-01"))
        store.backup(tmp_path / "laptop.db")
        here = store.add_sheet(sheet("2026-11-02"))
        with open_store(tmp_path / "laptop.db") as laptop:
            there = laptop.add_sheet(sheet("2026-11-03"))
            found = store.merge(laptop)
        assert found.added == 1
        assert len(found.forks) == 1
        assert f"is {here.id} here and {there.id} there" in found.forks[0]
        assert len(store.records()) == 3
        checked = store.check()
        assert checked.problems == ()
        assert "a fork: number 2 of store" in checked.remarks[0]
        after = store.add_sheet(sheet("2026-11-04"))
        assert after.section("record")["number"] == 3
        assert after.section("record")["previous"] == sorted([here.hash, there.hash])
        assert store.check().problems == ()


def test_a_file_and_a_server_merge_into_each_other(store, tmp_path):
    record = store.add_sheet(demo_text("copolymer_b.toml"))
    with open_store(tmp_path / "file.db") as file:
        own = file.add_sheet(sheet())
        file.merge(store)
        assert _names(file) == sorted([record.hash, own.hash])
        store.merge(file)
        assert (store.head(), store.check().problems) == (file.head(), ())


def test_another_store_is_read_from_a_copy(tmp_path):
    with open_store(tmp_path / "other.db") as other:
        other.add_sheet(sheet())
    before = (tmp_path / "other.db").read_bytes()
    with open_store(tmp_path / "mine.db") as mine, open_copy(tmp_path / "other.db") as copy:
        assert mine.merge(copy).added == 1
    assert (tmp_path / "other.db").read_bytes() == before
    with pytest.raises(FileError, match="there is no store"), open_copy(tmp_path / "nothing.db"):
        pass
    (tmp_path / "letter.txt").write_text("Dear colleague, " * 100)
    with pytest.raises(FileError, match=r"letter.txt: cannot be read as a store: file is not a database"), open_copy(tmp_path / "letter.txt"):
        pass


def test_a_store_on_a_medium_that_cannot_be_written(tmp_path, monkeypatch):
    with open_store(tmp_path / "other.db") as other:
        record = other.add_sheet(sheet())
    before = sorted(p.name for p in tmp_path.iterdir())
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK and allowed(path, mode))
    with open_copy(tmp_path / "other.db") as copy:
        assert _names(copy) == [record.hash]
    assert sorted(p.name for p in tmp_path.iterdir()) == before == ["other.db"]


def test_a_backup_while_others_add(store, tmp_path):
    first = store.add_sheet(sheet("2026-11-01"))
    target = tmp_path / "backup"
    with store.database.writing():  # somebody is in the middle of writing
        store.backup(target)
    if store.database.is_file:
        with open_store(target, create=False) as copy:
            assert _names(copy) == [first.hash]
    else:
        with open_store(tmp_path / "new.db") as copy:
            assert copy.import_file(target).added == 1
    with pytest.raises(FileError, match="is there already"):
        store.backup(target)
    with pytest.raises(FileError, match="no-such-folder"):
        store.backup(tmp_path / "no-such-folder" / "x")


def test_a_url_of_something_else():
    for url, said in (("mysql://x/y", "mysql: records are kept in a file"), ("://", "not a URL that can be read")):
        with pytest.raises(InputError, match=said):
            open_store(url)


def test_a_record_that_two_computers_superseded_is_one_record_of_its_lot(store, another, tmp_path):
    old = store.add_sheet(sheet())
    assert another.merge(store).added == 1
    mine = store.add_sheet(sheet(n=(1.4902, 1.4903, 1.4904)), supersedes=old.hash, because="mine")
    theirs = another.add_sheet(sheet(n=(1.4900, 1.4901, 1.4902)), supersedes=old.hash, because="theirs")
    gone = another.withdraw(theirs.hash, because="theirs too")
    assert store.merge(another).added == 2
    rows = store.history("A-01")
    assert sorted(row["record"] for row in rows) == sorted([old.hash, mine.hash, theirs.hash])
    (row,) = (row for row in rows if row["record"] == old.hash)
    first, because = min((mine.hash, "mine"), (theirs.hash, "theirs"))
    assert (row["superseded_by"], row["because"]) == (first, because)
    assert [row["withdrawn_by"] for row in rows if row["record"] == theirs.hash] == [gone.hash]
    assert any("superseded or withdrawn more than once" in told for told in store.check().remarks)
