"""Counts: whole, between their limits, and no truth value; the limits are those of the call."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.quantities import whole_number


@pytest.mark.parametrize("value", [2, 2.0, np.int8(2), np.float64(2.0), np.array([2])])
def test_a_count_may_be_written_in_several_ways(value):
    found = whole_number("points", value, 2, 2)
    assert (found, type(found)) == (2, int)


def test_a_large_count_keeps_its_last_digit():
    """2⁶⁴ − 1 is no double; a seed may be as long as one likes."""
    assert whole_number("seed", 2**64 - 1, 0) == whole_number("seed", np.uint64(2**64 - 1), 0) == 18446744073709551615


@pytest.mark.parametrize("value", [True, np.True_, 1.5, float("nan"), float("inf"), -float("inf"), 0, 4])
def test_what_is_no_such_count_is_named_with_its_limits(value):
    with pytest.raises(InputError) as told:
        whole_number("points", value, 1, 3)
    assert str(told.value) == f"points = {value}: must be a whole number, 1 to 3"
    assert (told.value.quantity, told.value.value is value, told.value.limits) == ("points", True, (1, 3))


def test_without_an_upper_limit_and_with_a_reason():
    with pytest.raises(InputError, match=r"^lenses = 0: must be a whole number, 1 or more; a lot has one$") as told:
        whole_number("lenses", 0, 1, why="a lot has one")
    assert told.value.limits == (1, np.inf)
    with pytest.raises(InputError, match=r"^rays = 4: must be a whole number, 2 to 3$"):
        whole_number("rays", 4, 2, 3)


@pytest.mark.parametrize(("value", "told"), [("3,5", "points = '3,5' is not a number"), ([1, 2], "points holds 2 numbers"), (10**400, "too large")])
def test_what_is_not_one_number_is_told_as_everywhere(value, told):
    with pytest.raises(InputError, match=told):
        whole_number("points", value, 1)
