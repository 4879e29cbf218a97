"""What is added can be found again, followed and superseded; in a file and on a server alike."""

import hashlib

import pytest
from record_sheets import sheet
from sqlalchemy import text

from lenscalc.chain import follow
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import InputError, SheetError
from lenscalc.material import water_index
from lenscalc.records import HISTORY_SQL
from lenscalc.records.canonical import canonical_text, hash_of, head_of
from lenscalc.refractometer import sheet_from_text


@pytest.mark.parametrize("name", demo_sheets())
def test_a_record_holds_what_the_chain_gives(store, name):
    record = store.add_sheet(demo_text(name), name)
    followed = follow(sheet_from_text(demo_text(name)))
    kept = store.record(record.hash)
    assert hash_of(kept.content) == kept.hash == record.hash
    assert kept.section("index")["n_lens"] == float(followed.index.n.value[0])
    assert kept.section("lens")["u_power_D"] == followed.evaluation.only("u_power_D")
    assert kept.section("decision").get("verdict") == followed.evaluation.only("verdict")
    assert [row["sentence"] for row in kept.rows("remarks")] == followed.warnings
    assert store.text_of(kept) == demo_text(name)
    of_specimen = [of["position"] for of in kept.rows("lists") if of["purpose"] == "specimen"]
    assert [row["n"] for row in kept.rows("readings") if row["list"] in of_specimen] == [n for r in followed.sheet.readings for n in r.n]


def test_the_canonical_text_is_the_one_that_is_described():
    content = {"b": {"x": 0.1 + 0.2, "none": None, "zero": -0.0, "dof": float("inf")}, "a": [{"n": 3, "word": "35 °C"}], "empty": {}}
    expected = '{"a":[{"n":3,"word":"35 °C"}],"b":{"dof":"inf","x":0.30000000000000004,"zero":0.0}}'
    assert canonical_text(content) == expected
    assert hash_of(content) == hashlib.sha256(expected.encode()).hexdigest()
    assert head_of([]) == hashlib.sha256(b"[]").hexdigest()


def test_records_follow_one_another(store):
    assert store.head() == head_of([])
    first, second = (store.add_sheet(sheet(day)) for day in ("2026-11-20", "2026-11-21"))
    assert "previous" in first.section("record")
    assert first.section("record")["previous"] == []
    assert second.section("record")["previous"] == [first.hash]
    assert [r.section("record")["number"] for r in (first, second)] == [1, 2]
    assert store.head() == second.hash


def test_a_lots_history_is_plain_sql(store):
    old = store.add_sheet(sheet("2026-11-20", lot="A-01", n=(1.4901, 1.4902)), "monday.toml")
    store.add_sheet(sheet("2026-11-21", lot="A-02"))
    store.add_sheet(sheet("2026-11-21", lot="A-01", material="copolymer Z"))
    new = store.add_sheet(sheet("2026-11-20", lot="A-01", n=(1.4901, 1.4902, 1.4904)), supersedes=old.hash, because="a reading was left out")
    with store.database.engine.connect() as connection:  # the text itself, by nothing of ours
        rows = connection.execute(text(HISTORY_SQL), {"lot": "A-01", "material": "copolymer A", "any_material": 0}).mappings().all()
    assert [(r["record"], r["readings"], r["superseded_by"]) for r in rows] == [(old.hash, 2, new.hash), (new.hash, 3, None)]
    assert [r["n_lens"] for r in rows] == [old.section("index")["n_lens"], new.section("index")["n_lens"]]
    assert rows[0]["because"] == "a reading was left out"
    told = store.history("A-01")
    assert [(r["material"], r["read_on"]) for r in told] == [
        ("copolymer A", "2026-11-20"), ("copolymer Z", "2026-11-21"), ("copolymer A", "2026-11-20"),
    ]  # fmt: skip
    assert store.history("A-99") == []


def test_a_short_question_of_ones_own(store):
    """The one that DEVELOPERS.md shows: who read which lot how often."""
    for day, lot, instrument in (("2026-11-20", "A-01", "bench one"), ("2026-11-21", "A-01", "bench two"), ("2026-11-22", "A-02", "bench two")):
        store.add_sheet(sheet(day, lot=lot, instrument=instrument))
    question = """
        SELECT lots.name, instruments.name, count(*), avg(index_results.n_lens)
          FROM sessions JOIN specimens ON specimens.id = sessions.specimen_id JOIN lots ON lots.id = specimens.lot_id
          JOIN instruments ON instruments.id = sessions.instrument_id JOIN index_results ON index_results.record_id = sessions.record_id
         GROUP BY lots.name, instruments.name ORDER BY 1, 2"""
    with store.database.engine.connect() as connection:
        rows = connection.execute(text(question)).all()
    assert [tuple(r[:3]) for r in rows] == [("A-01", "bench one", 1), ("A-01", "bench two", 1), ("A-02", "bench two", 1)]
    assert rows[0][3] == pytest.approx(1.4902, abs=2e-5)  # read at 35 °C and 546.07 nm, hydrated: the index in use is the mean


