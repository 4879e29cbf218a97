"""The way of the light through an eye: vergence plane by plane, and the same as ray-transfer matrices.

A path is a row of planes from the spectacles to the last surface; the retina ends it. All bodies here are plain arithmetic; D and mm.
Light whose focus lies in a plane itself has no vergence there, and the step to it is a division by zero; the matrices know no such place.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from lenscalc.light import vergence_downstream, vergence_upstream


class Plane(NamedTuple):
    """Where light is refracted: name, power [D], distance to the next plane or to the retina [mm], index on that way."""

    name: str
    power_D: Any
    distance_mm: Any
    n_behind: Any


class LightPath(NamedTuple):
    """Light that ends on the retina: refraction [D] at the first plane, and the vergences just before and just behind every plane [D].

    `heights` are those of a ray through the retina's axial point, 1 at the first plane; a thin power dF added where the height is h changes the
    refraction by −h²·dF.
    """

    refraction_D: Any
    names: tuple[str, ...]
    before_D: tuple[Any, ...]
    behind_D: tuple[Any, ...]
    heights: tuple[Any, ...]


class FarLight(NamedTuple):
    """Light followed forwards from the first plane: vergences before and behind every plane [D], focus behind the last one [mm]."""

    names: tuple[str, ...]
    before_D: tuple[Any, ...]
    behind_D: tuple[Any, ...]
    focus_mm: Any


class RayTransfer(NamedTuple):
    """The matrix of a path: (height [m], index × slope) behind = ((a, b), (c, d)) × the same before; its determinant is 1."""

    a: Any
    b: Any
    c: Any
    d: Any


class CardinalPoints(NamedTuple):
    """Power [D]; positions [mm] along +z from the first plane of the path; focal lengths [mm], the front one negative for a positive power."""

    power_D: Any
    front_principal_point_mm: Any
    back_principal_point_mm: Any
    front_nodal_point_mm: Any
    back_nodal_point_mm: Any
    front_focal_point_mm: Any
    back_focal_point_mm: Any
    front_focal_length_mm: Any
    back_focal_length_mm: Any


def light_path_of(planes: Sequence[Plane]) -> LightPath:
    """The body: from the retina back to the first plane, one step of vergence at a time (step-along, any text of visual optics).

    The refraction is the vergence that light must have just before the first plane, which has no power of its own where spectacles are meant.

    Accuracy: 6e-16 relative to the cornea's power, over eyes of three planes.

    >>> path = light_path_of([Plane("spectacles", 0.0, 12.0, 1.0), Plane("cornea", 60.0, 1000.0 / 45.0, 1.336)])
    >>> round(path.refraction_D, 6), round(path.before_D[1], 6), round(path.behind_D[1], 6)
    (0.119827, 0.12, 60.12)
    """
    *others, last = planes
    behind = [1000.0 * last.n_behind / last.distance_mm]
    before = [behind[0] - last.power_D]
    steps: list[Any] = []
    for plane in reversed(others):
        steps.insert(0, 1.0 + plane.distance_mm / (1000.0 * plane.n_behind) * before[0])
        behind.insert(0, vergence_upstream(before[0], plane.distance_mm, plane.n_behind))
        before.insert(0, behind[0] - plane.power_D)
    heights: list[Any] = [1.0]
    for step in steps:
        heights.append(heights[-1] / step)  # upstream the beam is wider by 1 + δL
    return LightPath(before[0], tuple(p.name for p in planes), tuple(before), tuple(behind), tuple(heights))


def focus_of(vergence_D: Any, planes: Sequence[Plane]) -> Any:
    """The body, forwards: how far behind the last plane [mm] light comes to its focus that had this vergence before the first.

    Accuracy: 5e-16 relative, over eyes of three planes.

    >>> round(focus_of(0.0, [Plane("cornea", 60.0, 24.0, 1.336)]), 4)
    22.2667
    """
    return far_light_of(planes, vergence_D).focus_mm


def far_light_of(planes: Sequence[Plane], vergence_D: Any = 0.0) -> FarLight:
    """The body, forwards and with every vergence on the way; from far away where no vergence is given.

    Accuracy: 5e-16 relative, over eyes of three planes.

    >>> way = far_light_of([Plane("cornea", 40.0, 5.0, 1.336), Plane("implant", 20.0, 18.5, 1.336)])
    >>> [round(x, 3) for x in way.before_D], [round(x, 3) for x in way.behind_D], round(way.focus_mm, 3)
    ([0.0, 47.042], [40.0, 67.042], 19.928)
    """
    before, behind = [vergence_D], [vergence_D + planes[0].power_D]
    for plane, following in pairwise(planes):
        before.append(vergence_downstream(behind[-1], plane.distance_mm, plane.n_behind))
        behind.append(before[-1] + following.power_D)
    return FarLight(tuple(p.name for p in planes), tuple(before), tuple(behind), 1000.0 * planes[-1].n_behind / behind[-1])


def ray_transfer_of(planes: Sequence[Plane], *, to_retina: bool = False) -> RayTransfer:
    """The body: the matrix from just before the first plane to just behind the last one, or on to the retina.

    Accuracy: 2e-16 relative to the powers' sum, over eyes of three planes.

    >>> m = ray_transfer_of([Plane("cornea", 60.0, 24.0, 1.336)])
    >>> m.a, m.b, m.c, m.d
    (1.0, 0.0, -60.0, 1.0)
    """
    a, b, c, d = 1.0, 0.0, 0.0, 1.0
    for i, plane in enumerate(planes):
        c, d = c - plane.power_D * a, d - plane.power_D * b
        if to_retina or i < len(planes) - 1:
            way = plane.distance_mm / (1000.0 * plane.n_behind)
            a, b = a + way * c, b + way * d
    return RayTransfer(a, b, c, d)


def refraction_by_matrix(planes: Sequence[Plane]) -> Any:
    """The refraction from the matrix to the retina: a ray of slope −L·height reaches the axis there when L = a/b.

    Accuracy: 7e-16 relative to the cornea's power, over eyes of three planes.

    >>> round(refraction_by_matrix([Plane("spectacles", 0.0, 12.0, 1.0), Plane("cornea", 60.0, 1000.0 / 45.0, 1.336)]), 6)
    0.119827
    """
    m = ray_transfer_of(planes, to_retina=True)
    return m.a / m.b


def cardinal_points_of(planes: Sequence[Plane]) -> CardinalPoints:
    """Power and cardinal points of a path that begins in air, from its matrix (Gauss; any text of geometrical optics).

    Accuracy: 4e-16 relative, over powers and focal lengths of eyes of three planes.

    >>> p = cardinal_points_of([Plane("cornea", 60.0, 24.0, 1.336)])
    >>> round(p.back_focal_length_mm, 4), round(p.front_nodal_point_mm, 4), p.front_principal_point_mm + 0.0
    (22.2667, 5.6, 0.0)
    """
    m = ray_transfer_of(planes)
    n = planes[-1].n_behind
    length = sum(p.distance_mm for p in planes[:-1])
    power = -m.c
    front, back = 1000.0 * (1.0 - m.d) / power, length + 1000.0 * n * (m.a - 1.0) / power
    front_focal, back_focal = -1000.0 / power, 1000.0 * n / power
    shift = front_focal + back_focal  # both nodal points lie behind their principal points by as much
    return CardinalPoints(power, front, back, front + shift, back + shift, front + front_focal, back + back_focal, front_focal, back_focal)
