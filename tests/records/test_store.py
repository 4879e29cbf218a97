"""What is added can be found again, as it was; on a file and on a server alike."""

import json
import re
import sys

import pytest
from sqlalchemy import text

from lenscalc.chain import follow
from lenscalc.decision import ToleranceTable
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import InputError, SheetError
from lenscalc.records import open_store
from lenscalc.records.canonical import canonical_text, hash_of
from lenscalc.records.history import HISTORY_SQL
from lenscalc.refractometer import sheet_from_text

sys.path.insert(0, str(__import__("pathlib").Path(__file__).parent))
from sheets import sheet


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
    assert store.sheet_of(kept).title == followed.sheet.title
    assert sum(len(r.n) for r in followed.sheet.readings) == sum(
        1 for row in kept.rows("readings") if kept.rows("lists")[row["list"] - 1]["purpose"] == "specimen"
    )
