"""Toric lenses: the powers of their meridians, power vectors, and what a turned axis leaves.

An axis is counted counter-clockwise from horizontal; α and α + 180° are the same. Sphere S lies in the meridian of the axis, S + C across it. Angles
enter the formulas as their sines and cosines.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.thick_lens import thick_lens
from lenscalc.quantities import checked, given_back, numbers


class PowerVector(NamedTuple):
    """Mean power, cross-cylinder at 0° and at 45° [D]: they add where lenses are put together, and have a length."""

    mean_power_D: Any
    j0_D: Any
    j45_D: Any


class SphereCylinder(NamedTuple):
    """Sphere and cylinder [D] and axis [°, from 0 to below 180]; where there is no cylinder the axis is 0."""

    sphere_D: Any
    cylinder_D: Any
    axis_deg: Any


class ToricPowers(NamedTuple):
    """Powers along and across the named meridian [D], and the same lens as sphere, cylinder and axis and as a power vector."""

    power_along_D: Any
    power_across_D: Any
    sphere_D: Any
    cylinder_D: Any
    axis_deg: Any
    mean_power_D: Any
    j0_D: Any
    j45_D: Any


def vector_of(S: Any, C: Any, sine: Any, cosine: Any) -> PowerVector:
    """The body: M = S + C/2, J0 = −(C/2)·cos 2α, J45 = −(C/2)·sin 2α, from the sine and cosine of 2α. Plain arithmetic."""
    return PowerVector(S + C / 2.0, -C / 2.0 * cosine, -C / 2.0 * sine)


def power_vector(sphere_D: Any, *, cylinder_D: Any, axis_deg: Any) -> PowerVector:
    """Sphere, cylinder and axis as a power vector (M, J0, J45) [D]. Numbers or arrays; the inverse of `sphere_cylinder`.

    Thibos, Wheeler & Horner, Optom. Vis. Sci. 74 (1997) 367: equations from memory, to be confirmed against the text; open programs print them alike.

    Accuracy: 2e-16 relative to |S| + |C| and |C|, over every axis, exact at quarter turns.

    Raises
    ------
    InputError
        for values outside their limits.

    >>> [round(x, 4) for x in power_vector(20.0, cylinder_D=2.0, axis_deg=30.0)]
    [21.0, -0.5, -0.866]
    """
    a, shape = checked(sphere_D=sphere_D, cylinder_D=cylinder_D, axis_deg=axis_deg)
    sine, cosine = _double(a["axis_deg"])
    return PowerVector(*(given_back(x, shape) for x in vector_of(a["sphere_D"], a["cylinder_D"], sine, cosine)))


def sphere_cylinder(mean_power_D: Any, *, j0_D: Any, j45_D: Any, positive_cylinder: bool = True) -> SphereCylinder:
    """A power vector as sphere, cylinder and axis; the cylinder positive, or else negative. Numbers or arrays; the inverse of `power_vector`.

    C = ±2√(J0² + J45²), S = M − C/2, axis the half angle of (−J0, −J45)·sign(C). Source as for `power_vector`.

    Accuracy: 6e-16 relative (axis: to 180°), over cross-cylinders from 1e-9 D.

    Raises
    ------
    InputError
        for values outside their limits.

    >>> [round(x, 4) for x in sphere_cylinder(21.0, j0_D=-0.5, j45_D=-0.8660254)]
    [20.0, 2.0, 30.0]
    >>> [round(x, 4) for x in sphere_cylinder(21.0, j0_D=-0.5, j45_D=-0.8660254, positive_cylinder=False)]
    [22.0, -2.0, 120.0]
    """
    a, shape = checked(mean_power_D=mean_power_D, j0_D=j0_D, j45_D=j45_D)
    sign = 1.0 if positive_cylinder else -1.0
    J0, J45 = a["j0_D"], a["j45_D"]
    C = sign * 2.0 * (J0 * J0 + J45 * J45) ** 0.5
    axis = np.rad2deg(np.arctan2(-sign * J45, -sign * J0)) / 2.0 % 180.0 % 180.0  # −1e-17 % 180 is 180
    axis = np.where(C == 0.0, 0.0, axis)
    return SphereCylinder(*(given_back(x, shape) for x in (a["mean_power_D"] - C / 2.0, C, axis)))


def turned(vector: PowerVector, *, rotation_deg: Any) -> PowerVector:
    """The power vector of a lens that is turned counter-clockwise: M stays, (J0, J45) turn by twice the angle; 180° is the lens itself.

    Accuracy: 3e-16 relative to |J0| + |J45|, over −180 to 180°.

    Raises
    ------
    InputError
        for values outside their limits.

    >>> [round(x, 4) + 0.0 for x in turned(PowerVector(21.0, 1.0, 0.0), rotation_deg=45.0)]
    [21.0, 0.0, 1.0]
    """
    M, J0, J45 = vector
    a, shape = checked(mean_power_D=M, j0_D=J0, j45_D=J45, rotation_deg=rotation_deg)
    sine, cosine = _double(a["rotation_deg"])
    J0, J45 = a["j0_D"], a["j45_D"]
    return PowerVector(*(given_back(x, shape) for x in (a["mean_power_D"], cosine * J0 - sine * J45, sine * J0 + cosine * J45)))


def rotation_residual(cylinder_D: Any, *, axis_deg: Any, rotation_deg: Any) -> SphereCylinder:
    """What a toric lens adds when it lies turned from where it should: the lens turned, less the lens as meant; as sphere and positive cylinder.

    The residual cylinder is 2·|C|·|sin θ|, its mean power 0: at 30° it is as large as the lens's own, and nothing is gained.
    At the plane of the lens, paraxial, no decentration.

    Accuracy: 8e-16 relative, over turns of 1e-9 to 90°.

    Raises
    ------
    InputError
        for values outside their limits.

    >>> [round(x, 4) for x in rotation_residual(3.0, axis_deg=90.0, rotation_deg=30.0)]
    [-1.5, 3.0, 150.0]
    """
    a, shape = checked(cylinder_D=cylinder_D, axis_deg=axis_deg, rotation_deg=rotation_deg)
    # cos and sin of 2α + 2θ less those of 2α: ∓2·sin θ times sin and cos of 2α + θ, which keeps the digits of a small turn
    sine, cosine = _double(a["axis_deg"] + a["rotation_deg"] / 2.0)
    C = a["cylinder_D"] * _double(a["rotation_deg"] / 2.0)[0]
    return sphere_cylinder(given_back(0.0 * C, shape), j0_D=given_back(C * sine, shape), j45_D=given_back(-C * cosine, shape))


def toric_lens(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, *, front_radius_across_mm: Any = None,
    back_radius_across_mm: Any = None, axis_deg: Any = 0.0, n_medium: Any = 1.336, n_medium_behind: Any = None,
) -> ToricPowers:  # fmt: skip
    """Powers of a lens of which one surface or both are toric, along and across the meridian `axis_deg`; each is a thick lens of its own, exactly.

    The principal meridians of both surfaces lie along each other; surfaces with crossed axes are not covered. Paraxial.

    Accuracy: 5e-16 relative, over converging lenses, radii 5 to 40 mm.

    Parameters
    ----------
    front_radius_mm, back_radius_mm : float or array [mm]
        radii in the meridian `axis_deg`.
    center_thickness_mm, n_lens, n_medium, n_medium_behind
        as for `thick_lens`.
    front_radius_across_mm, back_radius_across_mm : float or array, optional [mm]
        radii at right angles to it; a surface without one is spherical. One of the two must be given.
    axis_deg : float or array [°]

    Raises
    ------
    InputError
        for values outside their limits, and a lens without a toric surface.

    >>> p = toric_lens(15.0, -15.0, 0.9, 1.49, back_radius_across_mm=-12.5, axis_deg=90.0)
    >>> round(p.power_along_D, 4), round(p.cylinder_D, 4), round(p.j0_D, 4)
    (20.4697, 2.0406, 1.0203)
    """
    if front_radius_across_mm is None and back_radius_across_mm is None:
        raise InputError(
            "neither front_radius_across_mm nor back_radius_across_mm is given: a toric surface has two radii; a spherical lens goes to thick_lens"
        )
    media = {"n_medium": n_medium, "n_medium_behind": n_medium_behind}
    across = (
        front_radius_mm if front_radius_across_mm is None else front_radius_across_mm,
        back_radius_mm if back_radius_across_mm is None else back_radius_across_mm,
    )
    one = thick_lens(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, **media).power_D
    other = thick_lens(*across, center_thickness_mm, n_lens, **media).power_D
    vector = power_vector(one, cylinder_D=other - one, axis_deg=axis_deg)
    return ToricPowers(one, other, *sphere_cylinder(vector.mean_power_D, j0_D=vector.j0_D, j45_D=vector.j45_D), *vector)


def meridional_sag_mm(radius_along_mm: Any, radius_across_mm: Any, height_mm: Any, *, meridian_deg: Any) -> Any:
    """Sag of a biconic surface without conic constants at a height, in the meridian that lies `meridian_deg` from the one of `radius_along_mm`.

    (c_x·x² + c_y·y²)/(1 + √(1 − c_x²x² − c_y²y²)): in both principal meridians the circle's own sag. Between them a torus differs in the fourth
    power of the height. Numbers or arrays, [mm]; nan beyond the surface, and in a meridian that is nan.

    Accuracy: 3e-16 relative to h²/R, over radii 5 to 1e7 mm.

    >>> round(float(meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=0.0)), 6), round(float(meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=90.0)), 6)
    (0.303062, 0.38105)
    """
    Rx, Ry, h, meridian = numbers(
        radius_along_mm=radius_along_mm, radius_across_mm=radius_across_mm, height_mm=height_mm, meridian_deg=meridian_deg
    )
    _, cosine = _double(meridian)
    along, across = (1.0 + cosine) / 2.0, (1.0 - cosine) / 2.0  # cos² and sin²
    h2, cx, cy = h * h, 1.0 / Rx, 1.0 / Ry
    with np.errstate(invalid="ignore"):
        return h2 * (cx * along + cy * across) / (1.0 + (1.0 - h2 * (cx * cx * along + cy * cy * across)) ** 0.5)


def toric_edge_thickness_mm(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, optic_diameter_mm: Any, *, front_radius_across_mm: Any = None,
    back_radius_across_mm: Any = None, meridian_deg: Any = 0.0,
) -> Any:  # fmt: skip
    """Edge thickness [mm] in a meridian counted from the one of the first two radii: t − front sag + back sag, surfaces as in `meridional_sag_mm`.

    The least and the largest lie in the principal meridians (0 and 90). Below 0 the lens cannot be made; nan where a surface does not reach.

    Accuracy: 3e-16 relative to the centre's thickness, over radii 5 to 1e7 mm.

    >>> edge = toric_edge_thickness_mm(15.0, -15.0, 0.9, 6.0, back_radius_across_mm=-12.0, meridian_deg=[0.0, 45.0, 90.0])
    >>> edge.round(4).tolist()
    [0.2939, 0.255, 0.2159]
    """
    R1, R2, t, D, across1, across2, meridian = numbers(
        front_radius_mm=front_radius_mm, back_radius_mm=back_radius_mm, center_thickness_mm=center_thickness_mm, optic_diameter_mm=optic_diameter_mm,
        front_radius_across_mm=front_radius_mm if front_radius_across_mm is None else front_radius_across_mm,
        back_radius_across_mm=back_radius_mm if back_radius_across_mm is None else back_radius_across_mm, meridian_deg=meridian_deg,
    )  # fmt: skip
    front, back = (meridional_sag_mm(R, across, D / 2.0, meridian_deg=meridian) for R, across in ((R1, across1), (R2, across2)))
    return t - front + back


def _double(angle_deg: Any) -> tuple[Any, Any]:
    """Sine and cosine of twice an angle, exact at the quarter turns: the angle is brought to ±22.5° first, where its sine has all its digits."""
    with np.errstate(invalid="ignore"):  # of an angle that is none both are nan, whichever quarter it falls into
        quarters = np.rint(angle_deg / 45.0)
        rest = np.deg2rad(2.0 * (angle_deg - 45.0 * quarters))
        s, c = np.sin(rest), np.cos(rest)
        turn = quarters.astype(np.int64) % 4
    return np.choose(turn, [s, c, -s, -c]), np.choose(turn, [c, -s, -c, s])
