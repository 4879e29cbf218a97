"""What is told besides a refusal: an error that was raised in another process, and how well something must be known."""

import pickle
from math import inf, nan

import pytest

from lenscalc.decision.adequacy import known_well_enough_text
from lenscalc.decision.decide import UNDECIDED, WOULD_NOT
from lenscalc.errors import FileError, InputError, SheetError, UnknownNameError, WorkerError


@pytest.mark.parametrize(
    "error",
    [
        InputError("n_lens = 14.9: must be 1 to 3", quantity="n_lens", value=14.9, limits=(1.0, 3.0), unit="", row=2),
        UnknownNameError("powr_D", ["power_D"], what="column"),
        SheetError("[lens] u is missing", quantity="u"),
        FileError("in.csv: no such file"),
        WorkerError("a worker ended"),
    ],
    ids=lambda error: type(error).__name__,
)
def test_an_error_comes_whole_from_another_process(error):
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert (str(again), again.args, vars(again)) == (str(error), error.args, vars(error))


@pytest.mark.parametrize(
    ("largest", "power", "told"),
    [
        (0.00125, 20.0, "u 0.0012 or better"),  # a limit is rounded down
        (0.0, 20.0, "no u decides: the other contributions alone are too large"),
        (inf, 20.0, "any u decides"),
        (nan, 20.0, "not computed: a dimension is taken as exact, or the power does not depend on it"),
        (None, 20.0, "not computed: a dimension is taken as exact, or the power does not depend on it"),
        (0.00125, 21.0, "no u decides: the power lies outside the limits"),
        (nan, 18.0, "no u decides: the power lies outside the limits"),
        (nan, 20.9, "no u above 0 decides: the power lies on a limit"),  # it belongs to the tolerance: an exact power on it conforms
        (nan, 19.1, "no u above 0 decides: the power lies on a limit"),
    ],
)
def test_how_well_the_index_must_be_known(largest, power, told):
    assert known_well_enough_text(largest, power, 19.1, 20.9) == told


def test_what_must_be_known_is_not_said_of_a_power_just_outside():
    told = "not said: so near a limit that its u leaves open on which side of it the power lies"
    assert known_well_enough_text(None, 20.902, 19.1, 20.9, UNDECIDED) == told
    assert known_well_enough_text(None, 20.902, 19.1, 20.9, WOULD_NOT) == "no u decides: the power lies outside the limits"
