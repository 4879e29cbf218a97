"""Which radii give a wanted power with this index: the thick lens solved backwards."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.curvature_line import CLOSE_D, CurvatureLine, RecutCase, at_edge, at_thickness, line_of, stretch, thickness_of
from lenscalc.lens.geometry import ROUNDING_mm, edge_thickness_mm, flat_terms
from lenscalc.lens.thick_lens import medium_behind, powers_of
from lenscalc.light import Aspheric, aspheric_sag_mm
from lenscalc.quantities import FloatArray, checked, given_back, in_row, quantity


class Recut(NamedTuple):
    """Radii and centre thickness [mm] of a lens that has the wanted power, its power [D] and edge [mm, nan without a diameter].

    `problem` is "" where there is such a lens.
    """

    front_radius_mm: Any
    back_radius_mm: Any
    center_thickness_mm: Any
    power_D: Any
    edge_thickness_mm: Any
    problem: Any


def recut(
    power_D: Any, n_lens: Any, *, n_medium: Any = 1.336, n_medium_behind: Any = None, center_thickness_mm: Any = None,
    wanted_edge_thickness_mm: Any = None, optic_diameter_mm: Any = None, front_radius_mm: Any = None, back_radius_mm: Any = None,
    shape_factor: Any = None, curvature_ratio: Any = None, front_conic: Any = 0.0, back_conic: Any = 0.0,
    front_aspheric: Aspheric | None = None, back_aspheric: Aspheric | None = None, strict: bool = True,
) -> Recut:  # fmt: skip
    """Radii, and where wanted the centre thickness, with which a lens of this index has a wanted power; exact for the thick lens.

    The lens is equi-convex (equi-concave for a negative power) unless one of `front_radius_mm`, `back_radius_mm`, `shape_factor` and
    `curvature_ratio` says what is held. Not for gradient-index, diffractive or multi-material lenses.

    Accuracy: 5e-16 relative in the radius, over 0.01 to 60 D, indices 1.35 to 1.7, equi-convex.

    Parameters
    ----------
    power_D : float or array [D]
        wanted equivalent power.
    n_lens, n_medium, n_medium_behind : float or array
        indices on one basis (default throughout: relative to air); the medium is 1.336 by convention.
    center_thickness_mm : float or array [mm]
        held; or give `wanted_edge_thickness_mm` with `optic_diameter_mm`, and it follows from the edge.
    wanted_edge_thickness_mm : float or array [mm]
        thickness of the edge at `optic_diameter_mm`.
    optic_diameter_mm : float or array [mm]
        needed for an edge; with a held centre thickness the edge is checked.
    front_radius_mm, back_radius_mm : float or array [mm], one of them
        the radius that is held, inf for plano.
    shape_factor : float or array
        (R2 + R1)/(R2 − R1), held: 0 equi-convex, 1 with a plano back.
    curvature_ratio : float or array
        c2/c1 = R1/R2, held: −1 equi-convex, 0 with a plano back. 1 is a meniscus of equal radii, whose power comes from its thickness.
    front_conic, back_conic : float or array
        they act on the edge alone.
    front_aspheric, back_aspheric : mapping of even powers from 4 on to coefficients, optional
        likewise.
    strict : bool
        raise for the first row that has no solution; else its radii are nan and `problem` says why.

    Returns
    -------
    Recut
        numbers where all arguments were numbers, arrays of the broadcast shape otherwise.

    Raises
    ------
    InputError
        for values outside the hard limits; for more than one thing held, or neither a thickness nor an edge; with `strict`, for a power that cannot
        be reached, with the range that can.

    References
    ----------
    Gullstrand's equation solved by hand.

    Examples
    --------
    >>> r = recut(20.469666, 1.49, center_thickness_mm=0.9)
    >>> round(r.front_radius_mm, 5), round(r.back_radius_mm, 5)
    (15.0, -15.0)
    >>> r = recut(20.0, 1.49, wanted_edge_thickness_mm=0.3, optic_diameter_mm=6.0)
    >>> round(r.front_radius_mm, 4), round(r.center_thickness_mm, 4), round(r.power_D, 9)
    (15.3538, 0.8919, 20.0)
    """
    held = {
        name: value
        for name, value in (
            ("front_radius_mm", front_radius_mm), ("back_radius_mm", back_radius_mm), ("shape_factor", shape_factor),
            ("curvature_ratio", curvature_ratio),
        )
        if value is not None
    }  # fmt: skip
    if len(held) > 1:
        raise InputError(f"{' and '.join(held)} are given: one of them is held, and the other radius follows from the power")
    if (center_thickness_mm is None) == (wanted_edge_thickness_mm is None):
        raise InputError("give either center_thickness_mm or wanted_edge_thickness_mm: one is held, the other follows")
    if wanted_edge_thickness_mm is not None and optic_diameter_mm is None:
        raise InputError("optic_diameter_mm is missing beside wanted_edge_thickness_mm: an edge is taken at a diameter")
    given = {
        **held, "power_D": power_D, "n_lens": n_lens, "n_medium": n_medium, "n_medium_behind": medium_behind(n_medium, n_medium_behind),
        "front_conic": front_conic, "back_conic": back_conic,
    }  # fmt: skip
    given |= {
        name: value
        for name, value in (
            ("center_thickness_mm", center_thickness_mm), ("wanted_edge_thickness_mm", wanted_edge_thickness_mm),
            ("optic_diameter_mm", optic_diameter_mm),
        )
        if value is not None
    }  # fmt: skip
    a, shape = checked(**given)
    none = np.full(a["power_D"].shape, np.nan)
    case = RecutCase(
        a["n_lens"], a["n_medium"], a["n_medium_behind"], a.get("center_thickness_mm", none), a.get("wanted_edge_thickness_mm", none),
        a.get("optic_diameter_mm", none) / 2.0, a["front_conic"], a["back_conic"], _rise(front_aspheric, back_aspheric, a, shape),
    )  # fmt: skip
    found = _solved(a["power_D"], line_of({name: a[name] for name in held}, none.shape), case)
    if strict:
        for row in np.flatnonzero(found.problem):
            where, number = in_row(int(row), found.problem.size)
            raise InputError(f"{where}{found.problem[row]}", quantity="power_D", value=float(a["power_D"][row]), row=number)
    problem = found.problem.reshape(shape) if shape else str(found.problem.item())
    for i, name in enumerate(("front_radius_mm", "back_radius_mm")):
        if name in held:  # the tool that is there, to the last digit
            found = found._replace(**{name: np.where(np.isnan(found[i]), np.nan, np.where(np.isinf(a[name]), np.inf, a[name]))})
    R1, R2, t, power, edge = (given_back(x, shape) for x in found[:5])
    return Recut(R1, R2, t, power, edge, problem)


def _rise(front: Aspheric | None, back: Aspheric | None, a: dict[str, FloatArray], shape: tuple[int, ...]) -> FloatArray:
    """How much more the aspheric terms bend the front surface than the back one, at the rim."""
    rise: FloatArray = np.zeros(a["power_D"].shape)
    for sign, aspheric in ((1.0, front), (-1.0, back)):
        if not aspheric:
            continue
        if "optic_diameter_mm" not in a:
            raise InputError("optic_diameter_mm is missing beside aspheric terms, which act on the edge alone")
        rise = rise + sign * aspheric_sag_mm(np.inf, a["optic_diameter_mm"] / 2.0, aspheric=flat_terms(aspheric, shape))
    return rise


def _solved(F: FloatArray, line: CurvatureLine, case: RecutCase) -> Recut:
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        by_edge = np.isnan(case.t)
        x = at_thickness(F, line, case, case.t)
        if by_edge.any():
            x = np.where(by_edge, at_edge(F, line, case), x)
        c1, c2 = line.k1 + line.a * x, line.k2 + line.b * x
        t = thickness_of(case, c1, c2)
        R1, R2 = (_radius(c) for c in (c1, c2))
        power = powers_of(R1, R2, t, case.n, case.m1, case.m2).power_D
        edge = edge_thickness_mm(R1, R2, t, 2.0 * case.h, front_conic=case.q1, back_conic=case.q2) - case.rise
        edge = np.where(np.abs(edge) < ROUNDING_mm, 0.0, edge)
    problem = np.full(F.shape, "", dtype=object)
    limits = quantity("front_radius_mm")
    for row in np.flatnonzero(~(np.abs(power - F) <= CLOSE_D)):
        problem[row] = _unreached(int(row), F, line, case)
    for row in np.flatnonzero((problem != "") & (np.minimum(np.abs(c1), np.abs(c2)) * limits.upper < 1.0) & np.isfinite(c1) & np.isfinite(c2)):
        problem[row] = f"power_D = {F[row]:g} D would need a radius between {limits.upper:g} mm and plano, which nobody can tell apart"
    for row in np.flatnonzero((problem == "") & (np.minimum(np.abs(R1), np.abs(R2)) < limits.lower)):
        problem[row] = f"power_D = {F[row]:g} D would need a radius of {min(abs(R1[row]), abs(R2[row])):.3f} mm: must be {limits.limits_text}"
    for row in np.flatnonzero((problem == "") & ~np.isnan(case.h) & ~(edge >= 0.0)):
        problem[row] = _no_edge(edge[row], 2.0 * case.h[row], t[row])
    for row in np.flatnonzero((problem == "") & ~(t >= 0.0)):
        problem[row] = (
            f"wanted_edge_thickness_mm = {case.edge[row]:g} mm: this lens is thinnest in its centre, of which {t[row]:.3f} mm would be left; "
            "make the edge thicker"
        )
    good = problem == ""
    R1, R2, t, power, edge = (np.where(good, v, np.nan) for v in (R1, R2, t, power, edge))
    return Recut(R1, R2, t, power, edge, problem)


def _radius(c: Any) -> Any:
    """The radius of a curvature; one beyond the hard limit is plano, and never −inf."""
    return np.where(np.abs(c) * quantity("front_radius_mm").upper < 1.0, np.inf, 1.0 / c)


def _unreached(row: int, F: Any, line: CurvatureLine, case: RecutCase) -> str:
    """Why no lens has this power, with the range that can be reached."""
    if case.n[row] == case.m1[row] == case.m2[row]:
        return f"n_lens = {case.n[row]:g} is the medium's own: such a lens has no power"
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        _, power = stretch(row, line, case)
    if not np.any(np.isfinite(power)):
        return f"power_D = {F[row]:g} D: no lens of this kind has any power; look at the edge thickness and the diameter"
    return (
        f"power_D = {F[row]:g} D cannot be reached with n_lens = {case.n[row]:g} and what is held: "
        f"{np.nanmin(power):.4g} to {np.nanmax(power):.4g} D can"
    )


def _no_edge(edge: float, D: float, t: float) -> str:
    if np.isnan(edge):
        return f"optic_diameter_mm = {D:g} mm is wider than a surface of this power: make the optic smaller or the index higher"
    return (
        f"edge thickness {edge:.3f} mm at optic_diameter_mm = {D:g}: must be 0 or more; center_thickness_mm = {t:g} must be {t - edge:.3f} or more"
    )
