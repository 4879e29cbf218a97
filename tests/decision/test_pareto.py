"""The Pareto set is that of its definition, for any order of rows and for many of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError
from lenscalc.decision import (
    pareto_set,
)


def by_definition(costs):
    """Every row against every other, as the definition reads."""
    return [not any((b <= a).all() and (b < a).any() for b in costs) for a in costs]


@given(st.integers(1, 5).flatmap(lambda k: st.lists(st.tuples(*[st.integers(0, 4)] * k), min_size=1, max_size=40)))
def test_pareto_set_is_that_of_the_definition(rows):
    costs = np.array(rows, dtype=float)
    assert pareto_set(costs).tolist() == by_definition(costs)


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6), st.integers(0, 6)), min_size=1, max_size=30), st.randoms(use_true_random=False))
def test_pareto_set_does_not_depend_on_the_order_of_rows(rows, random):
    costs = np.array(rows, dtype=float)
    places = list(range(len(rows)))
    random.shuffle(places)
    assert pareto_set(costs[places]).tolist() == pareto_set(costs)[places].tolist()


def test_pareto_set_of_many_rows_on_a_front_and_behind_it():
    """A front of x + y + z = 1 and every row of it again, pushed back in all three: the front and nothing else stands."""
    x, y = (np.random.default_rng(5).integers(0, 1000, 3000) for _ in "xy")
    front = np.column_stack([x, y, 5000 - x - y]).astype(float)
    both = np.concatenate([front + 1.0, front])
    found = pareto_set(both)
    assert found[3000:].all()
    # a row that was pushed back may stand only where no row of the front is left and below of it
    assert found[:3000].tolist() == [not (front <= row).all(axis=1).any() for row in both[:3000]]
    assert not found[:3000].any()


def test_blocks_that_fall_to_the_first_of_the_set():
    """A line of 3000 on a front, and 2000 rows each of which lies behind one of its first 2000."""
    i = np.arange(3000)
    front = np.column_stack([i, 3000 - i, np.zeros(3000)])
    found = pareto_set(np.concatenate([front, front[:2000] + 1.0]))
    assert found.tolist() == [True] * 3000 + [False] * 2000


def test_a_hundred_thousand_rows_are_no_matter_of_their_square():
    costs = np.random.default_rng(1).random((100_000, 3))
    found = pareto_set(costs)
    on = costs[found]
    assert 20 < len(on) < 400  # (ln n)²/2 = 66 are expected of independent columns (Bentley et al. 1978, from memory, to be confirmed)
    sample = costs[~found][:500]
    assert all((on <= row).all(axis=1).any() for row in sample)
    line = np.arange(100_000.0)
    assert pareto_set(np.column_stack([line, -line])).all()


@pytest.mark.parametrize(("costs", "told"), [([[1.0, np.nan]], "row 1: a criterion is missing"), (np.zeros((3, 0)), "one column a criterion")])
def test_pareto_set_refuses(costs, told):
    with pytest.raises(InputError, match=told):
        pareto_set(costs)


def test_no_rows_are_no_set():
    assert pareto_set(np.zeros((0, 2))).tolist() == []


@pytest.mark.parametrize("dearer", [(0.0, 1.0), (1.0, 0.0), (1.0, 1.0)])
def test_as_good_in_one_and_worse_in_the_other_is_beaten(dearer):
    assert pareto_set([(0.0, 0.0), dearer]).tolist() == [True, False]


def test_the_first_of_the_set_alone_beats_a_second_block():
    """(0, 0, 0) beats a line of 1000, none of which beats another."""
    i = np.arange(1000)
    line = np.column_stack([1 + i, 1000 - i, np.ones(1000)])
    assert pareto_set(np.concatenate([line, [(0.0, 0.0, 0.0)]])).tolist() == [False] * 1000 + [True]
    assert pareto_set(line).all()


def test_a_table_of_tables_is_none_and_the_first_row_that_is_missing_is_named():
    with pytest.raises(InputError, match=r"^the Pareto set needs a table with one row a candidate and one column a criterion$"):
        pareto_set(np.zeros((2, 2, 2)))
    with pytest.raises(InputError, match=r"^row 2: a criterion is missing or infinite; leave such a row out before$") as caught:
        pareto_set([(1.0, 2.0), (np.nan, 1.0), (1.0, np.inf)])
    assert caught.value.row == 2
