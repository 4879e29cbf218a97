"""What is said of readings that look like two sets: which rows, both means, and whether they are the same specimen."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot, log10

from lenscalc.refractometer.mixed_readings import LABORATORIES, Scatter, TwoSets, two_sets
from lenscalc.refractometer.replicates import grubbs
from lenscalc.refractometer.sheet_readings import Reading

_BETWEEN_MOUNTINGS = 5.0 * LABORATORIES.s  # no two mountings of one specimen lie further apart
_MANY = 6  # stretches of rows that a sentence still names one by one


def told_of_mixed_readings(reading: Reading, n: Sequence[float], resolution: float, at: str) -> tuple[str, ...]:
    """One sentence where the readings `n` of one list, a drift taken off, look like two sets; none for a single row that Grubbs' test names."""
    u, u_days = reading.u_repeatability, reading.u_session
    of_reading = LABORATORIES if u is None else Scatter(u, reading.dof_repeatability or float("inf"), is_stated=True)
    of_session = LABORATORIES
    if u_days is not None:  # of the same history as u
        of_session = Scatter(hypot(of_reading.s, u_days), min(of_reading.dof, reading.dof_session or float("inf")), is_stated=True)
    found = two_sets(n, reading.mounting, reading.session, resolution=resolution, of_reading=of_reading, of_session=of_session)
    if found is None:
        return ()
    is_single = min(len(found.lower), len(found.upper)) == 1
    if is_single and len(n) > 2 and grubbs(reading.n, resolution=resolution).is_suspect:
        return ()
    return (_sentence(found, at, resolution, own_mountings=reading.mounting is None),)


def _sentence(found: TwoSets, at: str, resolution: float, *, own_mountings: bool) -> str:
    decimals = max(4, ceil(-log10(resolution))) if resolution > 0 else 6
    sets = ((found.lower, found.lower_mean), (found.upper, found.upper_mean))
    first, second = sorted(sets, key=lambda pair: pair[0])
    one, other = (_set(rows, f"{value:.{decimals}f}") for rows, value in (first, second))
    apart = f"{abs(second[1] - first[1]):.2g}"
    if found.by_own_scatter:
        why = "by the scatter inside the two, readings of one specimen do so less than once in a thousand times"
    elif found.known.is_stated:
        why = f"by the scatter that the sheet states ({found.known.s:.2g}) readings of one specimen do so less than once in a thousand times"
    else:
        why = (
            f"laboratories that read one plastic differ by a standard deviation of {LABORATORIES.s:g} only (JIS K 7142:2014, clause 8, annealed "
            "sheet of poly(methyl methacrylate))"
        )
    if 1 in (len(first[0]), len(second[0])):
        ask = "are they of the same specimen, or is one mistyped?"
    elif own_mountings and abs(second[1] - first[1]) < _BETWEEN_MOUNTINGS:
        ask = "are they of the same specimen? If they are re-reads of two mountings, say so with mounting"
    else:
        ask = "are they of the same specimen, or are some left over from another?"
    return f"at {at} {one} and {other} look like two sets, {apart} apart: {why}; {ask}"


def _set(rows: Sequence[int], mean: str) -> str:
    return f"reading {rows[0]} ({mean})" if len(rows) == 1 else f"readings {rows_in_words(rows)} (mean {mean})"


def rows_in_words(rows: Sequence[int]) -> str:
    """Rows in order, stretches of them together.

    >>> rows_in_words([1, 2, 3, 5]), rows_in_words([4, 5]), rows_in_words(range(1, 40, 2))
    ('1 to 3 and 5', '4 and 5', '1, 3, 5, 7, 9, 11 and 14 more')
    """
    stretches: list[list[int]] = []
    for row in rows:
        if stretches and row == stretches[-1][-1] + 1:
            stretches[-1].append(row)
        else:
            stretches.append([row])
    parts = [f"{s[0]} to {s[-1]}" if len(s) > 2 else " and ".join(str(row) for row in s) for s in stretches]
    if len(parts) > _MANY + 1:
        parts = [*parts[:_MANY], f"{len(rows) - sum(len(s) for s in stretches[:_MANY])} more"]
    return ", ".join(parts[:-1]) + f" and {parts[-1]}" if len(parts) > 1 else parts[0]
