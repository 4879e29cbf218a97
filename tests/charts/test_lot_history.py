"""The picture of a lot's records: each stands where it was added, with its u, and what was superseded is told apart by its shape."""

import pandas as pd
import pytest

from lenscalc.charts import lot_history, save_chart


def rows(chart):
    drawn = chart.to_dict()
    return pd.DataFrame(max(drawn["datasets"].values(), key=len)), drawn


def test_points_bars_and_shapes():
    data, drawn = rows(lot_history(["2026-01-05", "2026-01-06", "2026-01-07"], [1.49, 1.4901, 1.4902], [1e-4, 2e-4, 1e-4],
                                   superseded=[True, False, False], looked_at=2))  # fmt: skip
    assert data["kind"].tolist() == ["superseded", "stands", "looked at"]
    assert data["low"].tolist() == pytest.approx([1.4899, 1.4899, 1.4901])
    assert data["high"].tolist() == pytest.approx([1.4901, 1.4903, 1.4903])
    assert drawn["description"] == "The index of 3 records of the lot, 1.49000 to 1.49020; 1 is superseded or withdrawn."
    assert "Hollow: superseded or withdrawn." in " ".join(drawn["title"]["text"])
    marks = [layer["mark"] for layer in drawn["layer"]]
    assert [m.get("filled") for m in marks[1:]] == [True, False, True]
    assert marks[3]["shape"] == "diamond"


def test_a_long_lot_is_drawn_from_its_end_and_a_single_exact_one_too():
    data, drawn = rows(lot_history([f"day {i}" for i in range(100)], [1.49] * 100, [1e-4] * 100, superseded=[False] * 100, most=10))
    assert data["at"].tolist() == list(range(91, 101))
    assert "Drawn are the last 10 of 100." in " ".join(drawn["title"]["text"])
    _, drawn = rows(lot_history(["a'b\"c"], [1.49], [0.0], superseded=[False], looked_at=0))
    assert "none is superseded" in drawn["description"]


def test_the_key_names_only_what_is_drawn():
    _, drawn = rows(lot_history(["2026-01-05"] * 100, [1.49] * 100, [1e-4] * 100, superseded=[True] + [False] * 99, looked_at=2, most=10))
    words = " ".join(drawn["title"]["text"])
    assert "diamond" not in words
    assert "Hollow" not in words
    assert drawn["description"].endswith("1 is superseded or withdrawn.")


def test_no_day_ends_the_process_that_draws_it(tmp_path):
    """A control sign that is written out within an expression came through the cleaning, and the converter ends at it."""
    save_chart(lot_history(["a\x07\nb"], [1.49], [1e-4], superseded=[False], width=300), str(tmp_path / "a.svg"))
    assert "a� b" in (tmp_path / "a.svg").read_text(encoding="utf-8")
