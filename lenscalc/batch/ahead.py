"""The next block is read and evaluated while the one at hand is written: both cores, and never more than two blocks in memory."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

Item = TypeVar("Item")


def one_ahead(items: Iterator[Item]) -> Generator[Item]:
    """The same items in the same order, the next one being made in a second thread; an error comes where the item would have come.

    >>> list(one_ahead(iter("abc")))
    ['a', 'b', 'c']
    """
    end: Any = object()
    with ThreadPoolExecutor(1) as pool:
        coming = pool.submit(next, items, end)
        while (item := coming.result()) is not end:
            coming = pool.submit(next, items, end)
            yield item
