"""Stores that meet: exported, imported, merged, backed up; whole, twice, in a fork, and with something wrong."""

import csv
import io
import json
import os
import shutil
import stat
import zipfile

import pytest
from record_sheets import sheet

from lenscalc.demo import demo_text
from lenscalc.errors import FileError, InputError
from lenscalc.records import imported, open_copy, open_store
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
        assert found.remarks == ("the store still holds what it held at the given head; 1 record(s) have come since",)
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


@pytest.fixture(scope="module")
def good_archive(tmp_path_factory):
    folder = tmp_path_factory.mktemp("good")
    with open_store(folder / "source.db") as source:
        source.add_sheet(demo_text("copolymer_b.toml"))
        source.add_sheet(sheet())
        source.export(folder / "good.zip")
    return folder / "good.zip"


@pytest.fixture
def archive(good_archive, tmp_path):
    return shutil.copy(good_archive, tmp_path / "good.zip")


@pytest.fixture
def file(tmp_path):
    """A store that an import is tried on; what is refused is refused before any database is asked."""
    with open_store(tmp_path / "store.db") as opened:
        yield opened


def rewritten(archive, change=lambda name, data: data, *, more=(), drop=(), seal=True):
    """The archive with its members changed; with `seal`, by somebody who knows how a manifest is made."""
    import hashlib

    target = archive.with_name("changed.zip")
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        members = [(i.filename, change(i.filename, old.read(i))) for i in old.infolist() if i.filename not in drop and i.filename != "manifest.json"]
        manifest = json.loads(old.read("manifest.json"))
        if seal:
            manifest["sha256"] = {name: hashlib.sha256(data).hexdigest() for name, data in members}
        for name, data in [*members, ("manifest.json", json.dumps(manifest).encode()), *more]:
            new.writestr(name, data)
    return target


@pytest.mark.parametrize(
    ("name", "said"),
    [("../evil.toml", "'../evil.toml', which no export does"), ("/etc/passwd", "'/etc/passwd', which no export does"),
     ("tables/../../x.csv", "which no export does"), ("C:\\x.csv", "which no export does"), ("sheets/", "which no export does"),
     (f"sheets/{'0' * 64}.toml", "stands in the manifest or in the file, but not in both")],
)  # fmt: skip
def test_an_import_takes_no_name_of_anybody_else(archive, file, name, said):
    with pytest.raises(FileError) as told:
        file.import_file(rewritten(archive, more=[(name, b"x")]))
    assert said in str(told.value)
    assert file.records() == []


def test_an_import_takes_no_link_and_no_absurd_size(archive, file, monkeypatch):
    link = zipfile.ZipInfo("tables/lots.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with pytest.raises(FileError, match="is a link or a device"):
        file.import_file(rewritten(archive, drop=["tables/lots.csv"], more=[(link, b"/etc/passwd")]))
    with pytest.raises(FileError, match=r"would be 50,000,000 bytes unpacked"):
        file.import_file(rewritten(archive, drop=["tables/lots.csv"], more=[("tables/lots.csv", bytes(50_000_000))]))
    monkeypatch.setattr(imported, "LARGEST", 100)
    with pytest.raises(FileError, match=r"bytes unpacked: that is no export"):
        file.import_file(archive)
    monkeypatch.undo()
    monkeypatch.setattr(imported, "LARGEST_LINE", 100)
    with pytest.raises(FileError, match=r"unpacked: that is no export|a record of more than"):
        file.import_file(archive)
    assert file.records() == []


def _replace(member, old, new):
    def change(name, data):
        assert name != member or old in data
        return data.replace(old, new) if name == member else data

    return change


@pytest.mark.parametrize(
    ("member", "old", "new", "seal", "said"),
    [
        ("records.jsonl", b'"lot":"B-03"', b'"lot":"B-04"', False, "records.jsonl was changed after it was written"),
        ("records.jsonl", b'"lot":"B-03"', b'"lot":"B-04"', True, "its content does not give its hash"),
        ("records.jsonl", b'"lot":"B-03"', b'"slot":"B-04"', True, "field of session 'slot' is not known to this version: a newer one wrote it"),
        ("records.jsonl", b'"lot":"B-03"', b'"lot":["B-04"]', True, "session.lot = ['B-04']: must be text"),
        ("records.jsonl", b'{"hash"', b'{"mash"', True, "holds a line that is no record"),
        ("records.jsonl", b'"number":1', b'"number":1e999', True, "must be a whole number"),
        ("records.jsonl", b'"read_on":"2026-11-20"', b'"read_on":"20.11.2026"', True, "must be a day"),
        ("tables/lots.csv", b"B-03", b"B-04", False, "tables/lots.csv was changed after it was written"),
    ],
)
def test_an_import_takes_nothing_that_was_changed(archive, file, member, old, new, seal, said):
    with pytest.raises(FileError) as told:
        file.import_file(rewritten(archive, _replace(member, old, new), seal=seal))
    assert said in str(told.value)
    assert "\n" not in str(told.value)
    assert file.records() == []


def test_an_import_takes_no_changed_sheet_and_no_torn_chain(archive, file):
    def other_text(name, data):
        return data + b"\n# one more line" if name.startswith("sheets/") else data

    with pytest.raises(FileError, match=r"the sheet of record .* was changed"):
        file.import_file(rewritten(archive, other_text))
    with pytest.raises(FileError, match="of a record is not in it"):
        file.import_file(rewritten(archive, drop=[n for n in zipfile.ZipFile(archive).namelist() if n.startswith("sheets/")]))

    def without_the_first(name, data):
        return data.split(b"\n", 1)[1] if name == "records.jsonl" else data

    with pytest.raises(FileError, match="which does not come before it"):
        file.import_file(rewritten(archive, without_the_first))
    assert file.records() == []


def test_what_is_no_export_is_said_to_be_none(archive, file, tmp_path):
    (tmp_path / "text.zip").write_text("not a zip")
    with zipfile.ZipFile(tmp_path / "else.zip", "w") as other:
        other.writestr("manifest.json", "[1, 2]")
    torn = tmp_path / "torn.zip"
    torn.write_bytes(archive.read_bytes()[:-200])
    wrong = {"text.zip": "is no zip file", "else.zip": "is no export of records", "torn.zip": "is no zip file", "none.zip": "No such"}
    for path, said in wrong.items():
        with pytest.raises(FileError, match=said):
            file.import_file(tmp_path / path)
    with pytest.raises(FileError, match="is there already"):
        file.export(archive)


def test_a_url_of_something_else():
    for url, said in (("mysql://x/y", "mysql: records are kept in a file"), ("://", "not a URL that can be read")):
        with pytest.raises(InputError, match=said):
            open_store(url)
