"""`lenscalc records chart`: the store's own series, charted as a file of the same values would be."""

import random

import pytest
from called import answer, lenscalc
from record_sheets import sheet

from lenscalc.control import control_chart, series
from lenscalc.demo import demo_text
from lenscalc.records import open_store
from lenscalc.records.to_chart import lines_of, material_series, water_series

DAYS = [f"2026-{1 + i // 4:02d}-{1 + 7 * (i % 4):02d}" for i in range(30)]


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    """Thirty lots of a material and as many water checks, of which the last have moved; one record superseded."""
    place = tmp_path_factory.mktemp("lab") / "records.db"
    rnd = random.Random(5)
    with open_store(place) as store:
        sheets = []
        for i, day in enumerate(DAYS):
            moved = 6e-4 if i >= 27 else 0.0
            n = [round(1.49 + moved + rnd.gauss(0, 1e-4), 5) for _ in range(3)]
            water = [round(1.33262 + moved / 2 + rnd.gauss(0, 2e-5), 5) for _ in range(2)]
            sheets.append((sheet(day=day, lot=f"A-{i:02d}", n=n, water=water), f"{i}.toml"))
        added = store.add_sheets(sheets)
        store.add_sheet(sheet(day=DAYS[0], lot="A-00", n=(1.49, 1.49005, 1.4901)), "0.toml", supersedes=added[0].id, because="mistyped")
        yield store


def test_the_index_of_a_material_is_charted_and_what_signals_is_named(lab):
    a = answer("records", "chart", "--material", "copolymer A", "--baseline", "25", "--store", lab.place)
    points = lab.index_series(material="copolymer A")
    alone = control_chart(series([p.value for p in points], date=[p.day for p in points]), baseline=25)
    assert [p["value"] for p in a["points"]] == alone.series.mean.tolist()
    assert (a["centre"], a["sigma"], a["of"]) == (alone.limits.centre, alone.limits.sigma, "material")
    assert [p["id"] for p in a["points"]] == [p.record for p in points]
    assert points[0].record == lab.history("A-00")[1]["record"]  # not the superseded one
    assert [(s["rule"], s["first"]) for s in a["signals"]] == [(s.rule, s.first + 1) for s in alone.signals]
    done = lenscalc("records", "chart", "--material", "copolymer A", "--baseline", "25", "--store", lab.place)
    said = " ".join(done.stdout.split())
    for p in points[27:]:
        assert f"({p.day}, lot {p.lot}, record {p.record[:12]}" in said or f"to {p.day}, lot {p.lot}, record {p.record[:12]})" in said
    assert "The lots have moved" in said
    assert "Not a medical device" in said


def test_an_instrument_is_watched_by_its_water_checks(lab, tmp_path):
    frozen, picture = tmp_path / "water.toml", tmp_path / "water.svg"
    options = ["--instrument", "bench two", "--store", lab.place]
    a = answer("records", "chart", *options, "--baseline", "25", "--freeze", str(frozen), "--save", str(picture))
    checks = lab.water_checks(instrument="bench two")
    assert [p["value"] for p in a["points"]] == [p.value for p in checks]
    assert a["of"] == "instrument"
    assert a["signals"][-1]["last"] == len(checks)
    assert "shown minus true on water" in picture.read_text(encoding="utf-8")
    again = answer("records", "chart", *options, "--limits", str(frozen))
    assert (again["centre"], again["sigma"], again["signals"]) == (a["centre"], a["sigma"], a["signals"])


def test_a_chart_of_group_means_takes_the_single_readings(lab):
    a = answer("records", "chart", "--material", "copolymer A", "--kind", "xbar-s", "--baseline", "25", "--store", lab.place)
    points = lab.index_series(material="copolymer A")
    assert [p["value"] for p in a["points"]] == pytest.approx([p.value for p in points], abs=1e-12)
    spreads = [(sum((x - p.value) ** 2 for x in p.replicates) / 2) ** 0.5 for p in points]
    assert [p["spread"] for p in a["points"]] == pytest.approx(spreads, rel=1e-6, abs=0.0)
    assert [p["label"] for p in a["points"]] == [f"lot {p.lot}, record {p.record[:12]}" for p in points]


def test_one_lot_and_one_instrument_of_a_material(lab):
    assert material_series(lab, "copolymer A", lot="A-03").points == 1
    assert material_series(lab, "copolymer A", instrument="bench two").points == 30
    assert water_series(lab, "bench two", wavelength_nm=546.0).points == 29  # the one that supersedes has no check


def test_lines_that_are_the_same_are_one():
    class At:
        def __init__(self, nm):
            self.wavelength_nm = nm

    assert lines_of([At(589.29), At(546.07), At(589.3), At(546.1)]) == [546.07, 589.29]


@pytest.mark.parametrize(
    ("args", "told"),
    [
        ((), "give --material for its index, or --instrument for its water checks"),
        (("--lot", "A-01"), "give --material for its index"),
        (("--instrument", "bench two", "--lot", "A-01"), "--lot narrows a material"),
        (("--material", "copolymer A", "--wavelength-nm", "589"), "chooses among water checks"),
        (("--material", "kopolymer A"), "unknown material of the records 'kopolymer A'; did you mean copolymer A?"),
        (("--material", "PMMA"), "unknown material of the records 'PMMA'; there are copolymer A"),
        (("--instrument", "bench tow"), "did you mean bench two?"),
        (("--material", "copolymer A", "--lot", "B-01"), "no record of copolymer A is of lot B-01"),
        (("--instrument", "bench two", "--wavelength-nm", "589"), "no record holds a water check of bench two at 589 nm"),
        (("--material", "copolymer A", "--lot", "A-03"), "a moving range needs two"),
        (("--material", "copolymer A", "--kind", "pie"), "'pie' is not one of"),
        (("--material", "copolymer A", "--limits", "a.toml", "--freeze", "b.toml"), "--freeze needs a baseline"),
        (("--material", "copolymer A", "--save", "chart.pdf"), ".pdf is not written here"),
    ],
)
def test_what_is_wrong_is_told_in_one_line(lab, args, told):
    done = lenscalc("records", "chart", *args, "--store", lab.place)
    assert done.returncode == 2
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert done.stdout == ""


def test_several_lines_of_water_ask_for_one(tmp_path):
    with open_store(tmp_path / "s.db") as store:
        store.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    done = lenscalc("records", "chart", "--instrument", "prism contact", "--store", str(tmp_path / "s.db"))
    assert "prism contact read water at 486.13, 546.07, 589.29 nm, and a chart shows one line" in done.stderr


def test_no_store_and_a_misspelt_command(tmp_path):
    done = lenscalc("records", "chart", "--material", "x", "--store", str(tmp_path / "none.db"))
    assert "there is no store yet" in done.stderr
    done = lenscalc("records", "chrt")
    assert done.stderr == "lenscalc records: no command 'chrt'; did you mean chart?\n"
    assert done.returncode == 2
    assert "there are add, withdraw, list, show" in lenscalc("records", "zzz").stderr
