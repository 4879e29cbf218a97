"""What the page of the records says of one that was withdrawn, and of the record that withdraws it."""

import pytest
from record_sheets import sheet
from shown import page, words

from lenscalc.records import open_store

WHY = "a sheet of the [training](course)"


@pytest.fixture
def store(tmp_path, monkeypatch):
    place = tmp_path / "records.db"
    monkeypatch.setenv("LENSCALC_STORE", str(place))
    with open_store(place) as opened:
        yield opened


def test_it_is_left_out_and_told_where_it_is_shown(store):
    store.add_sheet(sheet("2026-11-19"), "a.toml")
    mistake = store.add_sheet(sheet("2026-11-20"), "b.toml")
    word = store.withdraw(mistake.hash, because=WHY)
    at = page("what_is_kept.py")
    assert not at.exception
    assert len(at.table[0].value) == 1
    at.checkbox(key="kept_superseded").check().run()
    assert at.table[0].value["decision"].str.startswith("withdrawn: a sheet of the").sum() == 1
    at = page("what_is_kept.py", record=mistake.id)
    assert not at.exception
    assert any(w.value.startswith("Withdrawn, because a sheet of the") and "[training](course)" not in w.value for w in at.warning)
    at = page("what_is_kept.py", record=word.id)
    assert not at.exception
    assert f"Only that record {mistake.id} is withdrawn" in words(at)
