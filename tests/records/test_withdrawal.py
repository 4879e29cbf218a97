"""A record that was added by mistake: withdrawn with a reason, never removed; its chain stays whole, and nothing reckons with it any more."""

import json

import pytest
from called import lenscalc
from record_sheets import sheet

from lenscalc.errors import InputError
from lenscalc.records import open_store
from lenscalc.records.listing import Filter
from lenscalc.report import determine_record

WHY = "a sheet of the training course"


@pytest.fixture
def withdrawn(store):
    """A store with one record that stands, and one that does not."""
    stands = store.add_sheet(sheet(), "a.toml")
    mistake = store.add_sheet(sheet("2026-11-21", n=(1.51, 1.5102)), "b.toml")
    return store, stands, mistake, store.withdraw(mistake.hash[:8], because=WHY)


def test_it_stays_with_the_reason_and_the_chain_is_whole(withdrawn):
    store, stands, mistake, word = withdrawn
    made = word.section("record")
    assert (made["kind"], made["number"], made["previous"]) == ("withdrawal", 3, [mistake.hash])
    assert (made["supersedes"], made["because"]) == (mistake.hash, WHY)
    assert set(word.content) == {"record"}
    found = store.check()
    assert (found.records, found.head, found.problems, found.remarks) == (3, word.hash, (), ())
    kept = store.record(mistake.hash)
    assert kept.content == mistake.content
    assert kept.gives_its_hash
    assert kept.withdrawn_by == ((word.hash, WHY),)
    assert kept.superseded_by == ()
    assert store.record(stands.hash).withdrawn_by == ()


def test_nothing_reckons_with_it(withdrawn):
    store, stands, mistake, _ = withdrawn
    assert [r.hash for r in store.records()] == [stands.hash]
    assert [line.hash for line in store.lines()] == [stands.hash]
    assert store.count() == 1
    assert [p.record for p in store.index_series(material="copolymer A")] == [stands.hash]
    everything = store.records(superseded=True)
    assert [r.hash for r in everything] == [stands.hash, mistake.hash]
    lines = store.lines(Filter(superseded=True))
    assert [(line.hash, line.superseded_by, line.withdrawn) for line in lines] == [(mistake.hash, None, WHY), (stands.hash, None, None)]
    history = store.history("A-01")
    assert [(row["record"], row["superseded_by"], row["withdrawn_by"] is not None, row["because"]) for row in history] == [
        (stands.hash, None, False, None), (mistake.hash, None, True, WHY),
    ]  # fmt: skip


def test_a_print_of_it_says_so_and_of_the_withdrawal_there_is_none(withdrawn):
    store, _, mistake, word = withdrawn
    tree = determine_record(store, store.record(mistake.hash)).tree
    assert tree.kind.endswith("withdrawn")
    assert any(WHY in sentence and "Nothing stands" not in sentence for sentence in tree.warnings)
    with pytest.raises(InputError, match=f"only says that record {mistake.id} is withdrawn: nothing was computed"):
        determine_record(store, word)


def test_what_cannot_be_withdrawn(withdrawn):
    store, stands, mistake, word = withdrawn
    for name, because, told in (
        (mistake.hash, "again", f"is withdrawn already, by {word.id}"),
        (word.hash, "not so", "withdraws another and stays"),
        (stands.hash, "  ", "withdrawn with a reason"),
        ("feed" * 3, "why", "there is none in this store"),
    ):
        with pytest.raises(InputError, match=told):
            store.withdraw(name, because=because)
    with pytest.raises(InputError, match="is withdrawn already"):
        store.add_sheet(sheet("2026-11-22"), supersedes=mistake.hash, because="mended")
    new = store.add_sheet(sheet("2026-11-22"), supersedes=stands.hash, because="mended")
    with pytest.raises(InputError, match=f"superseded already, by {new.id}"):
        store.withdraw(stands.hash, because="why")
    assert store.check().records == 4


def test_its_sheet_may_be_added_again(withdrawn):
    """A withdrawal by mistake is not the end: the chain holds the record, the withdrawal, and the record anew."""
    store, _, mistake, _ = withdrawn
    anew = store.add_sheet(store.text_of(mistake), "b.toml")
    assert anew.section("record")["number"] == 4
    assert store.count() == 2
    with pytest.raises(InputError, match=f"kept already, as record {anew.id}"):
        store.add_sheet(store.text_of(mistake), "b.toml")
    assert store.check().problems == ()


def test_it_travels_and_two_stores_agree(withdrawn, another_place, tmp_path):
    store, stands, mistake, word = withdrawn
    store.export(tmp_path / "all.zip")
    with open_store(another_place) as other:
        assert other.import_file(tmp_path / "all.zip").added == 3
        assert other.merge(store).added == 0
        assert other.head() == store.head() == word.hash
        assert [r.hash for r in other.records()] == [stands.hash]
        assert other.record(mistake.hash).withdrawn_by == ((word.hash, WHY),)
        other.add_sheet(sheet("2026-11-25"))
        assert other.check().problems == ()


def test_both_superseded_and_withdrawn_after_a_merge_is_said(store, another_place):
    first = store.add_sheet(sheet())
    with open_store(another_place) as other:
        other.merge(store)
        other.withdraw(first.hash, because="not ours")
        store.add_sheet(sheet("2026-11-21"), supersedes=first.hash, because="another day")
        store.merge(other)
    found = store.check()
    assert found.problems == ()
    assert any("superseded or withdrawn more than once" in told for told in found.remarks)
    both = store.record(first.hash)
    assert (len(both.superseded_by), len(both.withdrawn_by)) == (1, 1)
    with pytest.raises(InputError, match="superseded already"):  # there is one that stands in its place
        store.withdraw(first.hash, because="once more")


def test_the_command(tmp_path):
    place = str(tmp_path / "store.db")
    with open_store(place) as store:
        record = store.add_sheet(sheet(), "a.toml")
    done = lenscalc("records", "withdraw", record.id, "--because", WHY, "--store", place, "--json")
    told = json.loads(done.stdout)
    assert (told["withdrawn"], told["because"], told["head"]) == (record.hash, WHY, told["by"])
    assert "0 records" in lenscalc("records", "list", "--store", place).stdout
    assert f"withdrawn: {WHY}" in lenscalc("records", "list", "--all", "--store", place).stdout
    assert f"withdrawn: {WHY}" in lenscalc("records", "history", "A-01", "--store", place).stdout
    assert f"because {WHY}; nothing stands in its place" in lenscalc("records", "show", record.id, "--store", place).stdout
    shown = lenscalc("records", "show", told["by"], "--store", place)
    assert (shown.returncode, shown.stderr) == (0, "")
    assert f"Record {record.id} is withdrawn" in shown.stdout
    values = json.loads(lenscalc("records", "show", record.id, "--store", place, "--json").stdout)
    assert values["withdrawn_by"] == [{"hash": told["by"], "because": WHY}]
    refused = lenscalc("records", "withdraw", record.id, "--store", place)
    assert (refused.returncode, "--because" in refused.stderr) == (2, True)
