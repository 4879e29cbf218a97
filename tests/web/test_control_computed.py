"""The panel of the page of a series: its command and its Python lines, typed as they stand, find what the page found."""

import pytest
from shown import HOME, by_command, by_python, code, opened, words
from streamlit.testing.v1 import AppTest

from lenscalc.control import as_toml, limits_from, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_sheets, demo_text
from lenscalc.records import open_store
from lenscalc.web.records.control_page import CHARTS, RULE_SETS

GROUPS = "date,value,group\n" + "".join(f"2026-01-{1 + i // 3:02d},{10 + (i * 7) % 5},{i // 3}\n" for i in range(84))


def page():
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run()
    return at.switch_page(str(HOME / "views" / "moved.py")).run()


def agree(at):
    """Page, command and Python say the same sentence."""
    assert not at.exception
    (said,) = by_command(at)
    sentence, _ = by_python(at)
    assert said["sentence"] == sentence
    assert f"**{sentence}**" in words(at)


@pytest.mark.parametrize("kind", [n for n, kind in CHARTS.items() if not kind.startswith("xbar")])
def test_of_the_demo_series(kind):
    at = page()
    at.selectbox(key="kind_of_chart").select(kind).run()
    agree(at)


@pytest.mark.parametrize("rules", RULE_SETS)
def test_with_other_rules_and_another_baseline(rules):
    at = page()
    at.selectbox(key="rule_set").select(rules)
    at.text_input(key="baseline_demo").set_value("1:12").run()
    agree(at)


def test_of_a_pasted_series_in_groups(tmp_path, monkeypatch):
    at = page()
    at.selectbox(key="kind_of_chart").select("Group means, with standard deviations")
    at.text_area(key="series_text").set_value(GROUPS)
    at.run()
    (tmp_path / "series.csv").write_text(GROUPS, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    agree(at)
    assert [b.label for b in opened(at).get("download_button") if "series.csv" in b.label] == ["Save series.csv"]


def test_by_frozen_limits(tmp_path, monkeypatch):
    text = as_toml(limits_from(series_from_text(demo_text(WATER_CHECKS)), kind="cusum", baseline=25))
    at = page()
    at.file_uploader(key="frozen_file").set_value(("limits.toml", text.encode(), "application/toml")).run()
    (tmp_path / "limits.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    agree(at)


def test_of_the_records(kept):
    with open_store(create=True, wait_s=10.0) as store:
        for name in demo_sheets():
            store.add_sheet(demo_text(name), name)
        for i in range(9):
            sheet = demo_text("copolymer_b.toml").replace("1.51882", f"1.5188{i}" if i != 2 else "1.51879").replace("1.33452", f"1.33{445 + i}")
            store.add_sheet(sheet, f"again_{i}.toml")
    at = page()
    at.radio(key="series_from").set_value("the records").run()
    assert not at.error, [e.value for e in at.error]
    assert code(at, "bash").startswith("lenscalc records chart --material ")
    agree(at)
    at.radio(key="series_of").set_value("an instrument's water checks").run()
    at.selectbox(key="series_instrument").set_value("prism contact").run()
    at.selectbox(key="series_line").set_value("546.07").run()
    assert not at.error, [e.value for e in at.error]
    assert code(at, "bash").startswith("lenscalc records chart --instrument ")
    agree(at)
