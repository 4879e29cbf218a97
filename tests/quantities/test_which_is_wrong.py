"""Which of several is wrong, counted from 1, and what is said of it; what is asked of single numbers and names."""

import re

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.quantities import quantity, single_numbers
from lenscalc.quantities.check import not_a_number, readings_of, remark, unusual, within
from lenscalc.quantities.registry import is_quantity


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ([np.nan, 1.49, np.inf], "reading 1 = nan is not a finite number: leave it out, or write what was read"),
        ([1.49, 1.49, -np.inf, np.nan], "reading 3 = -inf is not a finite number: leave it out, or write what was read"),
        ([[1.49, 1.5]], "readings of shape (1, 2): they must be one list"),
    ],
)
def test_the_first_reading_that_is_none_is_named(readings, told):
    with pytest.raises(InputError, match=f"^{re.escape(told)}$"):
        readings_of(readings)


@pytest.mark.parametrize("readings", [[], [1.49], [1.49, 1.5], 1.49])
def test_readings_that_are_numbers_stay_as_they_are(readings):
    assert np.array_equal(readings_of(readings), np.asarray(readings))


def test_the_first_entry_beyond_a_limit_is_named_with_its_row():
    with pytest.raises(InputError) as refused:
        within(quantity("n_lens"), [1.49, 14.9, 0.5])
    assert (refused.value.row, refused.value.value) == (2, 14.9)
    assert str(refused.value).startswith("row 2: n_lens = 14.9: must be ")
    with pytest.raises(InputError, match=r"^n_lens = 14\.9: must be ") as alone:
        within(quantity("n_lens"), 14.9)
    assert alone.value.row is None


def test_no_number_at_all_is_not_a_single_one():
    with pytest.raises(InputError, match=r"^shift_D holds 0 numbers: must be a single one$"):
        single_numbers(shift_D=[])


def test_nothing_is_usual_where_a_quantity_begins_at_nothing():
    """A centre thickness of 0 is a thin lens, and no slip; a little above 0 it is one, and a temperature of 0 °C has no such place."""
    thickness = quantity("center_thickness_mm")
    assert unusual(thickness, np.array([0.0, 1e-4, 0.9])).tolist() == [False, True, False]
    assert remark(thickness, 0.0) is None
    assert "usual is" in remark(thickness, 1e-4)
    assert "usual is" in remark(quantity("n_lens"), 1.0)


@pytest.mark.parametrize(
    ("text", "alone"),
    [("1.49 RIU", True), ("1.49*", True), ("1.49?", True), ("1.49 (wet)", True), ("35°", True), ("1.4 9", False), ("1.49;", False)],
)
def test_what_stands_behind_a_number_is_told_where_it_is_a_word_or_a_mark(text, alone):
    assert not_a_number(quantity("n_lens"), text).endswith("write the number alone") == alone


def test_names_of_quantities_and_of_their_u():
    assert [is_quantity(name) for name in ("n_lens", "u_n_lens", "u_colour", "x_n_lens", "v_n_lens", "colour")] == [True, True, *[False] * 4]
