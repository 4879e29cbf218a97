"""A record is printed as often as it is asked for, by the command too; superseded it says so, tampered with it is not printed."""

import tomllib
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from called import answer, lenscalc
from sheets import WITHOUT_LENS, C

from lenscalc.decision import ToleranceTable
from lenscalc.errors import InputError
from lenscalc.records import Difference, open_store
from lenscalc.report import determine_record, figures_of, pdf_of


def test_the_same_record_gives_the_same_bytes_and_its_own_tolerances(tmp_path):
    table = ToleranceTable("ours, 2026", ((30.0, 0.25),))
    with open_store(tmp_path / "s.db") as store:
        record = store.add_sheet(C, "c.toml", tolerance_table=table)
        one, other = (determine_record(store, record) for _ in range(2))
        assert pdf_of(one) == pdf_of(other)
        assert "ours, 2026" in pdf_text(one)
        assert dict(figures_of(one.tree))["limits_D"] == "20.25 to 20.75 D"


def pdf_text(determined):
    return " ".join("\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(pdf_of(determined))).split())


def test_a_superseded_record_says_so_at_the_top(tmp_path):
    with open_store(tmp_path / "s.db") as store:
        old = store.add_sheet(C, "c.toml")
        new = store.add_sheet(C.replace("C-07", "C-08"), "c.toml", supersedes=old.id, because="the lot was mistyped")
        determined = determine_record(store, store.record(old.id))
        assert determined.tree.kind.endswith(f"superseded by record {new.id}")
        text = pdf_text(determined)
        assert text.index(f"superseded by record {new.id}") < text.index("What was read")
        assert "because the lot was mistyped" in text
        assert not any("superseded" in sentence for sentence in determine_record(store, new).tree.warnings)


@pytest.mark.parametrize(
    ("field", "then", "now", "of_words"),
    [("remarks: rows", 2, 1, True), ("steps[1].note", "a", "b", True), ("lens.new_D", None, 1.0, True), ("lens.power_D", 1.0, None, False),
     ("decision", None, "there", False), ("decision.verdict", None, "would conform", False), ("steps: rows", 6, 5, False)],
)  # fmt: skip
def test_what_counts_as_words_alone(field, then, now, of_words):
    assert Difference(field, then, now).is_of_words is of_words


def test_a_tampered_record_is_not_printed(tmp_path):
    with open_store(tmp_path / "s.db") as store:
        record = store.add_sheet(C, "c.toml")
        changed = replace(record, content={**record.content, "lens": {**record.section("lens"), "power_D": 20.5}})
        with pytest.raises(InputError, match=r"lens\.power_D 20\.5 then, 20\.41.* nothing was printed: was the store changed"):
            determine_record(store, changed)


def test_the_command_takes_a_record(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "c.toml").write_text(C, encoding="utf-8")
    (added,) = answer("records", "add", "c.toml", "--store", "s.db")["added"]
    done = lenscalc("report", added["id"], "c.pdf", "--store", "s.db")
    assert done.returncode == 0, done.stderr
    assert f"record                           {added['hash']}" in done.stdout
    assert "the same bits" in done.stdout
    assert (tmp_path / "c.pdf").read_bytes().startswith(b"%PDF-")
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "s.db"))
    told = answer("report", added["id"][:6])
    assert {"quantity": "record_id", "label": "record", "text": added["hash"]} in told["stands_on"]
    assert tomllib.loads(told["sheet"]) == tomllib.loads(C)
    for args, sentence in (
        (["beef", "c.pdf"], "there is none in this store"),
        (["nowhere.toml", "c.pdf"], "nowhere.toml: No such file"),
        ([added["id"], "c.pdf", "--tolerance-table", "t.toml"], "has its own tolerance table"),
        (["--demo", "c.pdf", "--store", "s.db"], "--store goes with a record's id"),
        (["c.toml", "c.pdf", "--store", "s.db"], "hexadecimal digits of its hash"),
    ):
        done = lenscalc("report", *args)
        assert done.returncode == 2, args
        assert sentence in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
    (tmp_path / added["id"]).write_text(WITHOUT_LENS, encoding="utf-8")  # a file of that name goes first
    assert "record_id" not in {f["quantity"] for f in answer("report", added["id"])["stands_on"]}
