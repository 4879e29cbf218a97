"""The chart of ranks says what the numbers say, and its files are whole."""

import json

import pytest

from lenscalc.charts import rank_bars, save_chart
from lenscalc.errors import FileError, InputError

P = [[0.7, 0.2, 0.1], [0.2, 0.5, 0.3], [0.1, 0.3, 0.6]]


def rows_with(chart, *columns):
    """The one data set of a chart that has these columns."""
    found = [rows for rows in chart.to_dict()["datasets"].values() if set(columns) <= set(rows[0])]
    assert len(found) == 1
    return found[0]


def test_every_bar_is_as_high_as_its_share_and_says_it():
    bars = rows_with(rank_bars(["A", "B", "C"], P), "share", "top")
    assert [b["share"] for b in bars] == [p for row in P for p in row]
    scale = {round((b["top"] - b["base"]) / b["share"], 9) for b in bars}
    assert len(scale) == 1
    assert [b["text"] for b in bars[:3]] == ["70 %", "20 %", "10 %"]
    marks = rows_with(rank_bars(["A", "B", "C"], P), "mean")
    assert [m["mean"] for m in marks] == pytest.approx([1.4, 2.1, 2.5])  # 0.7 + 2·0.2 + 3·0.1 and so on
    assert [m["candidate"] for m in marks] == ["A", "B", "C"]


def test_later_ranks_are_drawn_together():
    many = [[1 / 20] * 20 for _ in range(20)]
    bars = rows_with(rank_bars([str(i) for i in range(20)], many, most=4), "share", "top")
    assert len(bars) == 4 * 5
    assert [b["share"] for b in bars[:5]] == pytest.approx([0.05] * 4 + [0.8])


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("ending", ["svg", "png", "html", "json"])
def test_files(tmp_path, ground, ending):
    path = tmp_path / f"ranks.{ending}"
    save_chart(rank_bars(["A", "B", "C"], P, width=500, ground=ground), str(path), ground=ground)
    assert [p.name for p in tmp_path.iterdir()] == [path.name]
    data = path.read_bytes()
    assert len(data) > 1000
    if ending == "svg":
        assert b"70 %" in data
        assert b"mean rank" in data
    if ending == "json":
        assert json.loads(data)["config"]["background"] == {"light": "#ffffff", "dark": "#191814"}[ground]


def test_nothing_to_draw():
    with pytest.raises(InputError, match="nothing to draw"):
        rank_bars([], [])
    with pytest.raises(FileError, match=r"use \.html"):
        save_chart(rank_bars(["A", "B", "C"], P), "ranks.gif")
