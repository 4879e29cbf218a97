"""The drawing of a control chart shows what the chart says."""

import numpy as np
import pytest

from lenscalc.charts import control_chart_drawing, save_chart
from lenscalc.control import KINDS, control_chart, series, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.errors import InputError


@pytest.fixture(scope="module")
def drift():
    return control_chart(series_from_text(demo_text(WATER_CHECKS)), baseline=25)


def rows_with(drawing, *columns):
    return [rows for rows in drawing.to_dict()["datasets"].values() if set(columns) <= set(rows[0])]


def test_every_point_stands_where_it_was_read_and_diamonds_are_the_signals(drift):
    (points,) = rows_with(control_chart_drawing(drift), "at", "value", "signals")
    assert [p["value"] for p in points] == drift.series.mean.tolist()
    assert [p["at"] for p in points] == list(range(1, 41))
    assert [i for i, p in enumerate(points) if p["signals"]] == drift.signalling.tolist()


def test_signals_are_written_with_their_numbers_and_limits_with_their_values(drift):
    drawing = control_chart_drawing(drift)
    words = [row["text"] for rows in rows_with(drawing, "text") for row in rows]
    assert {"33", "35 to 40", "baseline"} <= set(words)
    assert f"upper limit\n{drift.level.upper[0]:.6f}" in words
    assert any("diamond" in str(layer) for layer in drawing.to_dict()["layer"])
    assert "first point 33 (2026-08-17)" in " ".join(drawing.to_dict()["title"]["text"]).replace("\xa0", " ")


def test_the_baseline_is_shaded_over_its_points(drift):
    (bands,) = [rows for rows in rows_with(control_chart_drawing(drift), "at", "to") if "text" not in rows[0]]
    assert bands == [{"at": 0.5, "to": 25.5}]
    two = control_chart(drift.series, baseline=[i < 10 or 15 <= i < 25 for i in range(40)])
    (bands,) = [rows for rows in rows_with(control_chart_drawing(two), "at", "to") if "text" not in rows[0]]
    assert bands == [{"at": 0.5, "to": 10.5}, {"at": 15.5, "to": 25.5}]


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_and_printed(tmp_path, kind, ground):
    x = np.random.default_rng(4).standard_normal(60)
    s = series(x, group=[f"g{i // 2}" for i in range(60)] if kind.startswith("xbar") else None)
    chart = control_chart(s, kind=kind, baseline=20)
    for part in ("level", "spread") if chart.spread else ("level",):
        path = tmp_path / f"{part}.svg"
        save_chart(control_chart_drawing(chart, part=part, width=500, ground=ground), str(path), ground=ground)
        text = path.read_text(encoding="utf-8")
        assert "upper limit" in text
        assert "NaN" not in text


def test_a_kind_without_a_spread(drift):
    with pytest.raises(InputError, match="kind ewma has no spread"):
        control_chart_drawing(control_chart(drift.series, kind="ewma", baseline=25), part="spread")


def test_of_many_points_the_last_are_drawn():
    drawing = control_chart_drawing(control_chart(series(np.random.default_rng(1).standard_normal(100_000)), baseline=100), most=300)
    (points,) = rows_with(drawing, "at", "value", "signals")
    assert len(points) == 300
    assert points[-1]["at"] == 100_000
    assert "the last 300 of 100000 points" in " ".join(drawing.to_dict()["title"]["text"])


def test_a_label_with_a_quotation_mark_does_not_break_the_axis(tmp_path):
    chart = control_chart(series([1.0, 2.0, 1.5, 1.8], label=["it's", "b\\c", "c", "d"]))
    save_chart(control_chart_drawing(chart, width=300), str(tmp_path / "a.svg"))
    assert "it's" in (tmp_path / "a.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", ["lot\n3", "lot\r\n3", "lot\u20283", "lot\x073"])
def test_a_label_or_name_of_two_lines_does_not_break_the_picture(tmp_path, text):
    chart = control_chart(series([1.0, 2.0, 1.5, 1.8], label=[text] * 4))
    save_chart(control_chart_drawing(chart, name=f"index of {text}", width=300), str(tmp_path / "a.svg"))
    assert "index of lot" in (tmp_path / "a.svg").read_text(encoding="utf-8")


def test_what_is_said_of_the_whole_series_counts_what_is_not_drawn():
    """A jump at point 50 of 500, of which 400 are drawn: the step up to it and the one back stand above the limit."""
    values = [1.0, 1.1] * 250
    values[49] = 9.0
    chart = control_chart(series(values))
    drawn = control_chart_drawing(chart, part="spread").to_dict()
    assert drawn["description"].endswith("; 2 signal.")
    words = " ".join(drawn["title"]["text"])
    assert "Of the moving range of 500 points 2 signal." in words
    assert "Diamonds" not in words
