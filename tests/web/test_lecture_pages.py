"""What holds for every page of a lecture: words for each picture, inputs in the address, a wrong address told, the caution, nothing of a person."""

import pytest
from shown import page, words

from lenscalc.web.lecture.show_materials import show_materials
from lenscalc.web.shell import SECTIONS

PAGES = ("in_three_media.py", "index_change.py", "the_border.py", "coloured_focus.py", "best_shape.py", "a_worksheet.py")
PMMA = show_materials()["pmma_beadie_2015"].short
ADDRESSES = [
    ("in_three_media.py", {"n_lens": 1.55, "front_radius_mm": 20, "back_radius_mm": -20, "center_thickness_mm": 0.6},
     "**54.7 D in air, 21.7 D in water, 21.4 D in the eye**"),
    ("in_three_media.py", {"with_other_medium": "true", "n_other_medium": 1.49}, "In my medium the light goes on as it came."),
    ("index_change.py", {"index_change": -0.002, "materials": PMMA}, "less index makes a 20 D lens of PMMA 2015 (index 1.494) **0.25 D weaker**"),
    ("the_border.py", {"n_specimen": 1.33, "n_prism": 1.47}, "the border stands at **64.79°**"),
    ("coloured_focus.py", {"show_power_D": 10, "colour_materials": PMMA}, "Every lens has 10 D"),
    ("best_shape.py", {"shape_medium": "air"}, "at **+0.69**"),
    ("a_worksheet.py", {"n_prism": 1.62}, "**8 exercises**"),
]  # fmt: skip
# 54.707258 and 21.355681 D: mpmath; in water of 1.3328 by hand 2·10.86 − 10.86²·0.0006/1.55 = 21.67; 64.8°: the printed example for 1.33 against 1.47


def charts(at):
    return at.get("vega_lite_chart") or at.get("arrow_vega_lite_chart")


@pytest.mark.parametrize("file", PAGES)
def test_a_page_stands_in_its_section_with_its_pictures_told_in_words(file):
    at = page(file)
    assert not at.exception
    assert not at.error
    assert file in [f for f, _, _ in SECTIONS["Something to show"]]
    assert all(len(chart.proto.alt) > 40 for chart in charts(at))
    assert all(chart.proto.alt in words(at) for chart in charts(at))
    assert len(charts(at)) >= (0 if file in ("the_border.py", "a_worksheet.py") else 1)
    assert any("not a medical device" in w.value.lower() for w in at.warning)
    assert any(c.label == "How this was computed" for c in at.expander)


@pytest.mark.parametrize(("file", "address", "told"), ADDRESSES)
def test_the_address_carries_every_input(file, address, told):
    at = page(file, **address)
    assert not at.exception
    assert not at.error
    assert told in words(at)


@pytest.mark.parametrize(
    ("file", "address", "told"),
    [
        ("index_change.py", {"index_change": 1.49}, "(− lower, + higher) = 1.49: the slider goes from -0.005 to 0.005. So the address says; here"),
        ("the_border.py", {"n_specimen": "1,49"}, "write the decimals with a point"),
        ("the_border.py", {"border_light": "sideways"}, "“Where does the light come from?” = 'sideways' is not offered"),
        ("index_change.py", {"materials": "glass"}, "Materials = 'glass' is none of the materials"),
        ("best_shape.py", {"show_shape_factor": 9}, "the slider goes from -2 to 2"),
    ],
)
def test_an_address_that_cannot_be_taken_is_told_beside_its_field(file, address, told):
    at = page(file, **address)
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "In short" in words(at)


@pytest.mark.parametrize("file", PAGES)
def test_nothing_of_a_person_and_no_refraction_is_asked_or_shown(file):
    at = page(file)
    asked = " ".join(f"{w.label} {w.help}" for w in (*at.number_input, *at.slider)).lower()
    assert not [word for word in ("cornea", "axial", "patient", "refraction of", "spectacle") if word in asked]
    assert "refraction shift" not in words(at).lower()
