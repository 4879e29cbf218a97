"""A record computed again, by the same version and by another."""

import pytest
from record_sheets import sheet

import lenscalc
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import SheetError
from lenscalc.records import again, open_store
from lenscalc.records.again import Difference
from lenscalc.records.made_by import made_by


@pytest.fixture
def store(tmp_path):
    with open_store(tmp_path / "store.db") as opened:
        yield opened


@pytest.mark.parametrize("name", demo_sheets())
def test_the_same_version_and_processor_give_the_same_bits(store, name):
    found = store.again(store.add_sheet(demo_text(name), name))
    assert (found.outcome, found.differences, found.holds, found.is_same_maker) == ("the same bits", (), True, True)


def test_another_process_gives_the_same_bits(store, tmp_path):
    """The order in which a process hashes its texts is its own; no result may depend on it."""
    import os
    import subprocess
    import sys

    store.add_sheets([(demo_text(name), name) for name in demo_sheets()])
    code = (
        "import sys; from lenscalc.records import open_store\n"
        "s = open_store(sys.argv[1], create=False)\n"
        "print(*{s.again(r).outcome for r in s.records()}, sep=', ')"
    )
    for seed in ("1", "2"):
        done = subprocess.run([sys.executable, "-c", code, store.place], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True)
        assert done.stdout == "the same bits\n", done.stderr


def _by(**other):
    return lambda: {**made_by(), **other}


def test_another_processor_may_differ_in_the_last_bits(store, monkeypatch):
    record = store.add_sheet(demo_text("copolymer_b.toml"))
    lens = {**record.content["lens"], "power_D": record.content["lens"]["power_D"] * (1 + 4e-16), "u_power_D": record.content["lens"]["u_power_D"]}
    moved = type(record)(record.hash, {**record.content, "lens": lens})
    same = again.computed_again(moved, store.text_of(record))
    assert (same.outcome, same.holds) == ("within 1e-13", False)  # the same maker must give the same bits
    monkeypatch.setattr(again, "made_by", _by(processor="another"))
    other = again.computed_again(moved, store.text_of(record))
    assert (other.outcome, other.holds, other.is_same_maker) == ("within 1e-13", True, False)
    lens["power_D"] += 1e-9
    far = again.computed_again(moved, store.text_of(record))
    assert (far.outcome, far.holds) == ("differs", False)
    assert [d.field for d in far.differences] == ["lens.power_D"]


def test_what_another_version_does_otherwise_is_shown(store, monkeypatch):
    import lenscalc.records.determination as determination

    record = store.add_sheet(sheet())
    monkeypatch.setattr(lenscalc, "__version__", "9.9.0")
    whole = determination._index
    monkeypatch.setattr(determination, "_index", lambda followed: {**whole(followed), "n_lens": 1.5})
    found = store.again(record)
    assert (found.then["lenscalc"], found.now["lenscalc"]) == (record.section("record")["lenscalc"], "9.9.0")
    assert found.differences == (Difference("index.n_lens", record.section("index")["n_lens"], 1.5),)
    assert not found.holds

    def stricter(text, name, tolerance_table=None):
        raise SheetError("[reading] is asked for more than it was")

    monkeypatch.setattr(again, "computed", stricter)
    refused = store.again(record)
    assert (refused.outcome, refused.holds, refused.refusal) == ("refused", False, "[reading] is asked for more than it was")


@pytest.mark.parametrize(
    ("then", "now", "close"),
    [(20.0, 20.0 + 1e-12, True), (20.0, 20.0 + 4e-12, False), (1e-5, 1e-5 + 9e-14, True), (1e-5, 2e-5, False), (1.0, None, False), ("a", "b", False)],
)
def test_how_near_is_near(then, now, close):
    assert Difference("x", then, now).is_close is close
