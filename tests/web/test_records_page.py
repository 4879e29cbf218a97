"""The page of what has been kept, without a browser: what it shows is the store's, and the store is the test's own."""

import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from record_sheets import sheet
from shown import by_python, opened, page, panel, typed, words

from lenscalc.demo import demo_text
from lenscalc.records import Filter, open_store
from lenscalc.web.records.kept_store import export_bytes, report_bytes
from lenscalc.web.records.records_page import SHOWN
from lenscalc.web.records.records_tables import again_in_words, check_in_words, history_table, lines_table

B, C = demo_text("copolymer_b.toml"), demo_text("copolymer_c.toml")


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    """Two lenses of which one is superseded, and an index alone."""
    place = tmp_path_factory.mktemp("filled") / "records.db"
    with open_store(place) as store:
        old = store.add_sheet(B, "b.toml")
        store.add_sheet(C, "c.toml")
        store.add_sheet(sheet(day="2026-11-22"), "index.toml")
        store.add_sheet(B.replace('title = "', 'title = "Again: '), "b.toml", supersedes=old.id, because="the title was wrong")
    return place


@pytest.fixture
def store(filled, tmp_path, monkeypatch):
    """A copy of it where the pages look."""
    place = tmp_path / "records.db"
    shutil.copy(filled, place)
    monkeypatch.setenv("LENSCALC_STORE", str(place))
    with open_store(place) as opened:
        yield opened


def kept(**address):
    at = page("what_is_kept.py", **address)
    assert not at.exception
    return at


def days(at):
    return [day.replace("\u2011", "-") for day in at.table[0].value["day"]]


def pairs(at, n):
    table = at.table[n].value
    return dict(zip(table.index, table["value"], strict=True))


def test_where_nothing_is_kept_the_page_says_so_and_begins_nothing(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "none" / "records.db"))
    at = kept()
    assert "nothing yet" in words(at)
    assert not at.error
    assert any("Not a medical device" in w.value for w in at.warning)
    assert not (tmp_path / "none").exists()
    with open_store(tmp_path / "empty.db"):
        monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "empty.db"))
    at = kept()
    assert "0 records" in words(at)
    assert not at.table


def test_the_records_are_listed_and_one_is_shown_with_its_columns(store):
    at = kept()
    assert "3 records" in words(at)
    (newest, *_), newest_record = store.lines(), store.record(store.lines()[0].hash)
    assert newest.material == "copolymer C"  # no day of its own: that of adding, today
    assert list(at.table[0].value.index) == [line.id for line in store.lines()]
    figures = pairs(at, 1)
    assert figures["power of a lens of it"] == "20.419 D, u 0.060 D"  # as the command follow prints it
    assert figures["decision"] == newest_record.section("decision")["verdict"]
    assert newest_record.hash in [c.value for c in at.code]
    assert store.head() in [c.value for c in at.code]
    assert sum("Not a medical device" in w.value for w in at.warning) == 2


def test_records_are_chosen_by_material_lot_and_day(store):
    at = kept()
    at.selectbox(key="kept_material").select("copolymer B").run()
    assert list(at.table[0].value["of"]) == ["copolymer B, lot B-03"]
    at.checkbox(key="kept_superseded").check().run()
    assert len(at.table[0].value) == 2
    assert at.table[0].value["decision"].eq("superseded").sum() == 1
    at.selectbox(key="kept_lot").select("B-03").run()
    assert len(at.table[0].value) == 2
    at.selectbox(key="kept_material").select("every one").run()
    at.date_input(key="kept_since").set_value("2026-11-21").run()
    at.date_input(key="kept_until").set_value("2026-11-22").run()
    assert days(at) == ["2026-11-22"]
    at.date_input(key="kept_until").set_value("2026-11-21").run()
    assert "0 records" in words(at)
    assert not at.exception


def test_an_address_names_a_record_and_a_wrong_one_is_told_beside_its_field(store):
    (old,) = (line for line in store.lines(Filter(superseded=True)) if line.superseded_by)
    at = kept(record=old.id)
    assert f"Superseded by record {old.superseded_by[:12]}, because the title was wrong." in [w.value for w in at.warning]
    assert len(at.table[-1].value) == 2  # the lot's history holds both
    for wrong, told in (("beef", "there is none in this store"), ("xyz", "hexadecimal digits"), ("../../etc", "hexadecimal digits")):
        at.text_input(key="record").set_value(wrong).run()
        assert not at.exception
        assert told in at.error[0].value


