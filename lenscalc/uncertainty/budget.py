"""The budget of one estimate: a line a source."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.uncertainty.estimate import Estimate

WHOSE: Final = {"instrument": "the instrument's", "lot": "the lot's", "lens": "each lens's own", "convention": "a convention's"}


class BudgetLine(NamedTuple):
    """One source's line: its signed part c·u, its share of u², whose it is, distribution, degrees of freedom."""

    source: str
    part: float
    share: float
    scope: str
    distribution: str
    dof: float


def budget(estimate: Estimate, case: int = 0) -> list[BudgetLine]:
    """The lines of one case of an estimate, largest share first; sources that contribute nothing are left out.

    >>> from lenscalc.uncertainty import Source
    >>> for line in budget(Estimate(1.49, {Source("calibration"): 3e-4, Source("replicates", dof=4): -4e-4})):
    ...     print(f"{line.source} {line.part:+.1e} {line.share:.2f}")
    replicates -4.0e-04 0.64
    calibration +3.0e-04 0.36
    """

    def of_case(x: Any) -> float:
        return float(np.broadcast_to(x, np.shape(estimate.value)).ravel()[case])

    total = of_case(estimate.u) ** 2
    lines = [
        BudgetLine(s.name, part, part * part / total, s.scope, s.distribution, s.dof)
        for s, part in ((s, of_case(p)) for s, p in estimate.parts.items())
        if part * part > 1e-24 * total  # beyond rounding
    ]
    return sorted(lines, key=lambda line: -line.share)
