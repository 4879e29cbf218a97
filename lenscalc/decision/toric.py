"""Whether a toric lens keeps tolerances that the user enters; there is no default, because none was found in a text."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import checked, given_back, numbers


class ToricConformity(NamedTuple):
    """Differences, measured less labelled: mean power and cylinder [D], axis [°, −90 to 90]; and whether all three lie within their tolerances."""

    mean_power_difference_D: Any
    cylinder_difference_D: Any
    axis_difference_deg: Any
    within_tolerance: Any


def toric_conformity(
    sphere_D: Any, *, cylinder_D: Any, axis_deg: Any, labelled_sphere_D: Any, labelled_cylinder_D: Any, labelled_axis_deg: Any,
    tolerance_mean_power_D: Any, tolerance_cylinder_D: Any, tolerance_axis_deg: Any,
) -> ToricConformity:  # fmt: skip
    """Compare a toric lens with its label, as values without uncertainty: no probability, and so no decision.

    Both cylinders of one sign, as they are written; an axis and its half turn are the same. Numbers or arrays.

    Raises
    ------
    InputError
        for values outside their limits, a tolerance below 0, or cylinders of opposite sign.

    >>> c = toric_conformity(20.1, cylinder_D=2.9, axis_deg=178.0, labelled_sphere_D=20.0, labelled_cylinder_D=3.0, labelled_axis_deg=2.0,
    ...     tolerance_mean_power_D=0.3, tolerance_cylinder_D=0.3, tolerance_axis_deg=5.0)
    >>> round(c.mean_power_difference_D, 6), round(c.cylinder_difference_D, 6), c.axis_difference_deg, c.within_tolerance
    (0.05, -0.1, -4.0, True)
    """
    a, shape = checked(sphere_D=sphere_D, cylinder_D=cylinder_D, axis_deg=axis_deg)
    b, other = checked(sphere_D=labelled_sphere_D, cylinder_D=labelled_cylinder_D, axis_deg=labelled_axis_deg)
    limits = {
        "tolerance_mean_power_D": tolerance_mean_power_D, "tolerance_cylinder_D": tolerance_cylinder_D, "tolerance_axis_deg": tolerance_axis_deg,
    }  # fmt: skip
    for name, limit in limits.items():
        (limits[name],) = numbers(**{name: limit})
        if not np.all((limits[name] >= 0.0) & np.isfinite(limits[name])):
            raise InputError(f"{name} = {limit}: must be 0 or more; enter the tolerance that holds for this lens", quantity=name)
    whole = np.broadcast_shapes(shape, other, *(np.shape(x) for x in limits.values()))
    (S, C, axis), (S0, C0, axis0) = ([np.broadcast_to(x.reshape(s), whole).ravel() for x in of.values()] for of, s in ((a, shape), (b, other)))
    if np.any(C * C0 < 0.0):
        raise InputError("cylinder_D and labelled_cylinder_D have opposite signs: write both with the same", quantity="cylinder_D")
    mean, cylinder = S + C / 2.0 - (S0 + C0 / 2.0), C - C0
    turn = (axis - axis0 + 90.0) % 180.0 - 90.0
    flat = [np.broadcast_to(x, whole).ravel() for x in limits.values()]
    # 20.3 − 20.0 is 0.3000000000000007: on its tolerance a difference is within, whatever the last bit
    within = np.logical_and.reduce([np.round(np.abs(x) - limit, 9) <= 0.0 for x, limit in zip((mean, cylinder, turn), flat, strict=True)])
    return ToricConformity(
        given_back(mean, whole), given_back(cylinder, whole), given_back(turn, whole), within.item() if whole == () else within.reshape(whole)
    )
