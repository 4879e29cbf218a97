"""A slip of the pen that the numbers of a decision show: they are decided as they stand, and it is said."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from lenscalc.quantities import numbers

FAR_FROM_LABEL_D: Final = 5.0  # nobody cuts a lens that lies so far from its label
TOLERANCES_WIDE: Final = 3.0  # and nobody measures for a decision that cannot be


def slips(power_D: Any, u_power_D: Any, labelled_power_D: Any, tolerance_D: Any) -> tuple[tuple[Any, str], ...]:
    """Which rows show a slip, with the sentence for them; a row in which something is missing shows none.

    >>> [bool(rows) for rows, _ in slips(-20.4, 0.06, 20.5, 0.4)], [bool(rows) for rows, _ in slips(20.4, 2.7, 20.5, 0.4)]
    ([True, False], [False, True])
    """
    power_D, u_power_D, labelled_power_D, tolerance_D = numbers(
        power_D=power_D, u_power_D=u_power_D, labelled_power_D=labelled_power_D, tolerance_D=tolerance_D
    )
    with np.errstate(invalid="ignore"):
        return (
            (
                np.abs(power_D - labelled_power_D) > FAR_FROM_LABEL_D,
                f"the power lies more than {FAR_FROM_LABEL_D:g} D from the label: is a unit, a sign, the label or the lot another one than meant?",
            ),
            (
                u_power_D > TOLERANCES_WIDE * tolerance_D,
                f"u of the power is more than {TOLERANCES_WIDE:g} times the tolerance: is an uncertainty a percentage, or in another unit?",
            ),
        )
