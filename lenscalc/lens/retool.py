"""The correction to existing tools for a lot whose index has moved."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.recut import recut
from lenscalc.lens.thick_lens import thick_lens
from lenscalc.quantities import as_number, quantity

HELD = ("curvature ratio", "front radius", "back radius")


class Retool(NamedTuple):
    """New radii and how far they are from the old ones [mm]; the power the tools were made for, and what they would give with the new index [D]."""

    front_radius_mm: Any
    back_radius_mm: Any
    front_radius_change_mm: Any
    back_radius_change_mm: Any
    power_D: Any
    power_with_old_tools_D: Any


def retool(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, *, n_lens_before: Any, n_lens: Any, n_medium: Any = 1.336,
    n_medium_behind: Any = None, hold: Literal["curvature ratio", "front radius", "back radius"] = "curvature ratio",
) -> Retool:  # fmt: skip
    """Radii that give a lot of index `n_lens` the power that these tools gave with `n_lens_before`; the centre thickness stays.

    Arrays or numbers, [mm]; indices on one basis. A plano surface stays plano, its change is 0.

    Raises
    ------
    InputError
        for values outside their limits, an unknown `hold`, two plano surfaces, or a power that the new index cannot give so.

    >>> new = retool(15.0, -15.0, 0.9, n_lens_before=1.49, n_lens=1.4915)
    >>> round(new.front_radius_mm, 4), round(new.power_with_old_tools_D - new.power_D, 4)
    (15.1462, 0.1988)
    """
    if hold not in HELD:
        raise UnknownNameError(hold, HELD, what="thing to hold")
    lens = (front_radius_mm, back_radius_mm, center_thickness_mm)
    before = thick_lens(*lens, n_lens_before, n_medium, n_medium_behind).power_D
    now = thick_lens(*lens, n_lens, n_medium, n_medium_behind).power_D
    R1, R2 = (as_number(name, R) for name, R in (("front_radius_mm", front_radius_mm), ("back_radius_mm", back_radius_mm)))
    held: dict[str, Any] = {"front radius": {"front_radius_mm": R1}, "back radius": {"back_radius_mm": R2}}.get(hold) or _ratio(R1, R2)
    new = recut(before, n_lens, n_medium=n_medium, n_medium_behind=n_medium_behind, center_thickness_mm=center_thickness_mm, **held)
    return Retool(new.front_radius_mm, new.back_radius_mm, _change(new.front_radius_mm, R1), _change(new.back_radius_mm, R2), before, now)


def _ratio(R1: Any, R2: Any) -> dict[str, Any]:
    """The ratio of the curvatures as a shape factor, which knows a plano front; as itself where nearly equal radii have no such factor."""
    if np.any(np.isinf(R1) & np.isinf(R2)):
        raise InputError("front_radius_mm and back_radius_mm are both plano: such a lens has no power that other tools could give back")
    most = quantity("shape_factor").upper
    with np.errstate(divide="ignore", invalid="ignore"):
        shape, ratio = (1.0 / R1 + 1.0 / R2) / (1.0 / R1 - 1.0 / R2), R1 / R2
    if np.all(np.abs(shape) <= most):
        return {"shape_factor": shape}
    if np.any(np.abs(ratio) > most):
        raise InputError("nearly equal radii stand beside a front that is plano, or nearly: retool these lenses in calls of their own")
    return {"curvature_ratio": ratio}


def _change(new_R: Any, R: Any) -> Any:
    both_flat = np.isinf(new_R) & np.isinf(R)
    with np.errstate(invalid="ignore"):
        return np.where(both_flat, 0.0, new_R - R)[()]
