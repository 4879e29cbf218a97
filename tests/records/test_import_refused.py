"""An archive to import that is not what it says: names, links, sizes, changed content, a torn chain."""

import json
import shutil
import stat
import zipfile

import pytest
from record_sheets import sheet

from lenscalc.demo import demo_text
from lenscalc.errors import FileError
from lenscalc.records import imported, open_store
from lenscalc.records.canonical import hash_of


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


@pytest.mark.parametrize(
    ("lacks", "without"),
    [
        ("session.title", lambda c: c["session"].pop("title")),
        ("steps.share", lambda c: c["steps"][1].pop("share")),
        ("budget.source", lambda c: c["budget"][-1].pop("source")),
        ("index", lambda c: c.pop("index")),
        ("readings of the specimen", lambda c: c.update(readings=[r for r in c["readings"] if r["list"] > 4])),
        ("lens.front_radius_mm", lambda c: c["lens"].pop("front_radius_mm")),
        ("lists.temperature_degC", lambda c: c["lists"][0].pop("temperature_degC")),
        ("bands.up_to_D", lambda c: c["tolerance"]["bands"][0].pop("up_to_D")),
        ("tolerance", lambda c: c.pop("tolerance")),
        ("record.numpy", lambda c: c["record"].pop("numpy")),
    ],
)
def test_a_record_of_another_program_that_nothing_could_show_is_refused(archive, file, lacks, without):
    """Its hash is right: whoever makes a record can make that too."""

    def made_anew(name, data):
        if name != "records.jsonl":
            return data
        content = json.loads(data.splitlines()[0])["content"]
        without(content)
        return json.dumps({"hash": hash_of(content), "content": content}).encode()

    with pytest.raises(FileError, match=f"lacks {lacks}, which every record has: another program made it; nothing was taken in"):
        file.import_file(rewritten(archive, made_anew))
    assert file.records() == []


def _one_more_dioptre(content):
    content["lens"]["power_D"] += 1.0


def _forged(archive, change=_one_more_dioptre, **said):
    """The export with a change in its first record, and hashes that are right throughout."""

    def made_anew(name, data):
        if name != "records.jsonl":
            return data
        first, second = (json.loads(line)["content"] for line in data.splitlines())
        change(first)
        first["record"].update(said)
        second["record"]["previous"] = [hash_of(first)]
        return b"\n".join(json.dumps({"hash": hash_of(c), "content": c}).encode() for c in (first, second))

    return rewritten(archive, made_anew)


@pytest.mark.parametrize(
    ("said", "told"),
    [({}, "owes the same bits, so these are not the figures of its sheet"), ({"lenscalc": "0.0.1"}, "may rightly have given other figures")],
)
def test_false_figures_under_a_right_hash_are_told_when_they_come_in(archive, file, tmp_path, said, told):
    seen = []
    found = file.import_file(_forged(archive, **said), on_progress=lambda done, of: seen.append((done, of)))
    assert (found.added, seen) == (2, [(1, 2), (2, 2)])
    (sentence,) = found.not_the_same
    forged = next(r for r in file.records() if r.lot == "B-03")
    assert sentence.startswith(f"record {forged.id}, computed again: differs, lens.power_D ")
    assert told in sentence
    with open_store(tmp_path / "second.db") as second:
        assert second.merge(file).not_the_same == (sentence,)
        assert second.import_file(archive).not_the_same == ()  # the honest ones come in beside them


FALSE = {
    "session.material": lambda c: c["session"].update(material="another"), "session.lot": lambda c: c["session"].update(lot="B-04"),
    "readings[2].n": lambda c: c["readings"][1].update(n=c["readings"][1]["n"] + 0.001),
    "readings[1].mounting": lambda c: c["readings"][0].update(mounting="9"),
    "corrections[1].value": lambda c: c["corrections"][0].update(value=1.0),
    "dimensions[1].value_mm": lambda c: c["dimensions"][0].update(value_mm=14.0), "dimensions: rows": lambda c: c["dimensions"].pop(),
    "lists[1].direction": lambda c: c["lists"][0].update(direction="across"),
}  # fmt: skip


@pytest.mark.parametrize("said", [{}, {"lenscalc": "0.0.1"}])
@pytest.mark.parametrize("field", FALSE)
def test_what_contradicts_the_kept_sheet_is_told_whoever_made_it(archive, file, field, said):
    """A sheet means the same to every version: another reading, material or radius beside it is none of its own."""
    (sentence,) = file.import_file(_forged(archive, FALSE[field], **said)).not_the_same
    assert f"computed again: differs, {field} " in sentence


def test_the_command_tells_what_does_not_come_out_again(archive, tmp_path):
    from called import answer, lenscalc

    there = ("--store", str(tmp_path / "by_command.db"))
    said = lenscalc("records", "import", str(_forged(archive)), *there).stdout
    assert "computed again: differs, lens.power_D" in " ".join(said.split())
    assert "2 records taken in" in said
    told = answer("records", "import", str(archive), *there)
    assert (told["added"], told["not_the_same"]) == (2, 0)
