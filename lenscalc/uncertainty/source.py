"""Where an uncertainty comes from."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Literal

from lenscalc.errors import InputError
from lenscalc.quantities import Scope, single_numbers

Distribution = Literal["normal", "t", "rectangular", "triangular", "arcsine"]


@dataclass(frozen=True)
class Source:
    """One independent cause of error. Two numbers that name an equal source share it: it adds or cancels by itself.

    `scope` says who shares it: the instrument's and the lot's errors are common to all lenses of a lot, a lens's is its own.

    >>> Source("refractometer, calibration", scope="instrument").is_common
    True
    """

    name: str
    scope: Scope = "lot"
    dof: float = inf
    distribution: Distribution = "normal"

    def __post_init__(self) -> None:
        """Refuse degrees of freedom that cannot be; a missing number of them would count as infinite."""
        if not single_numbers(**{f"dof of {self.name}": self.dof})[0] > 0:
            raise InputError(f"dof of {self.name} = {self.dof}: degrees of freedom must be above 0", quantity="dof", value=self.dof)

    @property
    def is_common(self) -> bool:
        """Whether all lenses of one lot share this error."""
        return self.scope != "lens"


def standard_u(half_width: float, distribution: Distribution) -> float:
    """Standard uncertainty of a value known to lie within ± half_width (JCGM 100:2008, 4.3.7 and 4.3.9).

    Accuracy: 3e-16 relative, over 1e-300 to 1000.

    Raises
    ------
    InputError
        for a distribution without a half-width, or a half-width below 0.

    >>> round(standard_u(0.0001 / 2, "rectangular") * 1e5, 3)   # a resolution of 0.0001
    2.887
    """
    divisor = {"rectangular": 3.0, "triangular": 6.0, "arcsine": 2.0}
    if distribution not in divisor:
        raise InputError(f"{distribution!r} has no half-width: use rectangular, triangular or arcsine", quantity="distribution")
    (half_width,) = single_numbers(half_width=half_width)
    if half_width < 0:
        raise InputError(f"half_width = {half_width:g}: must be 0 or more", quantity="half_width", value=half_width)
    return float(half_width / divisor[distribution] ** 0.5)
