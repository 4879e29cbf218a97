"""A ladder of lenses: the radii for every power of a range, and what it costs to round them to the tools of a shop."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.recut import recut
from lenscalc.lens.sensitivity import sensitivities_of
from lenscalc.lens.thick_lens import powers_of
from lenscalc.quantities import checked, numbers

LONGEST = 100_000  # lenses in one ladder


class Ladder(NamedTuple):
    """One row a candidate index, one column a power: the exact lens, and with `radius_increment_mm` the tools that the shop has.

    `rounding_cost_D` is the power of the lens from rounded tools less the wanted one; the centre thickness stays that of the exact lens. Without an
    increment the tools are nan. `problem` is "" for a lens that can be. `u_power_D` is what an uncertain index leaves in the power of the exact lens,
    |∂F/∂n|·u(n) at its radii; nan without a `u_n_lens`.
    """

    wanted_power_D: Any
    front_radius_mm: Any
    back_radius_mm: Any
    center_thickness_mm: Any
    edge_thickness_mm: Any
    front_tool_mm: Any
    back_tool_mm: Any
    rounding_cost_D: Any
    problem: Any
    u_power_D: Any


def ladder(
    n_lens: Any, *, from_power_D: float, to_power_D: float, step_D: float, radius_increment_mm: float | None = None, n_medium: float = 1.336,
    n_medium_behind: float | None = None, u_n_lens: Any = None, **held: Any,
) -> Ladder:  # fmt: skip
    """The radii of a range of powers for one or several indices, in one call.

    Parameters
    ----------
    n_lens : float or 1-D array
        index of each candidate, one basis with the media.
    from_power_D, to_power_D, step_D : float [D]
        the range, both ends in it where the step meets them.
    radius_increment_mm : float, optional [mm]
        each radius is rounded to the nearest multiple; a held radius is a tool that is there, and stays.
    n_medium, n_medium_behind : float
    u_n_lens : float or 1-D array, optional
        standard uncertainty of the index, of all candidates or of each.
    **held
        as for `recut`: `center_thickness_mm`, or `wanted_edge_thickness_mm` with `optic_diameter_mm`; one radius, `shape_factor` or
        `curvature_ratio`; conics. Numbers, for all lenses of the ladder.

    Raises
    ------
    InputError
        for values outside their limits, or a range that its steps do not lead through. A lens that cannot be made keeps its place, with a problem.

    >>> l = ladder([1.46, 1.49, 1.55], from_power_D=10, to_power_D=30, step_D=0.5, center_thickness_mm=0.9, radius_increment_mm=0.01)
    >>> l.front_radius_mm.shape, round(float(l.front_radius_mm[1, 20]), 4), round(float(l.rounding_cost_D[1, 20]), 4)
    ((3, 41), 15.3533, 0.0043)
    >>> round(float(ladder(1.49, from_power_D=20, to_power_D=20, step_D=1, center_thickness_mm=0.9, u_n_lens=0.0005).u_power_D[0, 0]), 4)
    0.0648
    """
    given = {"power_D": from_power_D, "to_power_D": to_power_D, "step_D": step_D, "n_medium": n_medium}
    if radius_increment_mm is not None:
        given["radius_increment_mm"] = radius_increment_mm
    _, shape = checked(**given)
    if shape:
        raise InputError("a ladder has one range of powers, one medium and one increment: give numbers, not arrays")
    steps = (to_power_D - from_power_D) / step_D
    if not 0 <= steps < LONGEST:
        wanted = f"a ladder from {from_power_D:g} to {to_power_D:g} D in steps of {step_D:g} D"
        raise InputError(f"{wanted} would have {steps + 1:.6g} lenses: must be 1 to {LONGEST}; the last power is not below the first")
    powers = from_power_D + step_D * np.arange(int(steps + 1e-9) + 1)
    (n,) = map(np.atleast_1d, numbers(n_lens=n_lens))
    if n.ndim != 1:
        raise InputError(f"n_lens has the shape {n.shape}: a ladder takes one index a candidate")
    r = recut(powers[np.newaxis, :], n[:, np.newaxis], n_medium=n_medium, n_medium_behind=n_medium_behind, strict=False, **held)
    nothing = np.full(r.power_D.shape, np.nan)
    behind = n_medium if n_medium_behind is None else n_medium_behind
    u = nothing
    if u_n_lens is not None:
        known = checked(u_n_lens=u_n_lens)[0]["u_n_lens"]
        if known.size not in (1, n.size):
            raise InputError(f"u_n_lens has {known.size} values, n_lens {n.size}: give one for all candidates, or one each", quantity="u_n_lens")
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = sensitivities_of(r.front_radius_mm, r.back_radius_mm, r.center_thickness_mm, n[:, np.newaxis], n_medium, behind)
        u = np.abs(slope.d_power_d_n_lens) * known[:, np.newaxis]
    tools = [nothing, nothing]
    if radius_increment_mm is not None:
        tools = [
            np.broadcast_to(R, nothing.shape) if name in held else _rounded(R, radius_increment_mm)
            for name, R in (("front_radius_mm", r.front_radius_mm), ("back_radius_mm", r.back_radius_mm))
        ]
    with np.errstate(divide="ignore", invalid="ignore"):
        made = powers_of(tools[0], tools[1], r.center_thickness_mm, n[:, np.newaxis], n_medium, behind).power_D
    return Ladder(
        powers, r.front_radius_mm, r.back_radius_mm, r.center_thickness_mm, r.edge_thickness_mm, tools[0], tools[1], made - powers, r.problem, u
    )


def _rounded(R: Any, increment: float) -> Any:
    """To the nearest multiple, never to 0."""
    with np.errstate(invalid="ignore"):
        count = np.where(np.isfinite(R), np.sign(R) * np.maximum(np.rint(np.abs(R) / increment), 1.0), R)
        return np.where(np.isfinite(R), count * increment, R)
