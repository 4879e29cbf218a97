"""And back: the index from a finished lens's measured power and dimensions."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import checked, given_back, in_row, quantity
from lenscalc.uncertainty import Estimate, through


def index_of(F: Any, R1: Any, R2: Any, t: Any, m1: Any, m2: Any) -> Any:
    """The body: Gullstrand's equation times n is a quadratic in n; of its two roots the one that stays when the lens grows thin. Plain arithmetic."""
    # n·F = n·(S1 + S2) − (t/1000)·S1·S2 with S1 = 1000(n − m1)c1, S2 = 1000(m2 − n)c2
    c1 = 1.0 / R1
    c2 = 1.0 / R2
    k = 1000.0 * t * c1 * c2
    a = 1000.0 * (c1 - c2) + k
    b = -(1000.0 * (m1 * c1 - m2 * c2) + k * (m1 + m2) + F)
    return -b / (2.0 * a) * (1.0 + (1.0 - 4.0 * a * k * m1 * m2 / (b * b)) ** 0.5)


def index_from_power(
    power_D: Any, *, front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_medium: Any = 1.336, n_medium_behind: Any = None
) -> Any:
    """Index of a lens with this measured power and these dimensions, on the basis of the medium's; the inverse of `thick_lens`.

    Power and dimensions in one condition (wet or dry, temperature, medium): a lens measured in saline gives its index there. An `Estimate` among the
    arguments gives an `Estimate` back, by complex step, with all that the inputs share. Not for a lens of nearly equal radii in one medium: its power
    comes from the thickness alone, and two indices have it.

    Accuracy: 8e-16 relative, over a round trip through `thick_lens`.

    Raises
    ------
    InputError
        for values outside their limits, for a lens without curvature, and where no index from 1 to 3 has this power.

    References
    ----------
    Gullstrand's equation solved for n, by hand.

    >>> round(index_from_power(20.469666, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9), 8)
    1.49
    """
    given = {
        "power_D": power_D, "front_radius_mm": front_radius_mm, "back_radius_mm": back_radius_mm, "center_thickness_mm": center_thickness_mm,
        "n_medium": n_medium, "n_medium_behind": n_medium if n_medium_behind is None else n_medium_behind,
    }  # fmt: skip
    a, shape = checked(**{name: x.value if isinstance(x, Estimate) else x for name, x in given.items()})
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        n = index_of(*a.values())
    q = quantity("n_lens")
    for row in np.flatnonzero(~((n >= q.lower) & (n <= q.upper))):
        where, number = in_row(int(row), n.size)
        flat = np.isinf(a["front_radius_mm"][row]) and np.isinf(a["back_radius_mm"][row])
        why = "a lens without curvature has no power" if flat else f"no index from {q.limits_text} gives these dimensions this power"
        text = f"{where}power_D = {a['power_D'][row]:g} D: {why}; look at the radii, their signs and the medium"
        raise InputError(text, quantity="power_D", row=number)
    estimated = {name: x for name, x in given.items() if isinstance(x, Estimate)}
    if not estimated:
        return given_back(n, shape)
    values = {name: given_back(x, shape) for name, x in a.items()}

    def model(**inputs: Any) -> Any:
        return index_of(*{**values, **inputs}.values())

    return through(model, **estimated)
