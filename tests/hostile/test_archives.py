"""Archives that nobody's export wrote: a sentence, and a store that is as it was. What has a checksum is believed by that, and nothing else."""

import hashlib
import json
import os
import random
import warnings
import zipfile
from contextlib import suppress

import pytest
from record_sheets import sheet

from lenscalc.errors import FileError
from lenscalc.records import open_store

FLIPS = int(os.environ.get("HOSTILE_EXAMPLES", "120"))


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    folder = tmp_path_factory.mktemp("archives")
    with open_store(folder / "source.db") as source:
        source.add_sheet(sheet())
        source.export(folder / "good.zip")
        return folder / "good.zip", source.head()


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "store.db") as opened:
        yield opened


def members_of(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def written(path, members, **options):
    """An archive of these members (pairs, so that a name may stand twice), its manifest made by somebody who knows how."""
    sums = {name: hashlib.sha256(data).hexdigest() for name, data in members if name != "manifest.json"}
    manifest = {**json.loads(dict(members)["manifest.json"]), "sha256": sums}
    with warnings.catch_warnings(), zipfile.ZipFile(path, "w", **{"compression": zipfile.ZIP_DEFLATED, **options}) as archive:
        warnings.simplefilter("ignore")  # a name that stands twice
        for name, data in members:
            archive.writestr(name, json.dumps(manifest) if name == "manifest.json" else data)
    return path


def refused(store, path, said):
    with pytest.raises(FileError, match=said) as told:
        store.import_file(path)
    assert "\n" not in str(told.value)
    assert store.count() == 0
    assert store.check().problems == ()


def test_any_byte_another_one(good, store, tmp_path):
    """Whatever byte is changed, the records come in as they were, or not at all."""
    path, head = good
    data, drawn = path.read_bytes(), random.Random(7)
    taken = 0
    for _ in range(FLIPS):
        changed = bytearray(data)
        for _ in range(drawn.choice((1, 1, 3, 40))):
            changed[drawn.randrange(len(data))] = drawn.randrange(256)
        (tmp_path / "changed.zip").write_bytes(changed[: drawn.choice((None, None, None, drawn.randrange(len(data))))])
        with suppress(FileError):
            store.import_file(tmp_path / "changed.zip")
            taken += 1
            assert store.head() == head
        assert store.count() == min(taken, 1)
    assert store.check().problems == ()
    assert taken < FLIPS  # most of them are noticed


def test_a_name_that_stands_twice(good, store, tmp_path):
    members = [*members_of(good[0]).items()]
    refused(store, written(tmp_path / "twice.zip", [*members, ("records.jsonl", b"")]), "or one of them twice: no export does")


def test_thousands_of_members(good, store, tmp_path, monkeypatch):
    from lenscalc.records import imported

    members = [*members_of(good[0]).items()]
    many = [(f"sheets/{hashlib.sha256(b'%d' % i).hexdigest()}.toml", b"%d" % i) for i in range(5000)]
    path = written(tmp_path / "many.zip", [*members, *many])
    assert store.import_file(path).added == 1  # sheets that no record names are not kept
    with store.database.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM sheets").scalar() == 1
    monkeypatch.setattr(imported, "MOST", 4000)
    with pytest.raises(FileError, match=r"holds 50\d\d members"):
        store.import_file(path)


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_another_packing(good, store, tmp_path, method):
    """Every packing has errors of its own kind; what an export never uses is not unpacked."""
    path = written(tmp_path / "packed.zip", [*members_of(good[0]).items()], compression=method)
    if method == zipfile.ZIP_STORED:
        assert store.import_file(path).added == 1
    else:
        refused(store, path, "packed in another way than an export is")


def test_a_packing_that_nobody_knows(good, store, tmp_path):
    data = bytearray(good[0].read_bytes())
    for mark, offset in ((b"PK\x03\x04", 8), (b"PK\x01\x02", 10)):
        at = data.find(mark)
        while at >= 0:
            data[at + offset : at + offset + 2] = (97).to_bytes(2, "little")
            at = data.find(mark, at + 4)
    (tmp_path / "strange.zip").write_bytes(data)
    refused(store, tmp_path / "strange.zip", "packed in another way than an export is")


@pytest.mark.parametrize("flag", [0x1, 0x40])
def test_an_encrypted_member(good, store, tmp_path, flag):
    data = bytearray(good[0].read_bytes())
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.find(mark) + offset] |= flag
    (tmp_path / "locked.zip").write_bytes(data)
    refused(store, tmp_path / "locked.zip", "is encrypted")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda name, data: data.replace(b"copolymer A", b"copolymer \xff") if name == "records.jsonl" else data, "holds a line that is no record"),
        (lambda name, data: data.replace(b"copolymer A", b"copolymer \xff") if name.startswith("sheets/") else data, "is not in it"),
        (lambda name, data: b"\xff\xfe" + data if name == "records.jsonl" else data, "holds a line that is no record"),
        (lambda name, data: b"[" * 100_000 if name == "records.jsonl" else data, "holds a line that is no record"),
        (lambda name, data: data.rstrip(b"\n")[:-5] if name == "records.jsonl" else data, "holds a line that is no record"),
        (lambda name, data: data.replace(b'"copolymer A"', b'"\\ud800"') if name == "records.jsonl" else data, "surrogates not allowed"),
        (lambda name, data: data.replace(b'"number":1,', b'"number":1,"previous":["\\ud800"],') if name == "records.jsonl" else data, "surrogates"),
        (lambda name, data: data.replace(b'{"hash":"', b'{"hash":"\\ud800') if name == "records.jsonl" else data, "holds a line that is no record"),
        (lambda name, data: data.replace(b'"copolymer A"', b'"a\\u0000b"') if name == "records.jsonl" else data, "zero character"),
        (lambda name, data: data.replace(b'"number":1,', b'"number":"1",') if name == "records.jsonl" else data, "must be a whole number"),
        (lambda name, data: data.replace(b'"content":{', b'"content":{"extra":{},') if name == "records.jsonl" else data, "section 'extra'"),
    ],
)
def test_bytes_that_are_no_text_and_text_that_is_no_record(good, store, tmp_path, change, said):
    refused(store, written(tmp_path / "wrong.zip", [(name, change(name, data)) for name, data in members_of(good[0]).items()]), said)


def test_a_size_that_lies(good, store, tmp_path):
    """The directory says a few bytes, the member unpacks to many: no more is read than was said."""
    members = members_of(good[0])
    path = written(tmp_path / "lies.zip", [(n, b"0" * 20_000_000 if n == "tables/lots.csv" else d) for n, d in members.items()])
    data = bytearray(path.read_bytes())
    for at in (data.index(b"tables/lots.csv") - 30 + 22, data.rindex(b"tables/lots.csv") - 46 + 24):
        assert int.from_bytes(data[at : at + 4], "little") == 20_000_000
        data[at : at + 4] = (10_000).to_bytes(4, "little")
    path.write_bytes(data)
    refused(store, path, r"tables/lots\.csv was changed after it was written|unpacked: that is no export")


def test_something_before_or_behind_the_archive(good, store, tmp_path):
    """What stands before it is passed over by every reader of such files; the members are still those of the manifest."""
    (tmp_path / "before.zip").write_bytes(b"#!/bin/sh\nexit\n" + good[0].read_bytes())
    assert store.import_file(tmp_path / "before.zip").added == 1
    (tmp_path / "behind.zip").write_bytes(good[0].read_bytes() + b"\0" * 70_000)
    with pytest.raises(FileError, match="is no zip file"):
        store.import_file(tmp_path / "behind.zip")
