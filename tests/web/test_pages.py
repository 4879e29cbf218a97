"""The pages without a browser: every page draws, a changed field changes the answer, wrong input is told in one line."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.eye import what_if
from lenscalc.web.lens.image_page import BEAMS
from lenscalc.web.lens.image_pictures import ONE_PICTURE
from lenscalc.web.shell import PAGES

HOME = Path(lenscalc.web.__file__).parent


def page(file):
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run()
    return at.switch_page(str(HOME / "views" / file)).run() if file != PAGES[0][0] else at


def words(at):
    return "\n".join(str(m.value) for m in (*at.markdown, *at.header))


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES])
def test_every_page_draws_and_carries_the_caution(file):
    at = page(file)
    assert not at.exception
    assert not at.error
    assert at.title[0].value == next(title for f, title, _ in PAGES if f == file)
    assert any("not a medical device" in w.value.lower() and "does not choose an implant" in w.value for w in at.warning)


def test_the_lens_of_the_textbook_equation():
    """20.469666 D: computed with mpmath from Gullstrand's equation."""
    at = page("a_lens.py")
    assert "20.470 D" in words(at)
    for name in ("u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "u_n_lens"):
        at.number_input(key=name).set_value(0.0)
    at.run()
    assert "20.470 D, with everything taken as exact" in words(at)


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_plano_side_by_its_checkbox(side):
    """One surface alone: (1.49 − 1.336)/0.015 m = 10.2667 D, derived by hand."""
    at = page("a_lens.py")
    at.checkbox(key=f"{side}_plano").check().run()
    assert not at.exception
    assert "10.267 D" in words(at)


def test_a_label_in_another_medium_is_not_decided():
    at = page("a_lens.py")
    at.number_input(key="labelled_power_D").set_value(20.5).run()
    assert "would conform" in words(at)
    at.number_input(key="n_medium").set_value(1.334).run()
    assert not at.exception
    assert "– not a decision" in words(at)
    assert "would conform" not in words(at)


def test_an_impossible_lens_is_told_in_one_line():
    at = page("a_lens.py")
    at.number_input(key="front_radius_mm").set_value(0.0).run()
    assert not at.exception
    assert "Front radius = 0 mm" in at.error[0].value
    assert "20.470" not in words(at)


def test_an_image_is_told_in_a_sentence_that_names_its_light():
    """A perfect lens of 20.469666 D at 3 mm and 546.07 nm leaves (2/π)(arccos s − s√(1 − s²)) at s = 100/112.456: 0.0435, by hand. The two thirds
    of the marginal aberration are the third order's; the back focal length is m/F'v = 64.86256 mm.
    """
    at = page("its_image.py")
    text = words(at)
    assert "in the model eye the best focus lies" in text
    assert "✔ That reaches the imaging criterion, 0.43 or more" in text
    at.radio(key="beam").set_value("Collimated, onto the bare lens").run()
    assert not at.exception
    text = words(at)
    assert "in collimated light on the bare lens the best focus lies **64.58 mm behind the back vertex** (0.282 mm in front of" in text
    assert "diffraction alone would leave 0.044." in text
    assert "criterion is not asked here: it holds in the model eye alone" in text
    assert "✔" not in text
    assert "✘" not in text


@pytest.mark.parametrize(
    ("field", "value"), [("pupil_diameter_mm", 2.5), ("wavelength_nm", 550.0), ("frequency_per_mm", 50.0), ("n_medium", 1.334)]
)
def test_the_criterion_is_asked_under_its_own_conditions_alone(field, value):
    at = page("its_image.py")
    at.number_input(key=field).set_value(value).run()
    assert not at.exception
    assert "criterion is not asked here" in words(at)
    assert "0.43 or more" not in words(at)


def test_a_lens_that_blurs_does_not_reach_the_criterion():
    at = page("its_image.py")
    at.number_input(key="front_conic").set_value(20.0).run()
    assert not at.exception
    assert "✘ That does not reach the imaging criterion" in words(at)


@pytest.mark.parametrize("beam", list(BEAMS))
@pytest.mark.parametrize("asked", list(ONE_PICTURE))
def test_one_picture_at_a_time_and_it_names_its_light(asked, beam):
    at = page("its_image.py")
    at.radio(key="beam").set_value(beam)
    at.radio(key="picture").set_value(asked).run()
    assert not at.exception
    assert not at.error
    charts = at.get("vega_lite_chart") or at.get("arrow_vega_lite_chart")
    assert len(charts) == 1
    assert ("in the model eye" if beam.startswith("In the model eye") else "collimated onto the bare lens") in charts[0].proto.spec


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"pupil_diameter_mm": 7.0}, "the optic is only 6 mm wide; make the pupil smaller"),
        ({"wavelength_nm": 0.546}, "is it in µm? write it in nm"),
        ({"center_thickness_mm": 0.3}, "edge thickness"),
        ({"front_radius_mm": 0.0}, "Front radius = 0 mm"),
        ({"front_radius_mm": -12.0, "back_radius_mm": 12.0, "pupil_diameter_mm": 6.0}, "beyond the edge of an optic 6 mm wide"),
    ],
)
def test_what_has_no_image_is_told_in_one_line(fields, told):
    at = page("its_image.py")
    for name, value in fields.items():
        at.number_input(key=name).set_value(value)
    at.run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "In short" not in words(at)


