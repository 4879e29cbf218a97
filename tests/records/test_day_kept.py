"""A day's CSV kept: a record a specimen with a sheet of its own, all of them or none, the same figures as `lenscalc day` gives."""

import json
from pathlib import Path

import pytest
from called import lenscalc

from lenscalc.chain import follow_index
from lenscalc.cli.records import _texts
from lenscalc.demo import demo_text
from lenscalc.errors import FileError, SheetError
from lenscalc.own_file import tables_in
from lenscalc.records import open_store
from lenscalc.refractometer import sheet_from_text
from lenscalc.refractometer.day import read_day
from lenscalc.refractometer.day_sheets import day_sheets

GOOD = demo_text("day.csv").replace("15.489", "1.5489")  # the demo's last specimen has its point one place off


@pytest.fixture
def day(tmp_path):
    (tmp_path / "day.csv").write_text(GOOD, encoding="utf-8")
    (tmp_path / "lab.toml").write_text(demo_text("day.toml"), encoding="utf-8")
    return str(tmp_path / "day.csv"), str(tmp_path / "lab.toml")


def test_each_sheet_reads_back_to_the_specimen_of_the_day(day):
    """Every table and every figure, to the last bit."""
    shared = tables_in(demo_text("day.toml"), "lab.toml")
    specimens = read_day(day[0], shared)
    sheets = day_sheets(*day)
    assert [name for name, _ in sheets] == [d.name for d in specimens] == ["A1", "A2", "C7", "F1", "F2"]
    for (name, text), specimen in zip(sheets, specimens, strict=True):
        kept, direct = follow_index(sheet_from_text(text, name)).index.n, follow_index(specimen.sheet).index.n
        assert (kept.value[0], kept.u[0]) == (direct.value[0], direct.u[0])


def test_the_digits_stay_as_they_were_written(day):
    Path(day[0]).write_text("specimen,material,n\nA1,copolymer A,1.47120\nA1,,1.47130\n", encoding="utf-8")
    ((_, text),) = day_sheets(*day)
    assert "1.47120" in text
    assert "u_temperature_degC = 0.2\n" in text
    assert "date = 2026-11-20" in text


def test_a_record_a_specimen_and_the_whole_day_at_once(day, place):
    with open_store(place) as store:
        added = store.add_sheets(_texts(*day))
        assert [r.section("session")["specimen"] for r in added] == ["A1", "A2", "C7", "F1", "F2"]
        assert [r.section("record")["number"] for r in added] == [1, 2, 3, 4, 5]
        assert added[0].section("record")["sheet_name"] == "day.csv, specimen A1"
        assert all(store.again(r).holds for r in added)
        assert len(store.water_checks(instrument="prism contact")) == 1  # one check of the day, in five sheets
        assert store.check().problems == ()


def test_of_a_day_with_something_wrong_nothing_is_kept(day, tmp_path):
    place = tmp_path / "store.db"
    with open_store(place) as store:
        (one, text), *_ = day_sheets(*day)
        kept = store.add_sheet(text, one)
        with pytest.raises(Exception, match=f"specimen A1: this very sheet is kept already, as record {kept.id}"):
            store.add_sheets(reversed(_texts(*day)))  # the last one is met when four have been written
        assert store.count() == 1
    Path(day[0]).write_text(demo_text("day.csv"), encoding="utf-8")
    with pytest.raises(SheetError, match=r"day\.csv: a day is kept whole, mend this .*: F2: line 11, n: .*decimal point one place off\?$"):
        day_sheets(*day)
    done = lenscalc("records", "add", day[0], "--shared", day[1], "--store", str(tmp_path / "new.db"))
    assert (done.returncode, done.stdout, "Traceback" in done.stderr) == (2, "", False)
    assert not (tmp_path / "new.db").exists()


def test_what_is_no_day(day, tmp_path):
    for text, told in (("", "no readings"), ("specimen,m\nA,1\n", "column"), ("specimen,n\n,1.49\n", "whose reading is it")):
        Path(day[0]).write_text(text, encoding="utf-8")
        with pytest.raises(SheetError, match=told):
            day_sheets(*day)
    Path(day[0]).write_text(GOOD, encoding="utf-8")
    Path(day[1]).write_text("reading = 3", encoding="utf-8")
    with pytest.raises(SheetError, match=r"the shared \[reading\] must be one table"):
        day_sheets(*day)
    with pytest.raises(FileError, match=r"none\.toml: No such file"):
        day_sheets(day[0], tmp_path / "none.toml")


def test_the_command(day, tmp_path):
    place = ("--store", str(tmp_path / "store.db"), "--json")
    asked = lenscalc("records", "add", day[0], *place)
    assert (asked.returncode, "give --shared LAB.toml" in asked.stderr) == (2, True)
    done = json.loads(lenscalc("records", "add", day[0], "--shared", day[1], *place).stdout)
    direct = json.loads(lenscalc("day", day[0], "--shared", day[1], "--json").stdout)["specimens"]
    assert [r["n_lens"] for r in done["added"]] == [row["n_lens"] for row in direct]
    assert [r["specimen"] for r in done["added"]] == [row["specimen"] for row in direct]
