"""The Pareto set: the rows that no other row beats in one criterion without losing in another."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt

from lenscalc.errors import InputError

_ROWS: Final = 512  # compared at a time with so many of the set: the comparisons of a block stay within the cache
_OF_SET: Final = 2048


def pareto_set(costs: Any) -> npt.NDArray[np.bool_]:
    """Which rows are not dominated; one column a criterion, and less is better in every one.

    A row is dominated where another is as good in every criterion and better in at least one. Equal rows do not dominate each other: all of them
    stand in the set, or none. The values are taken as they are; their uncertainties have no say here. Plain numpy: the rows go in an order in which
    none is dominated by a later one, in blocks, against the set so far (two criteria need one pass), so that memory grows with the rows and not with
    their square.

    Parameters
    ----------
    costs : array of shape (rows, criteria), or (rows,) for one criterion
        finite numbers; the negative of what should be high, the distance from what should be met.

    Returns
    -------
    array of bool, one a row

    Raises
    ------
    InputError
        for a value that is missing or infinite, or a table without a criterion.

    The definition is that of Börzsönyi, Kossmann and Stocker, The skyline operator (2001), as quoted with the hotels below (price, distance) in the
    documentation of the library paretoset 1.2.

    >>> hotels = [(50, 13), (53, 21), (62, 19), (87, 13), (83, 5), (39, 22), (60, 22), (44, 25)]
    >>> [hotel for hotel, best in zip(hotels, pareto_set(hotels)) if best]
    [(50, 13), (83, 5), (39, 22)]
    """
    table = np.asarray(costs, dtype=np.float64)
    table = table[:, np.newaxis] if table.ndim == 1 else table
    if table.ndim != 2 or table.shape[1] == 0:
        raise InputError("the Pareto set needs a table with one row a candidate and one column a criterion")
    if not np.all(np.isfinite(table)):
        row = int(np.flatnonzero(~np.isfinite(table).all(axis=1))[0]) + 1
        raise InputError(f"row {row}: a criterion is missing or infinite; leave such a row out before", row=row)
    # places instead of values: small integers, whose sum orders the rows exactly
    places = np.column_stack([np.unique(column, return_inverse=True)[1] for column in table.T]).astype(np.int32)
    if places.shape[1] <= 2:
        return _of_two(places[:, 0], places[:, -1])
    total = places.sum(axis=1, dtype=np.int64)
    order = np.argsort(total, kind="stable")
    places, total = places[order], total[order]
    best = np.zeros(len(table), dtype=bool)
    found, found_total = places[:0], total[:0]
    for start in range(0, len(table), _ROWS):
        block, sums = places[start : start + _ROWS], total[start : start + _ROWS]
        stands = np.ones(len(block), dtype=bool)
        for first in range(0, len(found), _OF_SET):
            alive = np.flatnonzero(stands)
            if not alive.size:
                break
            upto = slice(first, first + _OF_SET)
            stands[alive] = ~_dominated(block[alive], sums[alive], found[upto], found_total[upto])
        alive = np.flatnonzero(stands)
        stands[alive] = ~_dominated(block[alive], sums[alive], block[alive], sums[alive])
        best[start : start + _ROWS] = stands
        found, found_total = np.concatenate([found, block[stands]]), np.concatenate([found_total, sums[stands]])
    result = np.zeros(len(table), dtype=bool)
    result[order] = best
    return result


def _of_two(first: Any, second: Any) -> npt.NDArray[np.bool_]:
    """For two criteria (or one, given twice): the least of the second at each place of the first, below all that have less of the first."""
    if not first.size:
        return np.zeros(0, dtype=bool)
    least = np.full(int(first.max()) + 1, np.iinfo(np.int32).max)
    np.minimum.at(least, first, second)
    before = np.append(np.iinfo(np.int32).max, np.minimum.accumulate(least)[:-1])
    return np.asarray((second == least[first]) & (second < before[first]))


def _dominated(rows: Any, sums: Any, by: Any, by_sums: Any) -> Any:
    """As good everywhere, and a smaller sum: better somewhere."""
    beaten = by_sums < sums[:, None]
    for j in range(rows.shape[1]):
        beaten &= by[:, j] <= rows[:, j, None]
    return beaten.any(axis=1)
