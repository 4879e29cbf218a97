"""The short lines of a long store say what the whole records say, on both databases."""

from datetime import date

import pytest
from record_sheets import sheet

from lenscalc.demo import demo_text
from lenscalc.errors import InputError
from lenscalc.records import Filter, is_begun, open_store
from lenscalc.records.place import url_of


@pytest.fixture
def filled(store):
    old = store.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    store.add_sheets([(sheet(day=f"2026-11-{10 + i}", lot=f"A-{i % 2}"), f"{i}.toml") for i in range(5)])
    new = store.add_sheet(demo_text("copolymer_b.toml").replace('lot = "B-03"', 'lot = "B-04"'), "b.toml", supersedes=old.id, because="mistyped")
    return store, old, new


def test_the_lines_are_the_records_the_newest_first(filled):
    store, old, new = filled
    lines, records = store.lines(Filter(superseded=True)), store.records(superseded=True)
    assert {line.hash for line in lines} == {record.hash for record in records}
    assert [line.day for line in lines] == sorted((record.day for record in records), reverse=True)
    by_hash = {record.hash: record for record in records}
    for line in lines:
        record = by_hash[line.hash]
        lens = record.section("lens")
        assert (line.id, line.day, line.material, line.lot) == (record.id, record.day, record.material, record.lot)
        assert (line.n_lens, line.u_n_lens) == (record.section("index")["n_lens"], record.section("index")["u_n_lens"])
        assert (line.power_D, line.u_power_D) == (lens.get("power_D"), lens.get("u_power_D"))
        assert line.verdict == record.section("decision").get("verdict")
    assert {line.hash: line.superseded_by for line in lines}[old.hash] == new.hash


def test_a_filter_and_a_place_in_the_list(filled):
    store, old, new = filled
    assert store.count() == 6
    assert store.count(Filter(superseded=True)) == 7
    assert old.hash not in [line.hash for line in store.lines()]
    assert [line.hash for line in store.lines(Filter(lot="B-04"))] == [new.hash]
    of_a_lot = Filter("copolymer A", "A-0", since=date(2026, 11, 11), until=date(2026, 11, 14))
    assert [line.day for line in store.lines(of_a_lot)] == ["2026-11-14", "2026-11-12"]
    assert store.count(of_a_lot) == 2
    assert [line.day for line in store.lines(Filter("copolymer A"), first=1, most=2)] == ["2026-11-13", "2026-11-12"]
    assert store.lines(Filter("copolymer Z")) == []
    assert store.lines(first=100) == []
    assert store.lots("copolymer A") == ["A-0", "A-1"]
    assert store.materials() == ["copolymer A", "copolymer B"]
    assert store.instruments() == ["bench two", "prism contact"]


def test_a_record_without_a_day_stands_on_the_day_it_was_added(store):
    record = store.add_sheet(sheet().replace("date = 2026-11-20\n", ""), "a.toml")
    (line,) = store.lines(Filter(since=date.fromisoformat(record.added_at_utc[:10]), until=date.fromisoformat(record.added_at_utc[:10])))
    assert line.day == record.added_at_utc[:10]


def test_several_sheets_at_once_are_one_chain(filled):
    store, _, _ = filled
    numbers = [record.section("record")["number"] for record in store.records(superseded=True)]
    assert sorted(numbers) == [1, 2, 3, 4, 5, 6, 7]
    assert store.check().problems == ()
    with pytest.raises(InputError, match="kept already"):
        store.add_sheets([(sheet(day="2026-12-01"), "one"), (sheet(day="2026-12-01"), "two")])
    assert store.count() == 6


def test_whether_there_is_a_store(place):
    assert not is_begun(place)
    open_store(place).close()
    assert is_begun(place)


def test_the_environment_names_the_usual_place(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "of the lab.db"))
    assert url_of(None).database == str(tmp_path / "of the lab.db")
    assert url_of(tmp_path / "named.db").database == str(tmp_path / "named.db")
    monkeypatch.setenv("LENSCALC_STORE", "postgresql://lab@host/records")
    assert url_of(None).get_backend_name() == "postgresql"
    monkeypatch.setenv("LENSCALC_STORE", "")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("sys.platform", "linux")
    assert str(url_of(None).database).endswith("records.db")
