"""The numbers of a lecture's picture as a file: those that the page shows, unrounded."""

import csv
import importlib
import io

import pytest
from shown import page, words

from lenscalc.web.shown.save_numbers import numbers_csv

PAGES = {"the_border.py": "border_page", "index_change.py": "index_change_page", "coloured_focus.py": "coloured_focus_page",
         "best_shape.py": "best_shape_page"}  # fmt: skip


def saved(file, monkeypatch):
    """The page, and the rows of the file that its button would save."""
    handed = []
    monkeypatch.setattr(importlib.import_module(f"lenscalc.web.lecture.{PAGES[file]}"), "save_numbers", lambda columns, name: handed.append(columns))
    at = page(file)
    assert not at.exception
    return at, list(csv.DictReader(io.StringIO(numbers_csv(handed[-1]))))


@pytest.mark.parametrize("file", PAGES)
def test_each_page_has_one_button_for_its_numbers(file):
    at = page(file)
    assert [b.proto.label for b in at.get("download_button")].count("Save these numbers (CSV)") == 1


def test_the_field_is_bright_before_the_border_and_dark_beyond(monkeypatch):
    """asin(1.49/1.75) = 58.37°, by hand."""
    _, rows = saved("the_border.py", monkeypatch)
    bright = {round(float(r["angle_in_prism_deg"]), 1): float(r["brightness"]) for r in rows}
    assert len(bright) == 900
    assert bright[0.0] > 0.9
    assert bright[58.3] > 0
    assert bright[58.4] == bright[89.9] == 0


def test_the_derivative_in_the_file_is_that_of_the_rule(monkeypatch):
    """0.001 in the index of 1.4339 is worth 20·0.001/(1.4339 − 1.336) = 0.204 D, by hand for a thin lens."""
    _, rows = saved("index_change.py", monkeypatch)
    assert len(rows) == 5
    assert float(rows[0]["d_power_d_n_lens"]) / 1000 == pytest.approx(20 * 0.001 / (float(rows[0]["n_lens"]) - 1.336), rel=0.01, abs=0.0)
    assert float(rows[0]["front_radius_mm"]) == -float(rows[0]["back_radius_mm"])


def test_blue_meets_before_red(monkeypatch):
    _, rows = saved("coloured_focus.py", monkeypatch)
    assert rows
    for r in rows:
        assert float(r["power_F_less_power_C_D"]) > 0
        assert float(r["back_focal_length_F_mm"]) < float(r["back_focal_length_C_mm"])


def test_the_curve_of_bending_has_its_least_where_the_page_says(monkeypatch):
    at, rows = saved("best_shape.py", monkeypatch)
    least = min(rows, key=lambda r: abs(float(r["zernike_4_0_um"])))
    told = float(words(at).partition("The least of all")[2].partition("at **")[2].partition("**")[0].replace("−", "-"))
    assert float(least["shape_factor"]) == pytest.approx(told, abs=0.1)
