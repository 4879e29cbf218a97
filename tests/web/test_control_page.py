"""The page of a series, without a browser."""

from io import StringIO
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.control import as_toml, control_chart, limits_from, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.web.records.control_page import CHARTS, RULE_SETS
from lenscalc.web.records.control_tables import as_csv, how_soon, limits_table, signals_table

HOME = Path(lenscalc.web.__file__).parent


@pytest.fixture
def at():
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run()
    return at.switch_page(str(HOME / "views" / "moved.py")).run()


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


def test_the_demo_series_has_moved(at):
    chart = control_chart(series_from_text(demo_text(WATER_CHECKS)), baseline=25)
    assert not at.exception
    assert chart.sentence in words(at)
    assert "invented for the demo" in words(at)
    assert "Point 40 (2026-10-05)" in at.table[0].value.index
    assert any("not a medical device" in w.value.lower() for w in at.warning)


@pytest.mark.parametrize("name", [n for n, kind in CHARTS.items() if not kind.startswith("xbar")])
def test_every_kind_for_single_points_is_drawn(at, name):
    at.selectbox(key="kind_of_chart").select(name).run()
    assert not at.exception
    assert not at.error
    assert "signal" in words(at)


def test_groups_are_asked_for_where_they_are_needed(at):
    at.selectbox(key="kind_of_chart").select("Group means, with ranges").run()
    assert "has one reading" in at.error[0].value
    text = "date,value,group\n" + "".join(f"2026-01-{1 + i // 3:02d},{10 + (i * 7) % 5},{i // 3}\n" for i in range(84))
    at.text_area(key="series_text").set_value(text).run()
    assert not at.exception
    assert not at.error
    assert "of 28 points" in words(at) or "in 28 points" in words(at)
    assert "no baseline is named" in " ".join(i.value for i in at.info).lower()


def test_fewer_rules_and_another_baseline_change_the_answer(at):
    at.selectbox(key="rule_set").select(list(RULE_SETS)[1]).run()
    assert "1 of 40 points signals, first point 40 (2026-10-05)" in words(at)
    at.text_input(key="baseline_demo").set_value("1:10").run()
    assert "too short" in " ".join(i.value for i in at.info)
    at.text_input(key="baseline_demo").set_value("all").run()
    assert "names no stretch" in at.error[0].value


def test_the_spread_and_the_material(at):
    at.radio(key="part_of_chart").set_value("their spread").run()
    assert not at.exception
    at.radio(key="watched").set_value("material").run()
    assert "The lots have moved and stayed" in at.table[0].value["look at"].iloc[0]


@pytest.mark.parametrize(
    ("text", "told"),
    [("date,value\n2026-01-05,about 1\n", "line 2: value = 'about 1' is not a number"), ("date,value\n2026-01-05,1.33\n", "a moving range needs two"),
     ("nothing", "no values"), ("date,value\n" + "2026-01-05,1.33299\n" * 25, "does not vary")],
)  # fmt: skip
def test_a_pasted_series_that_cannot_be_charted_is_told_in_one_line(at, text, told):
    at.text_area(key="series_text").set_value(text).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value


def test_frozen_limits_are_loaded(at):
    limits = limits_from(series_from_text(demo_text(WATER_CHECKS)), kind="ewma", baseline=25)
    at.file_uploader(key="frozen_file").set_value(("frozen.toml", as_toml(limits).encode(), "application/toml")).run()
    assert not at.exception
    assert "the weighted average stands above its upper limit" in words(at)
    at.file_uploader(key="frozen_file").set_value(("frozen.toml", b"[limits]\nkind = 'pie'", "application/toml")).run()
    assert "frozen.toml: [limits] kind = 'pie'" in at.error[0].value


def test_the_tables_say_what_the_chart_says():
    chart = control_chart(series_from_text(demo_text(WATER_CHECKS)), baseline=25)
    assert list(signals_table(chart, 2).index) == ["Point 33 (2026-08-17)", "Points 35 to 36 (2026-08-31 to 2026-09-07)"]
    assert limits_table(chart).loc["limits of the value", "value"] == f"{chart.level.lower[0]:.6f} to {chart.level.upper[0]:.6f}"
    # Champ and Woodall 1987: 91.75 without a shift (quoted), 9.22 after one sigma (memory)
    assert list(how_soon(chart)["points until a signal"])[::2] == ["92", "9.2"]
    back = pd.read_csv(StringIO(as_csv(chart)))
    assert back["value"].tolist() == chart.series.mean.tolist()
    assert (back.index[back["signals"] == 1]).tolist() == chart.signalling.tolist()