def test_the_list_by_material_lot_and_day(store):
    for day, material, lot in (("2026-11-22", "copolymer A", "1"), ("2026-11-20", "copolymer A", "2"), ("2026-11-21", "copolymer B", "1")):
        store.add_sheet(sheet(day, material=material, lot=lot))

    def days(**wanted):
        return [r.day[-2:] for r in store.records(**wanted)]

    assert days() == ["20", "21", "22"]
    assert days(material="copolymer A") == ["20", "22"]
    assert days(lot="1") == ["21", "22"]
    assert days(since="2026-11-21", until="2026-11-21") == ["21"]
    assert days(material="nothing") == []
    with pytest.raises(InputError, match=r"since = '21\.11\.2026': must be a day"):
        store.records(since="21.11.2026")


def test_superseding_leaves_the_old_record_and_says_why(store):
    old = store.add_sheet(sheet(lot="A-10"))
    with pytest.raises(InputError, match="says why"):
        store.add_sheet(sheet(lot="A-01"), supersedes=old.hash)
    with pytest.raises(InputError, match="says why"):
        store.add_sheet(sheet(lot="A-01"), because="no reason")
    new = store.add_sheet(sheet(lot="A-01"), supersedes=old.id, because="the lot was mistyped")
    assert new.section("record")["supersedes"] == old.hash
    assert store.record(old.id).superseded_by == (new.hash,)
    assert store.record(old.id).content == old.content
    assert [r.hash for r in store.records()] == [new.hash]
    assert [r.hash for r in store.records(superseded=True)] == [old.hash, new.hash]
    with pytest.raises(InputError, match=f"superseded already, by {new.id}"):
        store.add_sheet(sheet(lot="A-02"), supersedes=old.id, because="again")
    with pytest.raises(InputError, match="there is none in this store"):
        store.add_sheet(sheet(lot="A-02"), supersedes="0123456789ab", because="again")
    with pytest.raises(InputError, match="one record is superseded by one sheet, and 2 are given"):
        store.add_sheets([(sheet(lot="3"), "a"), (sheet(lot="4"), "b")], supersedes=new.id, because="again")


def test_all_sheets_or_none(store):
    good, bad = sheet(), sheet().replace("1.4901", "14.901")
    with pytest.raises(SheetError, match=r"bad\.toml.*14\.901"):
        store.add_sheets([(good, "good.toml"), (bad, "bad.toml")])
    assert store.records() == []
    added = store.add_sheet(good, "folder/good.toml")
    assert added.section("record")["sheet_name"] == "good.toml"  # no path of anybody's machine
    with pytest.raises(InputError, match=f"same.toml: this very sheet is kept already, as record {added.id}"):
        store.add_sheets([(sheet(lot="A-02"), "other.toml"), (good, "same.toml")])
    assert len(store.records()) == 1
    with pytest.raises(InputError, match="this very sheet is kept already"):  # twice in one call
        store.add_sheets([(sheet(lot="A-02"), "one.toml"), (sheet(lot="A-02"), "two.toml")])
    assert len(store.records()) == 1


def test_a_record_is_called_by_its_first_digits(store):
    record = store.add_sheet(sheet())
    assert store.record(record.hash[:4].upper()).hash == record.hash
    for wrong, said in (("abc", "first 4 or more"), ("%%%%", "first 4 or more"), ("fff0" * 16, "there is none"), ("", "first 4 or more")):
        with pytest.raises(InputError, match=said):
            store.record(wrong)


def test_series_for_whatever_looks_at_them_over_time(store):
    true = float(water_index(546.07, 35.0))
    for day, lot, water in (("2026-11-22", "A-03", (1.33205, 1.33207)), ("2026-11-20", "A-01", (1.33204, 1.33206)), ("2026-11-21", "A-02", None)):
        store.add_sheet(sheet(day, lot=lot, water=water, n=(1.4901, 1.4902, 1.4903)))
    store.add_sheet(sheet("2026-11-20", lot="A-09", water=(1.33204, 1.33206)))  # the same check in another specimen's sheet
    store.add_sheet(sheet("2026-11-23", material="copolymer Z"))
    index = store.index_series(material="copolymer A")
    assert [(p.day, p.lot) for p in index] == [("2026-11-20", "A-01"), ("2026-11-20", "A-09"), ("2026-11-21", "A-02"), ("2026-11-22", "A-03")]
    assert index[2].value == pytest.approx(1.4902, abs=1e-9)
    assert index[2].replicates == pytest.approx((1.4901, 1.4902, 1.4903), abs=1e-9)
    assert index[2].u == store.record(index[2].record).section("index")["u_n_lens"]
    checks = store.water_checks(instrument="bench two")
    assert [p.day for p in checks] == ["2026-11-20", "2026-11-22"]
    assert [p.value for p in checks] == pytest.approx([1.33205 - true, 1.33206 - true], abs=1e-12)
    assert checks[0].replicates == pytest.approx((1.33204 - true, 1.33206 - true), abs=1e-12)
    assert store.water_checks(instrument="bench two", wavelength_nm=589.29) == []
    assert store.water_checks(instrument="bench nine") == []
    assert (store.instruments(), store.materials()) == (["bench two"], ["copolymer A", "copolymer Z"])
