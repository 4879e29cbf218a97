"""What a store gives back to the bit: texts and numbers of every kind, every single reading; and what its database refuses."""

import json

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Refractive
from record_sheets import sheet
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from lenscalc.decision import ToleranceTable
from lenscalc.demo import demo_text
from lenscalc.errors import FileError, InputError
from lenscalc.material import water_index
from lenscalc.records import open_store
from lenscalc.records import tables as t
from lenscalc.records.canonical import canonical_text, hash_of
from lenscalc.records.rows import as_kept, insert_record


def test_a_character_that_no_database_keeps(store):
    with pytest.raises(InputError, match="zero character"):
        store.add_sheet(sheet(material="copolymer \\u0000"))
    with pytest.raises(InputError, match="half a character"):
        store.add_sheet(sheet() + "# \ud800")
    assert store.records() == []


def test_texts_and_numbers_of_every_kind(store):
    strange = "Ölprobe „42“ ' ; DROP TABLE records; -- 🔬 \\\\ \\n e\\u0301"
    record = store.add_sheet(sheet(material=strange))
    assert store.records(material=record.material)[0].hash == record.hash
    assert store.check().problems == ()
    round_back = "value = -14.8\nu = 0.02"
    assert round_back in demo_text("copolymer_b.toml")
    plano = store.add_sheet(demo_text("copolymer_b.toml").replace(round_back, 'value = "plano"\nu_curvature_per_mm = 0.0001'))
    assert store.record(plano.id).section("lens")["back_radius_mm"] == float("inf")
    many = store.add_sheet(sheet("2026-11-22", n=[1.49 + i * 1e-6 for i in range(3000)]))
    assert len(store.record(many.id).rows("readings")) == 3000


def test_the_tolerance_table_is_kept_and_taken_again(store):
    own = ToleranceTable("our own, edition 3", ((10.0, 0.1), (float("inf"), 0.05)), "read", "of the lab")
    record = store.add_sheet(demo_text("copolymer_b.toml"), tolerance_table=own)
    kept = store.record(record.id)
    assert store.tolerance_table_of(kept) == own
    assert (kept.section("decision")["edition"], kept.section("decision")["tolerance_D"]) == ("our own, edition 3", 0.05)
    assert store.again(kept).outcome == "the same bits"
    assert store.tolerance_table_of(store.add_sheet(sheet())) is None


@pytest.mark.parametrize("what", ["UPDATE", "DELETE"])
def test_the_database_refuses_a_change(store, what):
    for name in ("copolymer_b.toml", "copolymer_e.toml"):
        store.add_sheet(demo_text(name))  # every table has a row then
    for name in t.metadata.tables:
        column = next(iter(t.metadata.tables[name].c)).name
        statement = f"UPDATE {name} SET {column} = {column}" if what == "UPDATE" else f"DELETE FROM {name}"
        with store.database.engine.connect() as connection, pytest.raises(DBAPIError, match="never changed"), connection.begin():
            connection.execute(text(statement))
    assert store.check().problems == ()


def test_a_server_refuses_to_empty_a_table(store):
    if store.database.is_file:
        pytest.skip("SQLite has no TRUNCATE")
    store.add_sheet(sheet())
    with store.database.engine.connect() as connection, pytest.raises(DBAPIError, match="never changed"), connection.begin():
        connection.execute(text("TRUNCATE remarks"))


def test_a_store_is_found_again_and_none_is_made_by_looking(place, tmp_path):
    with pytest.raises(FileError, match="there is no store yet"):
        open_store(place, create=False)
    with open_store(place) as store:
        record = store.add_sheet(sheet())
    with open_store(place, create=False) as store:
        assert store.record(record.id).content == record.content
        assert store.aside is None
    assert sorted(p.name for p in tmp_path.iterdir() if "-" not in p.name) in ([], ["store.db"])


def test_no_table_holds_a_blob():
    kinds = {str(c.type.compile()) for table in t.metadata.tables.values() for c in table.c}
    assert kinds == {"INTEGER", "TEXT", "DOUBLE", "DATE", "DATETIME", "VARCHAR(64)", "VARCHAR(32)", "VARCHAR(16)"}
    assert [c.name for c in t.sheets.c] == ["sha256", "text"]  # the sheet as it was given, beside its typed columns


