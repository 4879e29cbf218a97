"""In air, in water, in the eye: the figures of the facts, the sentence, wrong input beside its field."""

import numpy as np
import pytest
from shown import by_command, by_python, page, words

FILE = "in_three_media.py"


def test_the_lens_of_the_facts():
    """64.688770 and 20.469666 D: computed with mpmath from Gullstrand's equation; the steps are 0.49 and 0.154."""
    at = page(FILE)
    text = words(at)
    assert "In short, for a lens of index 1.49: **64.7 D in air, 20.9 D in water, 20.5 D in the eye**" in text
    assert "less than a third of what it has in air" in text
    assert "which is 31.4 % of it. The power falls to 31.6 %" in text
    assert "In air it meets 15.2 mm behind the back of the lens." in text
    assert "In the eye it meets 64.9 mm behind the back of the lens." in text
    assert "65.33 D" in at.table[0].value.to_string()  # without thickness: 0.49·2/0.015, by hand
    assert len(at.get("vega_lite_chart") or at.get("arrow_vega_lite_chart")) == 2


def test_page_command_and_python_give_the_same():
    at = page(FILE)
    at.checkbox(key="with_other_medium").check().run()
    at.number_input(key="n_lens").set_value(1.5134).run()
    powers = np.asarray(by_python(at)[0])
    assert [f"{r['power_D']:.6f}" for r in by_command(at)] == [f"{F:.6f}" for F in powers]
    shown = at.table[0].value
    assert list(shown["as it is"]) == [f"{F:.2f} D" for F in powers]


def test_a_medium_like_the_lens_lets_the_light_through():
    at = page(FILE)
    at.checkbox(key="with_other_medium").check().run()
    at.slider(key="n_other_medium").set_value(1.49).run()
    assert not at.exception
    assert "In my medium the light goes on as it came." in words(at)
    at.slider(key="n_other_medium").set_value(1.6).run()
    assert "In my medium the light spreads" in words(at)


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("front_radius_mm", 0.0, "a flat surface is plano, never 0"),
        ("center_thickness_mm", 0.3, "edge thickness"),
        ("n_lens", 14.9, "one place off"),
        ("optic_diameter_mm", 40.0, "is too wide: the front radius of 15 mm must be 20 mm or more in magnitude and the back radius of -15 mm must"),
    ],
)
def test_wrong_input_is_told_in_one_line(field, value, told):
    at = page(FILE)
    at.number_input(key=field).set_value(value).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "In short" not in words(at)


def test_a_window_and_a_lens_that_spreads_are_told():
    at = page(FILE)
    at.checkbox(key="front_plano").check()
    at.checkbox(key="back_plano").check().run()
    assert not at.exception
    assert "no power, in whatever medium" in words(at)
    at = page(FILE)
    at.number_input(key="front_radius_mm").set_value(-15.0)
    at.number_input(key="back_radius_mm").set_value(15.0).run()
    assert not at.exception
    assert "the light spreads, as if it came from" in words(at)
