"""One block ahead: same order, no more than one, errors in their place."""

import time

import pytest

from lenscalc.batch.ahead import one_ahead


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
