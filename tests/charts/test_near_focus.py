"""The magnified strip about the focus: its distances are those of the light's way, so many times as long."""

import math

import pytest

from lenscalc.charts import light_path_drawing
from lenscalc.charts.near_focus import FARTHEST, WINDOWS_mm
from lenscalc.eye import light_way

LEFT_mm, BEHIND_mm = -5.0, 1.5  # of the picture above, which is to scale


def strip(way):
    return light_path_drawing(way).to_dict()["datasets"]


@pytest.mark.parametrize("power_D", [19.87, 20.013, 20.13, 21.3, 27.0])
def test_the_foci_stand_as_far_apart_as_the_light_meets(power_D):
    """By hand: n/(n/f) twice, 1336/(51.357 + F) behind the implant; thin cornea of 43.08 D and 5 mm to the implant, in 1.336."""
    at_implant = 1336.0 / (1336.0 / 43.08 - 5.0)
    moves = 1336.0 / (at_implant + power_D) - 1336.0 / (at_implant + 20.0)
    tables = strip(light_way(20.0, power_D))
    focus, moved = (tables[name][0]["z"] for name in ("near_focus", "near_moved"))
    bar = tables["near_bar"][0]
    per_mm = (bar["z2"] - bar["z"]) / float(bar["text"].removesuffix(" mm"))
    assert moved - focus == pytest.approx(moves * per_mm, abs=0.006 * per_mm)
    assert LEFT_mm < moved < focus + 30.0
    crossing = [ray["z"] for ray in tables["near_rays"] if ray["y"] == tables["near_axis"][0]["y"]]
    assert crossing == pytest.approx([moved, moved])
    assert tables["near_left"][0]["text"] == ("changed" if moves < 0 else "as labelled")


def test_a_larger_error_is_a_larger_picture():
    apart = []
    for power_D in (20.05, 20.13, 20.5, 21.0):
        tables = strip(light_way(20.0, power_D))
        assert tables["near_bar"][0]["text"] == "0.1 mm"
        apart.append(tables["near_focus"][0]["z"] - tables["near_moved"][0]["z"])
    assert apart == sorted(apart)
    assert apart[0] > 0.3  # mm of the picture above: to be seen


def test_no_change_and_a_change_beyond_every_window_are_said():
    assert strip(light_way(20.0, 20.0))["near_right"][0]["text"] == "the focus stays"
    far = light_way(20.0, -40.0)
    assert not math.isfinite(far.focus_shift_mm) or abs(far.focus_shift_mm) > FARTHEST * WINDOWS_mm[-1]
    tables = strip(far)
    assert tables["near_title"][0]["text"] == "the changed focus lies far outside"
    assert "near_moved" not in tables