def test_a_diverging_lens_has_no_image_in_collimated_light():
    at = page("its_image.py")
    at.number_input(key="n_lens").set_value(1.3)
    at.radio(key="beam").set_value("Collimated, onto the bare lens").run()
    assert not at.exception
    assert "no real image" in at.error[0].value


@pytest.mark.parametrize("frequency", [0.0, 115.0])
def test_a_frequency_that_no_plane_can_show_is_told(frequency):
    at = page("its_image.py")
    at.radio(key="beam").set_value("Collimated, onto the bare lens")
    at.radio(key="picture").set_value("How exactly must the plane of the image be met?")
    at.number_input(key="frequency_per_mm").set_value(frequency).run()
    assert not at.exception
    assert not at.error
    assert ("diffraction ends all detail at 112 per mm" if frequency else "Ask for a higher frequency") in words(at)


def test_an_index_error_is_a_difference_of_refraction():
    at = page("an_eye.py")
    # by hand: −0.6909 D per dioptre at 20 D (spectacle plane, teaching eye) times 20 D·0.001/0.154
    shift = what_if(20.0, 20.0 * (1 + 0.001 / 0.154)).refraction_shift_D
    assert f"**−{-shift:.2f} D**, more myopic" in words(at)
    assert "Every lens that is made of the lot carries the same error of the index" in words(at)
    assert "Would it be noticed? **Hardly, by itself**: 0.09 D is less than" in words(at)
    at.number_input(key="eye_index_change").set_value(-0.004).run()  # 0.36 D by the same line
    assert "Would it be noticed? **Probably**: 0.36 D reaches the usual step of a prescription, 0.25 D" in words(at)
    at.number_input(key="eye_index_change").set_value(0.0).run()
    assert "Would it be noticed? **No**: the refraction stays where it is." in words(at)
    at.number_input(key="eye_index_change").set_value(-0.002).run()
    assert not at.exception
    assert "0.002 less in the index" in words(at)
    assert "more hyperopic" in words(at)


def test_a_shift_of_the_implant_in_a_named_eye():
    at = page("an_eye.py")
    at.radio(key="what_is_off").set_value("the place of the implant").run()
    at.selectbox(key="schematic_eye").set_value("le_grand_full").run()
    assert not at.exception
    shift = what_if(20.0, 20.0, eye="le_grand_full", position_shift_mm=0.1).refraction_shift_D
    assert f"**+{shift:.2f} D**, more hyperopic" in words(at)
    assert "Le Grand" in words(at)
    at.radio(key="eye_picture").set_value("the error in proportion").run()
    assert not at.exception
    assert "Norrby 2008" in words(at)
    assert "no number of eyes" not in words(at)  # a shift is not the lot's


@pytest.mark.parametrize("off", ["the index of the lens", "the place of the implant"])
def test_a_lens_without_power_moves_nothing(off):
    at = page("an_eye.py")
    at.radio(key="what_is_off").set_value(off).run()
    at.number_input(key="eye_labelled_power_D").set_value(0.0).run()
    assert not at.exception
    assert not at.error
    assert "**where it is**" in words(at)
    assert "moves no refraction" in words(at)
    assert ("deeper" in words(at)) == (off == "the place of the implant")


def test_the_eye_page_asks_nothing_of_a_person_and_shows_no_ladder():
    at = page("an_eye.py")
    for choice in ("the index of the lens", "the place of the implant"):
        at.radio(key="what_is_off").set_value(choice).run()
        asked = {n.key for n in at.number_input}
        assert asked == {"eye_labelled_power_D", "eye_n_lens", "eye_index_change" if choice.startswith("the index") else "eye_position_shift_mm"}
        assert not at.table
        assert not at.dataframe


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("eye_index_change", 1.49, "an error of an index, not an index"),
        ("eye_n_lens", 1.336, "the medium's own index"),
        ("eye_labelled_power_D", 400.0, "Labelled power = 400 D: must be -60 to 80 D"),
    ],
)
def test_what_the_eye_page_cannot_answer_is_told_in_one_line(key, value, told):
    at = page("an_eye.py")
    at.number_input(key=key).set_value(value).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "refraction at the spectacles moves" not in words(at)


def test_what_a_quarter_of_a_dioptre_takes_does_not_depend_on_the_change_that_is_looked_at():
    """0.25 D over the slope of the lens as it is labelled: the same sentence for a small and for a large change."""
    at, told = page("an_eye.py"), set()
    for change in (0.001, 0.05, -0.1):
        at.number_input(key="eye_index_change").set_value(change).run()
        told.add(words(at).partition("spectacles takes **")[2].partition("**")[0])
    assert len(told) == 1
    assert told.pop().startswith("0.00")
