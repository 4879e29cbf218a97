"""The pages on either kind of store: what a file shows, a server shows."""

import pytest
from record_sheets import sheet
from shown import page, words

from lenscalc.records import Filter, open_store
from lenscalc.web.records.kept_store import export_bytes, report_bytes


@pytest.fixture
def filled(place, monkeypatch):
    """Three lots of one material, of which one was read anew."""
    monkeypatch.setenv("LENSCALC_STORE", place)
    with open_store(place) as store:
        store.add_sheets([(sheet(day=f"2026-01-{1 + i:02d}", lot=f"A-{i}", n=(1.49 + i * 1e-4, 1.4901 + i * 1e-4)), f"{i}.toml") for i in range(3)])
        first = store.lines()[-1]
        store.add_sheet(sheet(day="2026-01-09", lot="A-0"), "again.toml", supersedes=first.hash, because="a drop had dried")
        yield store


def shown(file, **address):
    at = page(file, **address)
    assert not at.exception
    assert not at.error
    return at


def test_a_lot_is_found_with_its_history(filled):
    at = shown("what_is_kept.py")
    assert list(at.table[0].value.index) == [line.id for line in filled.lines()]
    at.selectbox(key="kept_material").select(filled.lines()[0].material).run()
    at.selectbox(key="kept_lot").select("A-0").run()
    assert len(at.table[0].value) == 1
    (old,) = (line for line in filled.lines(Filter(superseded=True)) if line.superseded_by)
    at = shown("what_is_kept.py", record=old.id)
    assert any("because a drop had dried" in w.value for w in at.warning)
    assert len(at.table[-1].value) == 2


def test_a_record_is_computed_again_checked_and_printed(filled):
    at = shown("what_is_kept.py")
    at.button[-1].click().run()
    assert at.success[0].value.startswith("Every value came out to the same bits")
    at.button[0].click().run()
    assert any(s.value.startswith("Each of 4 records gives its hash") for s in at.success)
    record = filled.lines()[0]
    html = report_bytes(record.hash, ".html").decode()
    assert record.hash in html
    assert filled.head() in html
    assert export_bytes()[:2] == b"PK"


def test_a_material_goes_on_its_chart(filled):
    at = shown("moved.py")
    at.radio(key="series_from").set_value("the records").run()
    assert not at.exception
    assert "3 values from the records" in words(at)


def test_a_server_that_is_gone_is_told_in_a_sentence(monkeypatch):
    monkeypatch.setenv("LENSCALC_STORE", "postgresql://lab:secret@/lab?host=/no/such/folder")
    at = page("what_is_kept.py")
    assert not at.exception
    assert any(r"postgresql://lab:\*\*\*@/lab" in e.value and "does not answer" in e.value for e in at.error)
    assert not any("secret" in e.value for e in at.error)
