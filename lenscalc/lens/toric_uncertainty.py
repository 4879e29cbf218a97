"""How far the powers of a toric lens are uncertain: along and across its meridian, as sphere, cylinder and axis, and as a power vector."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.thick_lens import powers_of
from lenscalc.lens.toric import power_vector, toric_lens
from lenscalc.uncertainty import Estimate, combine
from lenscalc.uncertainty.through import through


class ToricEstimates(NamedTuple):
    """`ToricPowers`, each an Estimate [D, axis °]: what two of them share, as the index and the gauge, cancels or doubles by itself."""

    power_along_D: Estimate
    power_across_D: Estimate
    sphere_D: Estimate
    cylinder_D: Estimate
    axis_deg: Estimate
    mean_power_D: Estimate
    j0_D: Estimate
    j45_D: Estimate


def toric_estimates(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, *, front_radius_across_mm: Any = None,
    back_radius_across_mm: Any = None, axis_deg: Any = 0.0, n_medium: Any = 1.336, n_medium_behind: Any = None,
) -> ToricEstimates:  # fmt: skip
    """A toric lens with the uncertainty of its dimensions, indices and axis carried into its powers, source by source.

    The meridians stay at right angles. To first order: a cylinder that is not several times its own u is positive by definition rather than by
    measurement, and its axis says little; there the power vector holds.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, front_radius_across_mm, back_radius_across_mm, axis_deg, n_medium, n_medium_behind
        as for `toric_lens`; each an Estimate or, where it is taken as exact, a number or array [mm, °]. A surface that one measurement gives as
        spherical has one radius; two radii read on one gauge name the gauge as a source of both.

    Raises
    ------
    InputError
        as for `toric_lens`, and for a medium behind that is nan.

    References
    ----------
    Law of propagation (JCGM 100:2008, 5.1), the meridians' powers by complex step. With C = F_across − F_along: dJ0 = −½·cos 2α·dC + C·sin 2α·dα,
    dJ45 = −½·sin 2α·dC − C·cos 2α·dα, dM = ½·(dF_along + dF_across); sphere and cylinder by the sign of C.

    Examples
    --------
    >>> from lenscalc.uncertainty import Source, estimate
    >>> gauge = Source("gauge of the radii", scope="instrument")
    >>> R, across = estimate(-15.0, -0.03, gauge), estimate(-12.5, -0.025, gauge)                    # 0.2 % of both
    >>> p = toric_estimates(15.0, R, 0.9, 1.49, back_radius_across_mm=across, axis_deg=estimate(90.0, 1.0, Source("mark")))
    >>> round(float(p.cylinder_D.value), 4), round(float(p.cylinder_D.u), 4), round(float(p.j45_D.u), 4)
    (2.0406, 0.0041, 0.0356)
    """
    along = {
        "R1": _estimate(front_radius_mm), "R2": _estimate(back_radius_mm), "t": _estimate(center_thickness_mm), "n": _estimate(n_lens),
        "m1": _estimate(n_medium), "m2": _estimate(n_medium if n_medium_behind is None else n_medium_behind),
    }  # fmt: skip
    if np.any(np.isnan(np.asarray(along["m2"].value, dtype=np.float64))):
        raise InputError("n_medium_behind is nan: leave it out where the medium is the one in front", quantity="n_medium_behind")
    across = dict(along)
    if front_radius_across_mm is not None:
        across["R1"] = _estimate(front_radius_across_mm)
    if back_radius_across_mm is not None:
        across["R2"] = _estimate(back_radius_across_mm)
    axis = _estimate(axis_deg)
    made = toric_lens(
        *(along[k].value for k in ("R1", "R2", "t", "n")), axis_deg=axis.value, n_medium=along["m1"].value,
        n_medium_behind=None if n_medium_behind is None else along["m2"].value,
        front_radius_across_mm=None if front_radius_across_mm is None else across["R1"].value,
        back_radius_across_mm=None if back_radius_across_mm is None else across["R2"].value,
    )  # fmt: skip
    one, other = (through(lambda **x: powers_of(**x).power_D, **meridian) for meridian in (along, across))
    signed = made.power_across_D - made.power_along_D
    per_deg = np.deg2rad(signed)
    _, cosine, sine = power_vector(made.sphere_D, cylinder_D=-2.0, axis_deg=axis.value)
    positive = np.where(signed < 0.0, 0.0, 1.0)
    return ToricEstimates(
        combine(made.power_along_D, [(1.0, one)]),
        combine(made.power_across_D, [(1.0, other)]),
        combine(made.sphere_D, [(positive, one), (1.0 - positive, other)]),
        combine(made.cylinder_D, [(1.0 - 2.0 * positive, one), (2.0 * positive - 1.0, other)]),
        combine(made.axis_deg, [(1.0, axis)]),
        combine(made.mean_power_D, [(0.5, one), (0.5, other)]),
        combine(made.j0_D, [(cosine / 2.0, one), (-cosine / 2.0, other), (per_deg * sine, axis)]),
        combine(made.j45_D, [(sine / 2.0, one), (-sine / 2.0, other), (-per_deg * cosine, axis)]),
    )


def _estimate(x: Any) -> Estimate:
    return x if isinstance(x, Estimate) else Estimate(x, {})
