"""Whether a change would be noticed: beside the usual step of 0.25 D and a depth of focus that two abstracts print."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import DEPTH_FROM, would_be_noticed
from lenscalc.eye.noticed import DEPTH_OF_FOCUS_D, USUAL_STEP_D


def test_the_depth_of_focus_is_what_two_abstracts_print():
    """Campbell 1959: about ±0.3 D at 3 mm; Atchison, Charman and Woods 1997: 0.59 D from end to end at 4 mm, half of which is 0.295 D."""
    assert DEPTH_OF_FOCUS_D == pytest.approx(0.3) == pytest.approx(round(0.59 / 2, 1))
    assert "±0.3 D at a pupil of 3 mm" in DEPTH_FROM
    assert "0.59 D from end to end at 4 mm" in DEPTH_FROM


@pytest.mark.parametrize(
    ("shift_D", "u_D", "told"),
    [
        (-0.09, 0.0, ("Hardly, by itself: 0.09 D is less than the usual step of a prescription, 0.25 D", "and within an eye's depth")),
        (0.2486, 0.0, ("Hardly, by itself: 0.249 D is less than", "and within")),
        (0.24996, 0.0, ("Perhaps: 0.250 D reaches the usual step", "but is within")),
        (-0.27, 0.0, ("Perhaps: 0.27 D reaches the usual step", "but is within")),
        (0.31, 0.0, ("Probably: 0.31 D reaches the usual step", "and goes beyond")),
        (0.0004, 0.0, ("No: the refraction stays where it is.", "")),
        (-0.0006, 0.0, ("Hardly, by itself: 0.001 D is less than", "and within")),
        (-0.056, 0.042, ("Hardly, by itself: 0.056 D, u 0.042 D, is less than", "and within")),
        (0.0625, 0.0625, ("Hardly, by itself: 0.062 D, u 0.062 D, is less than", "and within")),
        (-0.25, 0.11, ("Perhaps: 0.25 D, u 0.11 D, may be less or more than the usual step", "and may be within or beyond")),
        (0.0, 0.2, ("Perhaps: 0.00 D, u 0.20 D, may be less or more than", "and may be within or beyond")),
        (0.9, 0.1, ("Probably: 0.90 D, u 0.10 D, reaches", "and goes beyond")),
        # a change of the step itself reaches it, one of 0.3 D is within ±0.3 D
        (0.25, 0.0, ("Perhaps: 0.250 D reaches the usual step", "but is within")),
        (0.3, 0.0, ("Perhaps: 0.300 D reaches the usual step", "but is within")),
        (0.125, 0.0625, ("Perhaps: 0.125 D, u 0.062 D, may be less or more than", "and within")),
        (0.375, 0.0625, ("Perhaps: 0.375 D, u 0.062 D, reaches", "and may be within or beyond")),
        (0.32, 0.01, ("Perhaps: 0.320 D, u 0.010 D, reaches", "and may be within or beyond")),  # 0.32 − 0.02 is the very 0.3
        # two decimals wherever they do not print the limit itself
        (0.305, 0.0, ("Probably: 0.305 D reaches the usual step", "and goes beyond")),
        (0.306, 0.0, ("Probably: 0.31 D reaches the usual step", "and goes beyond")),
        (0.019, 0.0, ("Hardly, by itself: 0.019 D is less than", "and within")),
        (0.02, 0.0, ("Hardly, by itself: 0.02 D is less than", "and within")),
    ],
)  # fmt: skip
def test_the_sentence_says_next_to_what(shift_D, u_D, told):
    said = would_be_noticed(shift_D, u_D=u_D)
    assert said.startswith(told[0])
    assert told[1] in said


@given(st.floats(-5.0, 5.0), st.floats(0.0, 1.0))
def test_its_last_sentence_leaves_the_judging_to_others(shift_D, u_D):
    said = would_be_noticed(shift_D, u_D=u_D)
    assert len(re.findall(r"[.!?](?:\s|$)", said)) == (1 if said.startswith("No:") else 2)
    size = round(abs(shift_D), 3)
    if said.startswith("Hardly, by itself"):
        assert size + 2 * u_D < USUAL_STEP_D
    if said.startswith("Probably"):
        assert size - 2 * u_D > DEPTH_OF_FOCUS_D
    assert said.startswith("No:") or said.endswith("What it means for a person, a licensed practitioner judges.")


@pytest.mark.parametrize(("shift_D", "u_D"), [(float("nan"), 0.0), (float("inf"), 0.0), (0.1, -0.1), (0.1, float("nan"))])
def test_what_is_no_shift_is_refused(shift_D, u_D):
    with pytest.raises(InputError, match="refraction_shift_D"):
        would_be_noticed(shift_D, u_D=u_D)
