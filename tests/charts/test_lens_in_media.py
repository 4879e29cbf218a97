"""The lens in several media: every ray of the drawing obeys Snell's law at both spheres, whatever the lens and the medium."""

import math

import pytest
from framed import frames
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.charts.lens_in_media import lens_in_media, lens_in_media_data, reach_of
from lenscalc.charts.power_against_medium import power_against_medium, power_against_medium_data
from lenscalc.errors import InputError

MEDIA = [("air", 1.0), ("water", 1.3328), ("the eye", 1.336)]


def corners(data, row):
    """Of each ray of a row: its four corners (z, h)."""
    rays = data["rays"][data["rays"]["row"] == row].sort_values(["ray", "order"])
    return [list(zip(ray["z"], ray["h"], strict=True)) for _, ray in rays.groupby("ray")]


def sine(one, other, at, center_z):
    """Of the angle between a way and the normal of a sphere, which goes through its centre: a cross product over the lengths."""
    way, normal = (other[0] - one[0], other[1] - one[1]), (at[0] - center_z, at[1])
    return (way[0] * normal[1] - way[1] * normal[0]) / math.hypot(*way) / math.hypot(*normal)


@settings(max_examples=60, deadline=None)
@given(
    R1=st.floats(8.0, 40.0) | st.floats(-40.0, -8.0), R2=st.floats(8.0, 40.0) | st.floats(-40.0, -8.0), t=st.floats(1.5, 3.0),
    n=st.floats(1.34, 1.7), m=st.floats(1.0, 1.6),
)  # fmt: skip
def test_every_ray_obeys_snell(R1, R2, t, n, m):
    data = frames(lens_in_media_data(R1, R2, t, n, optic_diameter_mm=5.0, media=[("it", m)], reach_mm=75.0))
    drawn = corners(data, 0)
    assert drawn
    for start, front, back, end in drawn:
        assert math.hypot(front[0] + t - R1, front[1]) == pytest.approx(abs(R1))  # on the spheres, by Pythagoras
        assert math.hypot(back[0] - R2, back[1]) == pytest.approx(abs(R2))
        for before, at, behind, center, n1, n2 in ((start, front, back, R1 - t, m, n), (front, back, end, R2, n, m)):
            assert n1 * sine(before, at, at, center) == pytest.approx(n2 * sine(at, behind, at, center), abs=1e-9)


def test_rays_near_the_axis_meet_at_the_back_focal_length():
    """By hand, m/F′v: 1.336·(1 − (0.0009/1.49)·10.266667)/20.469666 = 64.8626 mm in the eye, and (1 − (0.0009/1.49)·32.666667)/64.688770 in air."""
    data = frames(lens_in_media_data(15.0, -15.0, 0.9, 1.49, optic_diameter_mm=0.02, media=MEDIA, reach_mm=75.0))
    for row, focus in ((0, 1000 * (1 - 0.0009 / 1.49 * 32.666667) / 64.688770), (2, 64.8626)):
        for _, _, (z, h), (z2, h2) in corners(data, row):
            if h:
                assert z - h * (z2 - z) / (h2 - h) == pytest.approx(focus, abs=1e-3)
        assert data["foci"].set_index("row")["z"][row] == pytest.approx(focus, abs=1e-3)


def test_a_thin_lens_has_its_focus_where_the_lens_makers_equation_says():
    """By hand: (1.49 − 1.336)(1/15 + 1/15)·1000 = 20.5333 D, and 1336/20.5333 = 65.0649 mm from the middle."""
    data = frames(lens_in_media_data(15.0, -15.0, 0.9, 1.49, optic_diameter_mm=6.0, media=MEDIA, reach_mm=75.0))
    assert data["foci"].set_index("row")["thin"][2] == pytest.approx(65.0649 - 0.45, abs=1e-3)


def test_the_axis_counts_from_the_back_of_the_lens_and_has_room_for_a_thick_one():
    """The focus stands on the axis at the number that is written beside it; nothing is drawn in front of the picture's left end."""
    data = frames(lens_in_media_data(15.0, -15.0, 3.4, 1.49, optic_diameter_mm=6.0, media=MEDIA, reach_mm=75.0))
    assert [f"{z:.1f} mm" for z in data["foci"]["z"]] == data["foci"]["text"].tolist()
    frame = lens_in_media(media=3, reach_mm=75.0, optic_diameter_mm=6.0, whole_thickness_mm=4.0).to_dict()
    x = frame["layer"][1]["encoding"]["x"]
    assert x["title"] == "behind the back of the lens, mm"
    assert x["scale"]["domainMin"] <= min(data[name]["z"].min() for name in ("rays", "bodies", "axes"))


def test_light_that_does_not_meet_has_no_focus_drawn():
    data = frames(lens_in_media_data(15.0, -15.0, 0.9, 1.49, optic_diameter_mm=6.0, media=[("oil", 1.49), ("a denser oil", 1.6)], reach_mm=75.0))
    assert data["foci"].empty
    assert all(start[1] == pytest.approx(end[1]) for start, _, _, end in corners(data, 0))
    assert all(abs(end[1]) >= abs(start[1]) for start, _, _, end in corners(data, 1))
    with pytest.raises(InputError, match="edge thickness"):
        lens_in_media_data(15.0, -15.0, 0.3, 1.49, optic_diameter_mm=6.0, media=MEDIA, reach_mm=75.0)


def test_a_focus_beyond_the_picture_is_not_drawn():
    assert reach_of([64.9, 700.0]) == 300.0
    data = frames(lens_in_media_data(200.0, -200.0, 0.9, 1.49, optic_diameter_mm=6.0, media=MEDIA, reach_mm=300.0))
    assert list(data["foci"]["row"]) == [0]


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_every_named_set_of_data_is_given(ground):
    for frame, data in (
        (lens_in_media(media=3, reach_mm=75.0, optic_diameter_mm=6.0, ground=ground),
         lens_in_media_data(15.0, -15.0, 0.9, 1.49, optic_diameter_mm=6.0, media=MEDIA, reach_mm=75.0)),
        (power_against_medium(ground=ground), power_against_medium_data(15.0, -15.0, 0.9, 1.49, media=MEDIA)),
    ):  # fmt: skip
        assert {layer["data"]["name"] for layer in frame.to_dict()["layer"]} == set(data)


def test_the_curve_goes_through_the_three_media_and_zero():
    """64.688770, 20.469666 D: computed with mpmath. Zero where the media are alike: by the equation itself."""
    data = frames(power_against_medium_data(15.0, -15.0, 0.9, 1.49, media=[*MEDIA, ("like it", 1.49)]))
    assert data["media"]["power"].iloc[[0, 2, 3]].tolist() == pytest.approx([64.688770, 20.469666, 0.0], abs=1e-6)
    # the eye's medium and water lie 0.003 apart: their names stand on either side
    assert data["media"]["above"].tolist() == [True, False, True, False]