def test_a_content_reads_back_from_its_canonical_text(store):
    record = store.add_sheet(demo_text("copolymer_e.toml"))
    assert as_kept(json.loads(canonical_text(record.content))) == record.content


NUMBERS = (0.1 + 0.2, 5e-324, 2.2250738585072014e-308, 1.7976931348623157e308, -0.0, 1.0, 1e22, 123456789012345678.0, float("inf"), float("-inf"))


def test_a_number_comes_back_to_the_bit(store):
    generator = np.random.default_rng(20261125)
    many = [float(x) for x in np.frombuffer(generator.bytes(8 * 500), dtype="f8") if not np.isnan(x)]
    record = store.add_sheet(sheet())
    rows = [{"position": i, "stated_in": "here", "name": "x", "value": x} for i, x in enumerate([*NUMBERS, *many], 1)]
    content = {**record.content, "record": {**record.section("record"), "number": 2, "previous": [record.hash]}, "corrections": rows}
    with store.database.writing() as connection:
        name = insert_record(connection, as_kept(content), store.text_of(record))
    kept = store.record(name)
    assert [row["value"].hex() for row in kept.rows("corrections")] == [(x + 0.0).hex() for x in [*NUMBERS, *many]]
    assert hash_of(kept.content) == name
    assert store.check().problems == ()


def test_every_single_reading_keeps_whose_it_is(store):
    labels = 'mounting = [1, 1, 2, 2]\noperator = ["N", "N", "M", "M"]\nminutes_after_mounting = [1.0, 2.0, 1.0, 3.5]\n'
    text = sheet(n=(1.4901, 1.4902, 1.4903, 1.4901), water=(1.33204, 1.33206)).replace("n = [1.4901", f"{labels}n = [1.4901", 1)
    text += """
[medium]
n = [1.33501, 1.33503]
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.1
basis = "air"
dn_dt_per_K = -0.0001
u_dn_dt_per_K = 0.00001
same_instrument = true
"""
    text = text.replace("[calibration]\n", "[calibration]\ncheck_before = [1.33300, 1.33301]\ncheck_after = [1.33302, 1.33302]\n")
    record = store.add_sheet(text)
    lists = {of["purpose"]: of for of in record.rows("lists")}
    assert list(lists) == ["specimen", "medium", "reference", "check before", "check after"]
    first = [row for row in record.rows("readings") if row["list"] == 1]
    assert [(r["mounting"], r["operator"], r["minutes_after_mounting"]) for r in first] == [
        ("1", "N", 1.0), ("1", "N", 2.0), ("2", "M", 1.0), ("2", "M", 3.5),
    ]  # fmt: skip
    assert all("session" not in r for r in first)
    assert [r["n"] for r in record.rows("readings") if r["list"] == lists["check after"]["position"]] == [1.33302, 1.33302]
    reference = lists["reference"]
    assert reference["shown_minus_true"] == pytest.approx(1.33205 - float(water_index(546.07, 35.0)), abs=1e-12)
    assert reference["n_shown"] - reference["n_true"] == pytest.approx(reference["shown_minus_true"], abs=1e-15)
    assert {row["name"] for row in record.rows("corrections")} >= {"dn_dt_per_K", "wavelength_nm"}


def test_the_light_is_in_the_error_of_a_kept_reference(store):
    """What the reference shows too much moves with the light by water's own slope: u² grows by (n′·u_λ)², n′ by iapws 1.5.5 at its line, 35 °C."""
    text = sheet(water=(1.33204, 1.33206)) + "\n[dispersion]\nabbe_d = 52.0\nu_abbe_d = 2.0\n"
    texts = text, text.replace("n = [1.4901", "u_wavelength_nm = 0.5\nn = [1.4901", 1)
    without, under = ({of["purpose"]: of for of in store.add_sheet(text).rows("lists")}["reference"] for text in texts)
    density = IAPWS95(T=308.15, P=0.101325).rho
    slope = (_Refractive(density, 308.15, 0.54657) - _Refractive(density, 308.15, 0.54557)) / 1.0
    assert under["shown_minus_true"] == without["shown_minus_true"]
    more = under["u_shown_minus_true"] ** 2 - without["u_shown_minus_true"] ** 2
    assert more**0.5 == pytest.approx(abs(slope) * 0.5, rel=2e-3, abs=0.0)  # λ in vacuum and in air differ by 3e-4
