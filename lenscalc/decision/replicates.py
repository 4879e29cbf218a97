"""How many replicates are still worth taking."""

from __future__ import annotations

from math import ceil, isfinite
from typing import Final, NamedTuple

from lenscalc.errors import InputError
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty import Source, coverage_factor, errors_only
from lenscalc.uncertainty.rounding import percent

SMALL_BESIDE: Final = 1.0 / 3.0  # of the rest
MOST_MOUNTINGS: Final = 100  # more than that nobody makes: so wide a spread has a cause (common practice, no source)
_MOST_REPLICATES: Final = 10_000
_CAUSE: Final = "so wide a spread has a cause. Look at why they differ."
TOO_MANY: Final = f"More than {MOST_MOUNTINGS} mountings do not help: {_CAUSE}"


class ReplicateRow(NamedTuple):
    """So many replicates: the type A part s/√n, u of the whole, its degrees of freedom, U for 95 %, and by how much the last one shrank U."""

    replicates: int
    u_type_a: float
    u: float
    dof: float
    expanded: float
    last_one_gained: float


class ReplicatesWorth(NamedTuple):
    """`enough`: the fewest replicates (two or more) with which the type A part falls below the stated part of the rest; and the table up to there."""

    enough: int
    rows: list[ReplicateRow]


def replicates_worth(s_reading: float, u_rest: float, *, part: float = SMALL_BESIDE, s_is_known: bool = False) -> ReplicatesWorth:
    """How many replicates are still worth taking, beside a rest of u that they do not shrink (calibration, resolution, temperature, …).

    The type A part is s/√n with n − 1 degrees of freedom (JCGM 100:2008, 4.2.3), or with none to lose where `s_is_known` from pooled history.
    At a third of the rest the type A part adds 5 % to u. Replicates are new mountings: re-reads of one mounting do not count.

    Raises
    ------
    InputError
        for s below 0, a rest or a part not above 0, or where more than 10,000 would be needed.

    >>> w = replicates_worth(0.0002, 0.0003)
    >>> w.enough, [(r.replicates, round(r.u, 6)) for r in w.rows]
    (4, [(2, 0.000332), (3, 0.000321), (4, 0.000316)])
    """
    s_reading, u_rest, part = single_numbers(s_reading=s_reading, u_rest=u_rest, part=part)
    if not s_reading >= 0:
        raise InputError(f"s_reading = {s_reading:g}: a standard deviation must be 0 or more", quantity="s_reading")
    if not (u_rest > 0 and part > 0):
        raise InputError("u_rest and part must be above 0: beside nothing no number of replicates is small", quantity="u_rest")
    times = s_reading / part / u_rest  # of the rest that is small enough: the root of the replicates
    needed = times * times
    if not needed <= _MOST_REPLICATES:
        count = f"{needed:.3g}" if isfinite(needed) else "endless"
        raise InputError(f"{count} replicates would be needed: find out why the readings scatter so", quantity="s_reading", value=s_reading)
    enough = max(2, ceil(needed * (1.0 - 1e-12)))
    counts = [*(n for n in (*range(2, 11), 15, 20, 30, 50, 100, 200, 500, 1000, 2000, 5000) if n < enough), enough]
    return ReplicatesWorth(enough, [_row(n, s_reading, u_rest, s_is_known) for n in counts])


def mountings_worth(s_reading: float, u_rest: float) -> int | None:
    """How many mountings are enough, as `replicates_worth` has it; None where that is more than anyone mounts.

    >>> mountings_worth(0.0002, 0.0003), mountings_worth(0.015, 0.0004)
    (4, None)
    """
    s_reading, u_rest = single_numbers(s_reading=s_reading, u_rest=u_rest)
    if 0.0 <= MOST_MOUNTINGS**0.5 * SMALL_BESIDE * u_rest < s_reading:
        return None
    return 2 if s_reading == 0 else replicates_worth(s_reading, u_rest).enough


def more_mountings_text(enough: int | None, *, count: int, share: float, of: str = "mountings") -> str:
    """Whether more mountings (or sessions) than the `count` there are would help, by the share that their spread has in u² of the index.

    >>> more_mountings_text(36, count=5, share=0.44)
    'The spread of the mountings holds 44 % of u² of the index; by 36 in place of 5 it would be small.'
    >>> more_mountings_text(None, count=5, share=0.99)
    'The spread of the mountings holds 99 % of u² of the index, and more of them do not help: so wide a spread has a cause. Look at why they differ.'
    """
    told = f"The spread of the {of} holds {percent(share)} of u² of the index"
    if enough is None:
        return f"{told}, and more of them do not help: {_CAUSE}"
    if enough <= count:
        return f"{told}; {count} are enough."
    return f"{told}; by {enough} in place of {count} it would be small."


def _row(n: int, s: float, rest: float, s_is_known: bool) -> ReplicateRow:
    def of(n: int) -> tuple[float, float, float]:
        dof = float("inf") if s_is_known else n - 1.0
        e = errors_only({Source("replicates", dof=dof): s / n**0.5, Source("the rest"): rest})
        return float(e.u), float(e.dof), float(coverage_factor(0.95, e.dof) * e.u)

    u, dof, U = of(n)
    return ReplicateRow(n, s / n**0.5, u, dof, U, 1.0 - U / of(n - 1)[2] if n > 2 else float("nan"))
