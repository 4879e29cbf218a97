"""What the page of a sheet refuses is told once, where it stands, and outlives a shut panel; and a choice leaves none behind."""

import pytest
from test_reading_page import AGE, MORE_OF_THE_LENS, MORE_TO_THE_EYE, edit, key_in, page, sheet_now, unfolded, words

from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, REFRACTOMETER, TO_THE_EYE


@pytest.mark.parametrize(
    ("folds", "key", "choice", "told"),
    [
        ([MORE_OF_THE_LENS], "lens.dimensions", "exact", "– not a decision"),
        ([REFRACTOMETER], "instrument.kind", "v-block", "✔ would conform"),
        ([], "specimen.state", "hydrated", "would conform"),
        ([TO_THE_EYE, MORE_TO_THE_EYE], "dispersion.abbe_from", "published", "✔ would conform"),
    ],
)
def test_a_choice_leaves_no_refusal_that_no_field_could_mend(folds, key, choice, told):
    at = unfolded(page(), *folds)
    at.selectbox(key=key_in(at, f"{key}")).set_value(choice).run()
    assert not at.exception
    assert not at.error, [e.value for e in at.error]
    assert told in words(at)


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        ("center_thickness_mm.value", 900.0, "Centre thickness = 900 mm: must be 0 to 100 mm"),
        ("front_radius_mm.value", 0.0, "Front radius = 0 mm: must be 0.5 to 1e+07 mm in magnitude"),
    ],
)
def test_a_number_that_cannot_be_is_told_once_below_its_field(path, value, told):
    at = page()
    at.number_input(key=key_in(at, f"lens.{path}")).set_value(value).run()
    assert [e.value.startswith(told) for e in at.error] == [True]
    assert f"Why is told at: *{LENS}*" in words(at)


def test_a_field_out_of_sight_is_told_above_its_section_too():
    at = unfolded(page(), MORE_OF_THE_LENS)
    at.number_input(key=key_in(at, "lens.required_probability")).set_value(2.0).run()
    assert any(e.value.startswith(f"{LENS}: ") for e in at.error)


def test_a_shut_panel_forgets_no_value_and_no_refusal():
    """Shut, its fields are gone from the page; what they wrote stands in the sheet, and what was refused in one is refused still."""
    at = unfolded(page(), CALIBRATION, AGE)
    at.number_input(key=key_in(at, "calibration.within_K")).set_value(7.5).run()
    unfolded(at, CALIBRATION, AGE, shut=True)
    assert not [n for n in at.number_input if n.key == key_in(at, "calibration.within_K")]
    assert sheet_now(at)["calibration"]["within_K"] == 7.5
    assert unfolded(at, CALIBRATION, AGE).number_input(key=key_in(at, "calibration.within_K")).value == 7.5
    at.text_input(key=key_in(at, "calibration.check_before")).set_value("1.33 what").run()
    for shut in ([AGE], [CALIBRATION], []):
        unfolded(at, *shut, shut=True)
        assert any(e.value.startswith(f"{CALIBRATION}: ") for e in at.error)
        assert "No answer as the sheet stands." in words(at)
    at.text_input(key=key_in(at, "calibration.check_before")).set_value("").run()
    assert not at.error
    at.run()
    assert not [n for n in at.number_input if n.key == key_in(at, "calibration.within_K")]
    assert "would conform" in words(at)


def test_another_sheet_ends_the_refusal_in_a_shut_panel():
    at = edit(unfolded(page(), CALIBRATION), "references", added=[{"name": "water", "n": "what"}])
    assert at.error
    unfolded(at, CALIBRATION, shut=True)
    at.selectbox(key="demo_sheet").set_value("copolymer_e.toml").run()
    assert not at.error
    at.run()
    assert not at.error
    assert "Changed here" not in words(at)
