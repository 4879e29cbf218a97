"""The border in a refractometer: the angle of Snell's law, by page, command and Python alike; a prism that is too low is told beside its field."""

import math

import pytest
from shown import by_command, by_python, page, words

FILE = "the_border.py"
REFLECTED = "in the prism, reflected at the specimen"


def test_where_it_stands_and_how_it_moves():
    """By hand: asin(1.49/1.75) = 58.3674°, and 0.001/√(1.75² − 1.49²) rad = 0.0624° = 3.75′."""
    text = words(page(FILE))
    assert "the border stands at **58.37°** in the prism" in text
    assert "moves it **0.062°** towards the face, 3.7 minutes of arc" in text
    assert "n = 1.75·sin(58.3674°) = **1.4900**" in text


@pytest.mark.parametrize("light", ["through the specimen into the prism", REFLECTED])
def test_page_command_and_python_give_the_same(light, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    at = page(FILE)
    at.radio(key="border_light").set_value(light)
    at.slider(key="n_specimen").set_value(1.402)
    at.number_input(key="n_prism").set_value(1.62).run()
    assert not at.exception
    brightness, names = by_python(at)
    (found,) = by_command(at)
    assert found["angle_deg"] == pytest.approx(names["angle_deg"], abs=1e-12)
    assert next(b["brightness"] for b in found["brightness"] if b["before_border_deg"] == 1.0) == pytest.approx(brightness, abs=1e-12)
    assert f"**{names['angle_deg']:.2f}°**" in words(at)
    assert f"{100 * brightness:.0f} % at 1°" in words(at)
    assert (tmp_path / "border.html").read_text(encoding="utf-8").startswith("<!doctype html>")


@pytest.mark.parametrize(("prism", "told"), [(1.45, "Index of the prism = 1.45: must be above the specimen's index, 1.49"), (17.5, "one place off")])
def test_a_prism_that_shows_no_border_is_told_in_one_line(prism, told):
    at = page(FILE)
    at.number_input(key="n_prism").set_value(prism).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "In short" not in words(at)
    at.number_input(key="n_prism").set_value(1.75).run()
    assert not at.error


def test_near_the_prisms_own_index_the_border_still_stands():
    at = page(FILE)
    at.slider(key="n_specimen").set_value(1.7)
    at.number_input(key="n_prism").set_value(1.7001).run()
    assert not at.exception
    assert f"{math.degrees(math.asin(1.7 / 1.7001)):.2f}°" in words(at)