def test_a_record_is_computed_again_and_the_outcome_said(store):
    at = kept()
    at.button[-1].click().run()
    assert [s.value for s in at.success] == ["Every value came out to the same bits (the same version, libraries and processor)."]


def test_the_store_is_checked_and_a_changed_record_is_never_printed(store):
    at = kept()
    at.button[0].click().run()
    assert at.success[0].value.startswith("Each of 4 records gives its hash")
    with sqlite3.connect(store.place) as raw:
        names = [n for (n,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'lens_results'")]
        raw.execute(f"DROP TRIGGER {next(n for n in names if 'update' in n.lower())}")
        raw.execute('UPDATE lens_results SET "power_D" = "power_D" + 0.01')
    raw.close()
    at = kept()
    assert "This record was changed after it was added" in at.error[0].value
    assert "No determination is printed" in " ".join(i.value for i in at.info)
    at.button[0].click().run()
    assert "Something is no longer as it was added" in at.error[0].value
    at.button[-1].click().run()
    assert "do not print it before you know why" in " ".join(e.value for e in at.error)
    assert any("lens.power_D" in t.value.index for t in at.table)


def test_what_is_saved_is_the_record(store):
    line = store.lines()[0]
    assert report_bytes(line.hash, ".pdf").startswith(b"%PDF-")
    html = report_bytes(line.hash, ".html").decode()
    assert line.hash in html
    assert store.head() in html
    assert export_bytes()[:2] == b"PK"


def test_a_long_list_goes_by_pages(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "long.db"))
    with open_store(tmp_path / "long.db") as store:
        store.add_sheets([(sheet(day=f"2026-01-{1 + i:02d}", lot=f"A-{i}"), f"{i}.toml") for i in range(SHOWN + 3)])
    at = kept()
    assert len(at.table[0].value) == SHOWN
    assert days(at)[0] == f"2026-01-{SHOWN + 3:02d}"
    at.number_input(key="records_page").set_value(2).run()
    assert days(at) == ["2026-01-03", "2026-01-02", "2026-01-01"]


def test_a_reading_is_kept_once_and_found_on_the_page(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "new" / "records.db"))
    (tmp_path / "new").mkdir()
    at = page("one_reading.py")
    (button,) = (b for b in at.button if b.label == "Keep this in the records")
    button.click().run()
    assert not at.exception
    assert "Kept as record" in at.success[0].value
    with open_store(tmp_path / "new" / "records.db") as store:
        (line,) = store.lines()
        record = store.record(line.hash)
        assert at.success[0].value == f"Kept as record {line.id}. The head of the store is now {store.head()}."
        assert record.section("record")["sheet_name"] == "reading_sheet.toml"
        assert store.again(record).holds
    next(b for b in at.button if b.label == "Keep this in the records").click().run()
    assert "this very sheet is kept already, as record" in at.error[0].value
    at = kept(record=line.id)
    assert f"What does record {line.id} hold?" in [h.value for h in at.header]


def test_the_control_chart_takes_the_records(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "s.db"))
    with open_store(tmp_path / "s.db") as store:
        readings = [(1.49 + (i * 7 % 5) * 1e-4, 1.33262 + (i * 3 % 5) * 1e-5) for i in range(24)] + [(1.492, 1.3328)]
        store.add_sheets([
            (sheet(day=f"2026-01-{1 + i:02d}", lot=f"A-{i:02d}", n=(n, n + 1e-4), water=(w, w + 1e-5)), f"{i}.toml")
            for i, (n, w) in enumerate(readings)
        ])  # fmt: skip
        last = store.lines()[0]
    at = page("moved.py")
    assert "invented for the demo" in words(at)  # the demo comes first all the same
    at.radio(key="series_from").set_value("the records").run()
    assert not at.exception
    assert not at.error
    assert "25 values from the records" in words(at)
    assert f"Point 25 (2026-01-25, lot A-24, record {last.id})" in at.table[0].value.index
    at.radio(key="series_of").set_value("an instrument's water checks").run()
    assert not at.error
    assert f"Point 25 (2026-01-25, lot A-24, record {last.id})" in at.table[0].value.index
    at.selectbox(key="kind_of_chart").select("Group means, with standard deviations").run()
    assert not at.exception
    assert not at.error


