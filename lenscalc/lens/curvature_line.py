"""The straight line on which the two vertex curvatures run, c1 = k1 + a·x and c2 = k2 + b·x, and where on it a lens has a wanted power.

What is held makes the line: the equi-convex shape, one radius, the shape factor, the ratio of the curvatures. The power is then a quadratic in x, and
solved as one. Where the centre thickness follows from a wanted edge, x is found by Newton's method from there.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.lens.thick_lens import powers_of
from lenscalc.light import sag_mm
from lenscalc.quantities import FloatArray, quantity

ROUNDS = 25  # Newton doubles its digits each time: six are the rule, the rest serves lenses near the end of what can be reached
CLOSE_D = 1e-10  # a power this near the wanted one is the wanted one
NEAR_END = 1.0 - 1e-9  # how far towards its own equator a surface is followed
SEARCHED = 4001  # curvatures at which a row that was not solved is looked at again, and its reachable range taken


class CurvatureLine(NamedTuple):
    """c1 = k1 + a·x, c2 = k2 + b·x."""

    k1: FloatArray
    a: FloatArray
    k2: FloatArray
    b: FloatArray


class RecutCase(NamedTuple):
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


def line_of(held: dict[str, FloatArray], shape: tuple[int, ...]) -> CurvatureLine:
    """The line of what is held, named as in `recut`; of nothing held the equi-convex one."""
    zero, one = np.zeros(shape), np.ones(shape)
    if "front_radius_mm" in held:
        return CurvatureLine(1.0 / held["front_radius_mm"], zero, zero, one)
    if "back_radius_mm" in held:
        return CurvatureLine(zero, one, 1.0 / held["back_radius_mm"], zero)
    if "shape_factor" in held:
        X = held["shape_factor"]
        return CurvatureLine(zero, (1.0 + X) / 2.0, zero, (X - 1.0) / 2.0)
    if "curvature_ratio" in held:
        return CurvatureLine(zero, one, zero, held["curvature_ratio"])
    return CurvatureLine(zero, one, zero, -one)


def at_thickness(F: Any, line: CurvatureLine, case: RecutCase, t: Any) -> Any:
    """Where on the line a lens of this thickness [mm] has the power F [D]; nan where none has."""
    s1, s2, T = 1000.0 * (case.n - case.m1), 1000.0 * (case.m2 - case.n), t / (1000.0 * case.n)
    x = curvature_for(F, *line, t, case.n, case.m1, case.m2)
    # equal curvatures in one medium: the power comes from the thickness alone; of x and −x, which are as good, the positive one
    alone = np.where(F == 0.0, 0.0, (F / (-T * s1 * s2 * line.a * line.b)) ** 0.5)
    return np.where(s1 * line.a + s2 * line.b == 0.0, alone, x)


def thickness_of(case: RecutCase, c1: Any, c2: Any) -> Any:
    """Centre thickness [mm] of these curvatures: the one held, or what the edge leaves."""
    grown = case.edge + sag_mm(1.0 / c1, case.h, case.q1) - sag_mm(1.0 / c2, case.h, case.q2) + case.rise
    return np.where(np.isnan(case.t), grown, case.t)


def _reach(line: CurvatureLine, case: RecutCase) -> Any:
    """How far x may go, to both sides alike: what is held does not move, what moves is flat at 0, and |c|·h·√(1 + k) stays below 1."""
    reach = np.full(case.n.shape, np.inf)
    for a, q in ((line.a, case.q1), (line.b, case.q2)):
        reach = np.where(a == 0.0, reach, np.minimum(reach, NEAR_END / (np.abs(a) * case.h * np.maximum(1.0 + q, 0.0) ** 0.5)))
    return reach


def _power_and_slope(x: Any, line: CurvatureLine, case: RecutCase) -> tuple[Any, Any]:
    """Power of the lens whose centre follows from its edge, and dF/dx.

    The sag s answers to the curvature by (h² + (1 + k)s²)/(2√(1 − (1 + k)h²c²)): h²c = 2s − (1 + k)cs², differentiated.
    """
    c1, c2 = line.k1 + line.a * x, line.k2 + line.b * x
    F1, F2 = 1000.0 * (case.n - case.m1) * c1, 1000.0 * (case.m2 - case.n) * c2
    grows = 0.0
    for c, k, sign in ((c1, case.q1, line.a), (c2, case.q2, -line.b)):
        s = sag_mm(1.0 / c, case.h, k)
        grows = grows + sign * (case.h * case.h + (1.0 + k) * s * s) / (2.0 * (1.0 - (1.0 + k) * case.h * case.h * c * c) ** 0.5)
    T = thickness_of(case, c1, c2) / (1000.0 * case.n)
    power = F1 + F2 - T * F1 * F2
    by_curvature = 1000.0 * (case.n - case.m1) * line.a * (1.0 - T * F2) + 1000.0 * (case.m2 - case.n) * line.b * (1.0 - T * F1)
    return power, by_curvature - F1 * F2 * grows / (1000.0 * case.n)


def at_edge(F: Any, line: CurvatureLine, case: RecutCase) -> Any:
    """Where on the line the lens with the wanted edge has the power F [D]; nan where none has."""
    reach = _reach(line, case)
    start = np.maximum(np.nan_to_num(thickness_of(case, line.k1, line.k2)), 0.0)  # the thickness that the held surface alone asks for
    x = _short_of_the_ends(0.0, at_thickness(F, line, case, start), reach)
    for _ in range(ROUNDS):
        power, slope = _power_and_slope(x, line, case)
        aim = _short_of_the_ends(x, x + (F - power) / slope, reach)
        moves = np.abs(aim - x) > 4e-16 * np.abs(x)
        x = aim
        if not moves.any():
            break
    missed = ~(np.abs(_power_and_slope(x, line, case)[0] - F) <= CLOSE_D)
    for row in np.flatnonzero(missed):  # near a maximum Newton may leap over it: look along the whole stretch
        x[row] = _searched(int(row), F, line, case)
    return x


def _short_of_the_ends(x: Any, aim: Any, reach: Any) -> Any:
    """Where to go instead of over an end: half the way to it."""
    return np.where(np.abs(aim) > reach, (x + np.copysign(reach, aim)) / 2.0, aim)


def _row(of: Any, row: int) -> Any:
    return type(of)(*(v[row : row + 1] for v in of))


def stretch(row: int, line: CurvatureLine, case: RecutCase) -> tuple[Any, Any]:
    """Curvatures of one row from end to end, closer together towards the ends, and the powers there (nan without a centre)."""
    one, alone = _row(line, row), _row(case, row)
    reach = _reach(one, alone).item()
    if not np.isfinite(reach):  # no rim, or a surface that reaches everywhere: as curved as a radius may be
        reach = 1.0 / quantity("front_radius_mm").lower / max(abs(one.a.item()), abs(one.b.item()))
    x = reach * np.sin(np.linspace(-np.pi / 2.0, np.pi / 2.0, SEARCHED))
    t = thickness_of(alone, one.k1 + one.a * x, one.k2 + one.b * x)
    through = np.flatnonzero(t[:-1] * t[1:] < 0.0)  # where the centre vanishes, by straight interpolation, the range has an end
    ends = x[through] - t[through] * (x[through + 1] - x[through]) / (t[through + 1] - t[through])
    x = np.sort(np.append(x, ends))
    c1, c2 = one.k1 + one.a * x, one.k2 + one.b * x
    t = np.where(np.isin(x, ends), 0.0, thickness_of(alone, c1, c2))
    power = powers_of(1.0 / c1, 1.0 / c2, t, alone.n, alone.m1, alone.m2).power_D
    return x, np.where(t >= 0.0, power, np.nan)


def _searched(row: int, F: Any, line: CurvatureLine, case: RecutCase) -> float:
    x, power = stretch(row, line, case)
    across = np.flatnonzero((power[:-1] - F[row]) * (power[1:] - F[row]) <= 0.0)
    if not across.size:
        return float("nan")
    nearest = across[np.argmin(np.abs(x[across]))]  # of several the flattest
    left, right = float(x[nearest]), float(x[nearest + 1])
    one, alone = _row(line, row), _row(case, row)
    rises = power[nearest + 1] > power[nearest]
    while (middle := (left + right) / 2.0) not in (left, right):
        if (_power_and_slope(middle, one, alone)[0].item() < F[row]) == rises:
            left = middle
        else:
            right = middle
    return middle
