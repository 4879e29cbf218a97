"""Own readings in place of the demo's: all of these go at once, and none stays in a mean without a word."""

import pytest
from shown import words
from test_reading_page import edit, page, sheet_now

from lenscalc.web.reading.readings_form import EMPTY

MINE = {"edited": {0: {"n": "1,4921"}}, "added": [{"n": "1,4923"}, {"n": "1,4922"}]}


def readings(at):
    return sheet_now(at)["reading"]


def still(at):
    return next((str(m.value) for m in at.markdown if "; still as there: " in str(m.value)), "")


def test_one_button_takes_all_out_and_leaves_their_line_and_temperature():
    at = page()
    before = readings(at)[0]
    next(b for b in at.button if b.label == EMPTY).click()
    at.run()
    assert not at.exception
    assert [str(i.value) for i in at.info if "A reading is missing: click an index cell" in str(i.value)]
    assert not at.error  # nothing is wrong yet
    assert "would conform" not in words(at)
    edit(at, "readings", **MINE)
    assert not at.exception
    assert readings(at) == [before | {"n": [1.4921, 1.4923, 1.4922]}]
    assert "would conform" in words(at)
    assert "readings," not in still(at).replace("temperature of the readings,", "")


@pytest.mark.parametrize(
    ("deleted", "told"), [([3, 4], "readings, "), ([], "**5 of 6 readings**, ")], ids=["some of the demo's taken out", "one's own beside them"]
)
def test_what_is_left_of_the_demos_readings_is_said(deleted, told):
    """Whose own readings have gone astray keeps the demo's: a verdict of these is not on his lot."""
    at = page()
    edit(at, "readings", deleted=deleted, added=[] if deleted else [{"n": "1.4921"}])
    assert told in still(at).replace("temperature of the readings,", "")


@pytest.mark.parametrize("text", ["1.4921", "1,4921"])
def test_indices_that_were_pasted_under_the_line_are_told(text):
    at = page()
    next(b for b in at.button if b.label == EMPTY).click()
    edit(at.run(), "readings", edited={0: {"wavelength_nm": text}}, added=[{"wavelength_nm": text}])
    assert not at.exception
    told = f"row 1 of the readings: {text} stands under line, in nm, with no index beside it: paste it under index"
    assert [str(e.value) for e in at.error if told in str(e.value)]
