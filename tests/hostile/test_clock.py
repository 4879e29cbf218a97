"""A clock that runs backwards, jumps or stands still: the chain goes by its links and breaks at none of it, and whoever adds is told at once."""

import json
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from record_sheets import sheet

from lenscalc.cli.main import main
from lenscalc.records import open_store, query

NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
SAID = "a clock was set back, or two computers' clocks differ"


class Clock(datetime):
    """What the store takes for now."""

    at = NOON

    @classmethod
    def now(cls, tz=None):
        return cls.at.astimezone(tz)


@pytest.fixture
def clock(monkeypatch):
    monkeypatch.setattr(query, "datetime", Clock)
    monkeypatch.setattr(Clock, "at", NOON)
    return Clock


@settings(max_examples=8)
@given(hours=st.lists(st.integers(-400_000, 400_000), min_size=2, max_size=5))
def test_whatever_the_clock_does_the_chain_is_whole(tmp_path_factory, hours):
    """Half a century forth and back: the order is that of adding, and every step back is said once."""
    with pytest.MonkeyPatch.context() as patch, open_store(tmp_path_factory.mktemp("clock") / "store.db") as store:
        patch.setattr(query, "datetime", Clock)
        times, added = [], []
        for i, hour in enumerate(hours):
            patch.setattr(Clock, "at", NOON + timedelta(hours=hour))
            times.append(Clock.at)
            added.append(store.add_sheet(sheet(lot=f"A-{i}")))
        steps = [later < earlier for earlier, later in pairwise(times)]
        assert [bool(store.told_of_clock(record)) for record in added] == [False, *steps]
        found = store.check()
        assert (found.problems, found.head) == ((), added[-1].hash)
        assert sum(SAID in told for told in found.remarks) == sum(steps)
        assert [r.section("record")["number"] for r in added] == list(range(1, len(hours) + 1))
        for before, after in pairwise(added):
            assert after.section("record")["previous"] == [before.hash]


def test_whoever_adds_or_withdraws_is_told(clock, tmp_path, capsys):
    def here(*arguments):
        with pytest.raises(SystemExit) as ended:
            main(["records", *arguments, "--store", str(tmp_path / "lab.db")])
        assert ended.value.code == 0
        return capsys.readouterr().out

    for name, day in (("one", "2026-11-19"), ("two", "2026-11-20")):
        (tmp_path / f"{name}.toml").write_text(sheet(day), encoding="utf-8")
    first = json.loads(here("add", str(tmp_path / "one.toml"), "--json"))
    assert not any(SAID in told for told in first["warnings"])
    clock.at = NOON - timedelta(days=3)
    second = json.loads(here("add", str(tmp_path / "two.toml"), "--json"))
    assert SAID in second["warnings"][0]
    assert "it is 2026-11-17T12:00:00 UTC; the record before was added at 2026-11-20T12:00:00" in second["warnings"][0]
    clock.at = NOON - timedelta(days=4)
    out = " ".join(here("withdraw", second["added"][0]["id"], "--because", "the clock was wrong").split())
    assert "it is 2026-11-16T12:00:00 UTC" in out
    assert "every link holds" in here("check")


def test_a_successor_older_than_what_it_supersedes_still_supersedes_it(clock, tmp_path):
    with open_store(tmp_path / "lab.db") as store:
        old = store.add_sheet(sheet("2026-11-20", n=(1.4901, 1.4902)))
        clock.at = NOON - timedelta(days=365)
        new = store.add_sheet(sheet("2026-11-20", n=(1.4905, 1.4906)), supersedes=old.hash, because="read again")
        assert [r.hash for r in store.records()] == [new.hash]
        assert store.record(old.hash).superseded_by == (new.hash,)
        assert store.head() == new.hash
        store.export(tmp_path / "all.zip")
    with open_store(tmp_path / "other.db") as other:  # which takes the records in the order of the chain
        assert other.import_file(tmp_path / "all.zip").added == 2
        assert other.head() == new.hash


def test_a_clock_that_stands_still(clock, tmp_path):
    with open_store(tmp_path / "lab.db") as store:
        added = store.add_sheets([(sheet(lot=f"A-{i}"), f"{i}.toml") for i in range(3)])
        assert {r.added_at_utc for r in added} == {"2026-11-20T12:00:00.000000Z"}
        assert store.told_of_clock(added[-1]) == ""
        found = store.check()
        assert (found.problems, found.remarks) == ((), ())


def test_a_lots_history_goes_by_what_follows_what(clock, tmp_path):
    """The clock goes three days back between two additions, and stands still between two more; the times stay as they were said."""
    with open_store(tmp_path / "lab.db") as store:
        added = []
        for hours, n in ((0, 1.4901), (-72, 1.4902), (-72, 1.4903), (-71, 1.4904)):
            clock.at = NOON + timedelta(hours=hours)
            added.append(store.add_sheet(sheet("2026-11-20", lot="A-01", n=(n, n))))
        told = store.history("A-01")
        assert [row["record"] for row in told] == [r.hash for r in added]
        assert [row["added_at_utc"] for row in told] == [r.added_at_utc for r in added]
        assert [r.hash for r in store.records(lot="A-01")] == [r.hash for r in added]  # of one day
        assert [p.record for p in store.index_series(material="copolymer A")] == [r.hash for r in added]


def test_of_two_computers_the_clocks_tell_and_both_stores_agree(clock, tmp_path):
    """By hand: the lab adds at 0 h, at 2 h and, its clock set back, at 1 h; the laptop, knowing nothing of it, at 1.5 h and at 3 h."""
    with open_store(tmp_path / "lab.db") as lab, open_store(tmp_path / "laptop.db") as laptop:
        at = {}
        for store, hours in ((lab, 0.0), (laptop, 1.5), (lab, 2.0), (laptop, 3.0), (lab, 1.0)):
            clock.at = NOON + timedelta(hours=hours)
            n = 1.49 + 1e-4 * len(at)
            at[hours] = store.add_sheet(sheet("2026-11-20", lot="A-01", n=(n, n))).hash
        lab.merge(laptop)
        laptop.merge(lab)
        wanted = [at[hours] for hours in (0.0, 1.5, 2.0, 1.0, 3.0)]
        for store in (lab, laptop):
            assert [row["record"] for row in store.history("A-01")] == wanted
            assert [r.hash for r in store.records()] == wanted


@pytest.mark.parametrize(("day", "is_told"), [("2569-11-20", True), ("2062-11-20", True), ("2027-11-20", False), ("2026-11-20", False)])
def test_a_year_of_another_calendar_is_asked_about(clock, tmp_path, capsys, day, is_told):
    """2569 is 2026 by the Buddhist calendar (543 years ahead); a clock that runs a few months behind is no reason to ask."""
    (tmp_path / "sheet.toml").write_text(sheet(day), encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        main(["records", "add", str(tmp_path / "sheet.toml"), "--store", str(tmp_path / "lab.db"), "--json"])
    assert ended.value.code == 0
    told = [sentence for sentence in json.loads(capsys.readouterr().out)["warnings"] if "is it the year of another calendar" in sentence]
    assert len(told) == is_told
    assert not is_told or f"readings of {day}, and was kept on 2026-11-20" in told[0]