def test_without_a_water_check_the_chart_says_what_is_missing(tmp_path, monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "s.db"))
    with open_store(tmp_path / "s.db") as store:
        store.add_sheet(sheet(), "a.toml")
    at = page("moved.py")
    at.radio(key="series_from").set_value("the records").run()
    assert "a moving range needs two" in at.error[0].value
    at.radio(key="series_of").set_value("an instrument's water checks").run()
    assert "no record holds a water check of bench two" in at.error[0].value


def test_the_words_say_what_the_store_says(store):
    lines = store.lines(Filter(superseded=True))
    assert list(lines_table(lines).index) == [line.id for line in lines]
    assert len(history_table(store.history("B-03"))) == 2
    assert check_in_words(store.check()).startswith("Each of 4 records")
    assert again_in_words(store.again(store.record(lines[0].hash))).startswith("Every value came out to the same bits")


def test_no_field_takes_a_place_of_this_machine(store):
    at = kept()
    assert {t.key for t in at.text_input} == {"record"}
    assert str(Path(store.place).parent) not in words(at)


HOSTILE = "![x](http://127.0.0.1:9/x.png) <img src=y> :red[r] $a$ *b*"


def test_what_somebody_wrote_is_shown_as_it_was_written(store):
    """A kept text may come from another lab's store: no picture in it is fetched, no sign of it is markup."""
    text = C.replace('title = "', f'title = "{HOSTILE} ').replace('"copolymer C"', f'"{HOSTILE}"').replace('"C-07"', f'"{HOSTILE}"')
    record = store.add_sheet(text, "hostile.toml")
    at = kept(record=record.id)
    cells = [str(cell) for t in at.table for cell in (*t.value.index, *t.value.to_numpy().ravel())]
    shown = [text for text in (words(at), *cells, *(h.value for h in at.subheader)) if "127.0.0.1" in text]
    assert len(shown) >= 3
    for text in shown:
        assert r"\![x]\(http://127.0.0.1:9/x.png) \<img src=y\> \:red[r] \$a\$ \*b\*" in text
        assert "](http" not in text


ADD = """
import sys
from lenscalc.records import open_store
from record_sheets import sheet
for i in range(6):
    with open_store(sys.argv[1]) as store:
        store.add_sheet(sheet(day=f"2026-0{sys.argv[2]}-{1 + i:02d}", lot=f"A-{sys.argv[2]}{i}"), f"{i}.toml")
"""


def test_the_page_is_read_while_two_processes_add(tmp_path, monkeypatch):
    place = str(tmp_path / "s.db")
    monkeypatch.setenv("LENSCALC_STORE", place)
    open_store(place).close()
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parents[1] / 'records')!r})\n{ADD}"
    adding = [subprocess.Popen([sys.executable, "-c", code, place, month]) for month in ("1", "2")]
    at, seen = kept(), [0]
    while any(process.poll() is None for process in adding):
        at.run()
        assert not at.exception
        assert not at.error
        seen.append(int(words(at).split("**")[1].split()[0]))
    assert seen == sorted(seen)  # what was there once stays
    assert [process.returncode for process in adding] == [0, 0]
    at.run()
    assert "12 records" in words(at)
    with open_store(place) as store:
        assert store.check().problems == ()


def test_how_a_record_was_computed_and_how_to_do_it_again(store):
    """The command and the lines of the panel, typed as they stand, find that the figures hold."""
    record = store.records()[0]
    at = opened(kept(record=record.id))
    command, python = panel(at)
    done = typed(command)
    assert done.returncode == 0
    assert f"Record {record.id}, computed again: the same bits" in done.stdout
    assert by_python(at)[0] is True
    assert any("reference cases" in str(m.value) for m in at.markdown)
    assert python.count(record.id) == 1
