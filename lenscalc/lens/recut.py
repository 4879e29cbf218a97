"""Which radii give a wanted power with this index: the thick lens solved backwards.

The two vertex curvatures run along a straight line, c1 = k1 + a·x and c2 = k2 + b·x, which says what is held: the equi-convex shape, one radius, the
shape factor, the ratio of the curvatures. The power is then a quadratic in x, and solved as one. Where the centre thickness follows from a wanted
edge, x is found by Newton's method from there.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.geometry import edge_thickness_mm
from lenscalc.lens.thick_lens import powers_of
from lenscalc.light import Aspheric, aspheric_sag_mm, checked_terms, sag_mm
from lenscalc.quantities import FloatArray, as_number, checked, given_back, quantity

ROUNDS = 25  # Newton doubles its digits each time: six are the rule, the rest serves lenses near the end of what can be reached
CLOSE_D = 1e-10  # a power this near the wanted one is the wanted one
NEAR_END = 1.0 - 1e-9  # how far towards its own equator a surface is followed
SEARCHED = 4001  # curvatures at which a row that was not solved is looked at again, and its reachable range taken


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


class _Line(NamedTuple):
    """c1 = k1 + a·x, c2 = k2 + b·x."""

    k1: FloatArray
    a: FloatArray
    k2: FloatArray
    b: FloatArray


class _Case(NamedTuple):
    """What the rows of a re-cut know: media, thickness or edge, rim."""

    n: FloatArray
    m1: FloatArray
    m2: FloatArray
    t: FloatArray  # nan where the edge rules
    edge: FloatArray
    h: FloatArray
    q1: FloatArray  # conics
    q2: FloatArray
    rise: FloatArray  # aspheric terms at the rim, front less back


def curvature_for(F: Any, k1: Any, a: Any, k2: Any, b: Any, t: Any, n: Any, m1: Any, m2: Any) -> Any:
    """The body: x of c1 = k1 + a·x, c2 = k2 + b·x at which the thick lens has the power F [D]; nan where none has. Plain arithmetic.

    Gullstrand's equation is A·x² + B·x + F(0) − F = 0; of its two roots the one that stays when the lens grows thin. One radius held: A = 0, linear.
    """
    s1 = 1000.0 * (n - m1)
    s2 = 1000.0 * (m2 - n)
    T = t / (1000.0 * n)
    A = -T * s1 * s2 * a * b
    B = s1 * a * (1.0 - T * s2 * k2) + s2 * b * (1.0 - T * s1 * k1)
    D = F - (s1 * k1 + s2 * k2 - T * s1 * s2 * k1 * k2)
    return 2.0 * D / (B * (1.0 + (1.0 + 4.0 * A * D / (B * B)) ** 0.5))


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
    behind = n_medium
    if n_medium_behind is not None:
        other = as_number("n_medium_behind", n_medium_behind)
        behind = np.where(np.isnan(other), as_number("n_medium", n_medium), other)
    given = {
        **held, "power_D": power_D, "n_lens": n_lens, "n_medium": n_medium, "n_medium_behind": behind, "front_conic": front_conic,
        "back_conic": back_conic,
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
    case = _Case(
        a["n_lens"], a["n_medium"], a["n_medium_behind"], a.get("center_thickness_mm", none), a.get("wanted_edge_thickness_mm", none),
        a.get("optic_diameter_mm", none) / 2.0, a["front_conic"], a["back_conic"], _rise(front_aspheric, back_aspheric, a, shape),
    )  # fmt: skip
    found = _solved(a["power_D"], _line({name: a[name] for name in held}, none.shape), case)
    if strict:
        for row in np.flatnonzero(found.problem != ""):
            where = f"row {row + 1}: " if found.problem.size > 1 else ""
            raise InputError(f"{where}{found.problem[row]}", quantity="power_D", value=float(a["power_D"][row]), row=int(row) + 1)
    problem = str(found.problem.item()) if shape == () else found.problem.reshape(shape)
    for i, name in enumerate(("front_radius_mm", "back_radius_mm")):
        if name in held:  # the tool that is there, to the last digit
            found = found._replace(**{name: np.where(np.isnan(found[i]), np.nan, np.where(np.isinf(a[name]), np.inf, a[name]))})
    R1, R2, t, power, edge = (given_back(x, shape) for x in found[:5])
    return Recut(R1, R2, t, power, edge, problem)


def _rise(front: Aspheric | None, back: Aspheric | None, a: dict[str, FloatArray], shape: tuple[int, ...]) -> FloatArray:
    """How much more the aspheric terms bend the front surface than the back one, at the rim."""
    rise: FloatArray = np.zeros(a["power_D"].shape)
    for sign, aspheric in ((1.0, checked_terms(front)), (-1.0, checked_terms(back))):
        if aspheric and "optic_diameter_mm" not in a:
            raise InputError("optic_diameter_mm is missing beside aspheric terms, which act on the edge alone")
        flat = {power: np.broadcast_to(x, shape).reshape(-1) for power, x in aspheric.items()}
        if flat:
            rise = rise + sign * aspheric_sag_mm(np.inf, a["optic_diameter_mm"] / 2.0, aspheric=flat)
    return rise


def _line(held: dict[str, FloatArray], shape: tuple[int, ...]) -> _Line:
    zero, one = np.zeros(shape), np.ones(shape)
    if "front_radius_mm" in held:
        return _Line(1.0 / held["front_radius_mm"], zero, zero, one)
    if "back_radius_mm" in held:
        return _Line(zero, one, 1.0 / held["back_radius_mm"], zero)
    if "shape_factor" in held:
        X = held["shape_factor"]
        return _Line(zero, (1.0 + X) / 2.0, zero, (X - 1.0) / 2.0)
    if "curvature_ratio" in held:
        return _Line(zero, one, zero, held["curvature_ratio"])
    return _Line(zero, one, zero, -one)


def _solved(F: FloatArray, line: _Line, case: _Case) -> Recut:
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        by_edge = np.isnan(case.t)
        x = _at_thickness(F, line, case, np.where(by_edge, 0.0, case.t))
        if by_edge.any():
            x = np.where(by_edge, _at_edge(F, line, case), x)
        c1, c2 = line.k1 + line.a * x, line.k2 + line.b * x
        t = _thickness(case, c1, c2)
        R1, R2 = (_radius(c) for c in (c1, c2))
        power = powers_of(R1, R2, t, case.n, case.m1, case.m2).power_D
        edge = edge_thickness_mm(R1, R2, t, 2.0 * case.h, front_conic=case.q1, back_conic=case.q2) - case.rise
    problem = np.full(F.shape, "", dtype=object)
    limits = quantity("front_radius_mm")
    for row in np.flatnonzero(~(np.abs(power - F) <= CLOSE_D * np.maximum(1.0, np.abs(F)))):
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


def _at_thickness(F: Any, line: _Line, case: _Case, t: Any) -> Any:
    s1, s2, T = 1000.0 * (case.n - case.m1), 1000.0 * (case.m2 - case.n), t / (1000.0 * case.n)
    x = curvature_for(F, *line, t, case.n, case.m1, case.m2)
    # equal curvatures in one medium: B = 0, and the power comes from the thickness alone; the front curvature is taken as positive
    B = s1 * line.a * (1.0 - T * s2 * line.k2) + s2 * line.b * (1.0 - T * s1 * line.k1)
    A = -T * s1 * s2 * line.a * line.b
    D = F - (s1 * line.k1 + s2 * line.k2)  # at most one surface is held
    small = np.abs(B) <= 1e-14 * (np.abs(s1 * line.a) + np.abs(s2 * line.b))
    return np.where(D == 0.0, 0.0, np.where(small, (D / A) ** 0.5, x))


def _thickness(case: _Case, c1: Any, c2: Any) -> Any:
    grown = case.edge + sag_mm(1.0 / (c1 + 0.0), case.h, case.q1) - sag_mm(1.0 / (c2 + 0.0), case.h, case.q2) + case.rise
    return np.where(np.isnan(case.t), grown, case.t)


def _furthest(line: _Line, case: _Case) -> tuple[Any, Any]:
    """The stretch of x on which both surfaces reach the rim: |c|·h·√(1 + k) below 1."""
    lower, upper = np.full(case.n.shape, -np.inf), np.full(case.n.shape, np.inf)
    for k, a, q in ((line.k1, line.a, case.q1), (line.k2, line.b, case.q2)):
        end = NEAR_END / (case.h * np.maximum(1.0 + q, 0.0) ** 0.5)
        one, other = (-end - k) / a, (end - k) / a
        runs = a != 0.0
        lower = np.where(runs, np.maximum(lower, np.minimum(one, other)), lower)
        upper = np.where(runs, np.minimum(upper, np.maximum(one, other)), upper)
    return lower, upper


def _power_and_slope(x: Any, line: _Line, case: _Case) -> tuple[Any, Any]:
    """Power of the lens whose centre follows from its edge, and dF/dx.

    The sag s answers to the curvature by (h² + (1 + k)s²)/(2√(1 − (1 + k)h²c²)): h²c = 2s − (1 + k)cs², differentiated.
    """
    c1, c2 = line.k1 + line.a * x, line.k2 + line.b * x
    F1, F2 = 1000.0 * (case.n - case.m1) * c1, 1000.0 * (case.m2 - case.n) * c2
    grows = 0.0
    for c, k, sign in ((c1, case.q1, line.a), (c2, case.q2, -line.b)):
        s = sag_mm(1.0 / (c + 0.0), case.h, k)
        grows = grows + sign * (case.h * case.h + (1.0 + k) * s * s) / (2.0 * (1.0 - (1.0 + k) * case.h * case.h * c * c) ** 0.5)
    T = _thickness(case, c1, c2) / (1000.0 * case.n)
    power = F1 + F2 - T * F1 * F2
    by_curvature = 1000.0 * (case.n - case.m1) * line.a * (1.0 - T * F2) + 1000.0 * (case.m2 - case.n) * line.b * (1.0 - T * F1)
    return power, by_curvature - F1 * F2 * grows / (1000.0 * case.n)


def _at_edge(F: Any, line: _Line, case: _Case) -> Any:
    lower, upper = _furthest(line, case)
    start = np.maximum(np.nan_to_num(_thickness(case, line.k1, line.k2)), 0.0)  # the thickness that the held surface alone asks for
    x = np.clip(_at_thickness(F, line, case, start), 0.9 * lower, 0.9 * upper)
    for _ in range(ROUNDS):
        power, slope = _power_and_slope(x, line, case)
        step = np.nan_to_num((F - power) / slope, posinf=0.0, neginf=0.0)
        aim = x + step
        # never over the rim: half the way there instead
        aim = np.where(aim > upper, (x + upper) / 2.0, np.where(aim < lower, (x + lower) / 2.0, aim))
        settled = (np.abs(aim - x) <= 4e-16 * np.abs(x)) | np.isnan(x)
        x = aim
        if settled.all():
            break
    missed = ~(np.abs(_power_and_slope(x, line, case)[0] - F) <= CLOSE_D * np.maximum(1.0, np.abs(F)))
    for row in np.flatnonzero(missed):  # near a maximum Newton may leap over it: look along the whole stretch
        x[row] = _searched(int(row), F, line, case)
    return x


def _row(of: Any, row: int) -> Any:
    return type(of)(*(v[row : row + 1] for v in of))


def _stretch(row: int, line: _Line, case: _Case) -> tuple[Any, Any]:
    """Curvatures of one row from end to end, closer together towards the ends, and the powers there (nan without a centre)."""
    one, alone = _row(line, row), _row(case, row)
    lower, upper = (float(v[0]) for v in _furthest(one, alone))
    if not (np.isfinite(lower) and np.isfinite(upper)):  # no rim, or a surface that reaches everywhere: as curved as a radius may be
        end = 1.0 / quantity("front_radius_mm").lower
        wide = [(float((-end - k[0]) / a[0]), float((end - k[0]) / a[0])) for k, a in ((one.k1, one.a), (one.k2, one.b)) if a[0] != 0]
        least, most = max(min(w) for w in wide), min(max(w) for w in wide)
        lower, upper = (max(lower, least) if np.isfinite(lower) else least), (min(upper, most) if np.isfinite(upper) else most)
    x = (lower + upper) / 2.0 - (upper - lower) / 2.0 * np.cos(np.linspace(0.0, np.pi, SEARCHED))
    t = _thickness(alone, one.k1 + one.a * x, one.k2 + one.b * x)
    through = np.flatnonzero(t[:-1] * t[1:] < 0.0)  # where the centre vanishes, by straight interpolation, the range has an end
    if through.size:
        x = np.sort(np.append(x, x[through] - t[through] * (x[through + 1] - x[through]) / (t[through + 1] - t[through])))
    c1, c2 = one.k1 + one.a * x, one.k2 + one.b * x
    t = _thickness(alone, c1, c2)
    t = np.where(np.abs(t) < 1e-6, 0.0, t)
    power = powers_of(1.0 / (c1 + 0.0), 1.0 / (c2 + 0.0), t, alone.n, alone.m1, alone.m2).power_D
    return x, np.where(t >= 0.0, power, np.nan)


def _searched(row: int, F: Any, line: _Line, case: _Case) -> float:
    x, power = _stretch(row, line, case)
    across = np.flatnonzero((power[:-1] - F[row]) * (power[1:] - F[row]) <= 0.0)
    if not across.size:
        return float("nan")
    nearest = across[np.argmin(np.abs(x[across]))]  # of several the flattest
    left, right = float(x[nearest]), float(x[nearest + 1])
    one, alone = _row(line, row), _row(case, row)
    rises = power[nearest + 1] > power[nearest]
    for _ in range(100):
        middle = (left + right) / 2.0
        if (_power_and_slope(middle, one, alone)[0][0] < F[row]) == rises:
            left = middle
        else:
            right = middle
    return (left + right) / 2.0


def _unreached(row: int, F: Any, line: _Line, case: _Case) -> str:
    """Why no lens has this power, with the range that can be reached."""
    if case.n[row] == case.m1[row] == case.m2[row]:
        return f"n_lens = {case.n[row]:g} is the medium's own: such a lens has no power"
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        _, power = _stretch(row, line, case)
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
