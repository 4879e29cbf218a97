"""One block ahead: same order, no more than one, errors in their place."""

import time
from contextlib import closing

import pytest

from lenscalc.batch.ahead import one_ahead
from lenscalc.batch.workers import computed


def test_never_more_than_one_ahead():
    made = []

    def items():
        for k in range(5):
            made.append(k)
            yield k

    for k in one_ahead(items()):
        time.sleep(0.02)
        assert made[-1] <= k + 1
    assert made == [0, 1, 2, 3, 4]


def test_an_error_comes_in_its_place():
    def items():
        yield 1
        raise ValueError("torn")

    blocks = one_ahead(items())
    assert next(blocks) == 1
    with pytest.raises(ValueError, match="torn"):
        next(blocks)


def test_whoever_stops_early_waits_for_the_one_under_way():
    done = []

    def items():
        for k in range(9):
            time.sleep(0.01)
            done.append(k)
            yield k

    blocks = one_ahead(items())
    assert next(blocks) == 0
    blocks.close()
    assert done in ([0], [0, 1])


@pytest.mark.parametrize("workers", [0, 1])
def test_an_error_in_a_block_ends_the_reading_of_the_next(workers):
    """While a block fails, a thread reads the next one: whoever is told of the error can close what was read, at once."""

    def blocks():
        yield "torn"
        time.sleep(1.0)
        yield "never asked for"

    read = blocks()
    with pytest.raises(ValueError, match="invalid literal"), closing(computed(read, int, workers=workers)) as found:
        next(found)
    read.close()
