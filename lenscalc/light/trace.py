"""Exact ray tracing in three dimensions through any number of conic and even-aspheric surfaces, over rays and over lenses.

The row of surfaces is followed by plain numpy, or for large work by the same arithmetic compiled (`ray_kernel`), to the same bits. Aspheric
terms need an iteration; they, and surfaces out of their place, are plain numpy whatever the size.
"""

from __future__ import annotations

import sys
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.limits import COSINE, HEIGHT, OBJECT_DISTANCE, VERGENCE
from lenscalc.light.ray import started
from lenscalc.light.ray_columns import Fate, through_surfaces
from lenscalc.light.surface import Row, System
from lenscalc.quantities import FloatArray, numbers, within

LARGE = 1_000_000  # rays from which somebody who traces so many does not mind two seconds for the compiler, once
LARGE_ONCE_COMPILED = 20_000
IN_CACHE = 16_384  # rays that plain numpy takes at once: whole columns of a million would go through the memory at every step


class Traced(NamedTuple):
    """Rays behind the last surface, lenses first, rays last: places [mm] (z from the last vertex), direction cosines, paths [mm], fates.

    `optical_path_mm` counts n·length from the start: for a beam from its wavefront through the first vertex, for single rays from where they
    began. `failed_at` is the surface, counted from 1, at which a ray was lost; 0 where it arrived.
    """

    x_mm: Any
    y_mm: Any
    z_mm: Any
    direction_x: Any
    direction_y: Any
    direction_z: Any
    optical_path_mm: Any
    fate: Any
    failed_at: Any


def trace(
    system: System,
    *,
    x_mm: Any,
    y_mm: Any = 0.0,
    vergence_D: Any = 0.0,
    object_distance_mm: Any = None,
    plane_mm: Any = None,
) -> Traced:
    """Rays of a beam on the axis through a row of surfaces, exactly.

    Not for diffractive or gradient-index surfaces, nor for mirrors: light travels +z throughout.

    Accuracy: 7e-15 relative to the ray's height (its depth there, to height²/5 mm), over spheres of 5 to 200 mm, heights from 1e-6 mm.

    Parameters
    ----------
    system : System
        surfaces, indices, distances; arrays in it are many lenses.
    x_mm, y_mm : float or array [mm]
        where the rays cross the plane of the first vertex. The last axis is the rays, axes before it must broadcast with the lenses.
    vergence_D : float or array [D]
        reduced vergence n/distance of the beam at the first vertex; positive converging, 0 from infinity. An array goes with the lenses.
    object_distance_mm : float or array [mm], optional
        instead of it: from a point on the axis to the first vertex; inf at infinity.
    plane_mm : float or array [mm], optional
        the rays are given where they cross the plane this far behind the last vertex; left out, on the last surface. An array goes with the lenses.

    Returns
    -------
    Traced
        arrays of shape lenses + rays; numbers where there is one of each. `fate` says what became of each ray (`Fate`), `failed_at` where.

    Raises
    ------
    InputError
        for values outside the hard limits, or a beam given twice.

    References
    ----------
    Vector form of Snell's law; the closed form of the point on a conic. Any text of lens design. Checked against two libraries.

    Examples
    --------
    >>> from lenscalc.light import Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> rays = trace(lens, x_mm=[0.001, 1.5], plane_mm=64.8625626081)
    >>> [round(float(x), 6) + 0.0 for x in rays.x_mm]                   # the paraxial focus: the outer ray has crossed the axis before
    [0.0, -0.009791]
    >>> trace(lens, x_mm=20.0).fate.name
    'MISSED'
    """
    row = system.row()
    if object_distance_mm is not None:
        if np.any(np.asarray(vergence_D) != 0):
            raise InputError("give either vergence_D or object_distance_mm, not both", quantity="object_distance_mm")
        v = -1.0 / within(OBJECT_DISTANCE, object_distance_mm)
    else:
        vergence, n = numbers(vergence_D=within(VERGENCE, vergence_D), indices=system.indices[0])
        v = vergence / (1000.0 * n)
    x, y = numbers(x_mm=within(HEIGHT, x_mm, "x_mm"), y_mm=within(HEIGHT, y_mm, "y_mm"))
    place = _Places(row.shape, v.shape, plane_mm, x)
    x, y = place.of_rays(x), place.of_rays(y)
    row, v = place.of_lenses(row), place.of_lens(v)
    state = _followed(row, v, x, y)
    return place.given_back(state, row)


def trace_rays(
    system: System, *, x_mm: Any, y_mm: Any, z_mm: Any, direction_x: Any, direction_y: Any, direction_z: Any, plane_mm: Any = None
) -> Traced:
    """Single rays, each from its own place (z from the first vertex) in its own direction, which is made a unit vector and must go towards +z.

    A ray is a whole line: one that starts behind a surface meets it before its start. The rest as in `trace`.

    >>> from lenscalc.light import Surface, System
    >>> window = System([Surface(), Surface()], [1.0, 1.5, 1.0], [3.0])
    >>> ray = trace_rays(window, x_mm=0.0, y_mm=0.0, z_mm=-1.0, direction_x=0.6, direction_y=0.0, direction_z=0.8)
    >>> round(ray.x_mm, 6), round(ray.direction_x, 6)
    (2.059307, 0.6)
    """
    row = system.row()
    starts = {name: within(HEIGHT, value, name) for name, value in (("x_mm", x_mm), ("y_mm", y_mm), ("z_mm", z_mm))}
    named = {"direction_x": direction_x, "direction_y": direction_y, "direction_z": direction_z}
    x, y, z, *towards = numbers(**starts, **{name: within(COSINE, value, name) for name, value in named.items()})
    if np.any(towards[2] <= 0):
        raise InputError("direction_z: must be above 0, light travels +z", quantity="direction_z")
    size = (towards[0] ** 2 + towards[1] ** 2 + towards[2] ** 2) ** 0.5
    place = _Places(row.shape, (), plane_mm, x)
    row = place.of_lenses(row)
    full = (row.curvature.shape[1], place.rays)
    state = [np.array(np.broadcast_to(place.of_rays(a), full)) for a in (x, y, z, *(t / size for t in towards))]
    return place.given_back(through_surfaces(row, [*state, np.zeros(full)]), row)


class _Places:
    """How lenses and rays stand to each other: flat (lens, ray) inside, lenses + rays outside."""

    def __init__(self, lenses: tuple[int, ...], beams: tuple[int, ...], plane_mm: Any, rays: FloatArray) -> None:
        self.plane = None if plane_mm is None else within(HEIGHT, plane_mm, "plane_mm")
        self.one_ray = rays.ndim == 0
        self.rays = 1 if self.one_ray else rays.shape[-1]
        try:
            self.shape = np.broadcast_shapes(lenses, beams, np.shape(plane_mm), rays.shape[:-1])  # None has the shape of a number
        except ValueError:
            raise InputError(
                f"x_mm of shape {rays.shape}: the last axis is the rays, those before it must broadcast with the lenses {lenses}", quantity="x_mm"
            ) from None
        self.lenses = lenses

    def of_lens(self, a: Any) -> FloatArray:
        return np.ascontiguousarray(np.broadcast_to(np.asarray(a, dtype=np.float64), self.shape).ravel())

    def of_lenses(self, row: Row) -> Row:
        if self.shape == self.lenses:
            return row
        many = int(np.prod(self.shape))

        def wide(a: FloatArray) -> FloatArray:
            return np.array([self.of_lens(s.reshape(self.lenses)) for s in a])

        asphere = tuple(None if s is None else tuple((p, self.of_lens(a.reshape(self.lenses))) for p, a in s) for s in row.asphere)
        move = tuple(
            None if m is None else np.broadcast_to(m.reshape(*self.lenses, 12), (*self.shape, 12)).reshape(many, 12) for m in row.move
        )
        return Row(self.shape, wide(row.curvature), wide(row.conic), wide(row.indices), wide(row.distances), asphere, move)

    def of_rays(self, a: FloatArray) -> FloatArray:
        """(1, rays) where all lenses share the rays, (lens, rays) otherwise."""
        a = np.atleast_1d(a)
        if a.ndim == 1:
            return np.ascontiguousarray(a[None, :])
        return np.ascontiguousarray(np.broadcast_to(a, (*self.shape, self.rays)).reshape(int(np.prod(self.shape)), self.rays))

    def given_back(self, state: list[Any], row: Row) -> Traced:
        x, y, z, L, M, N, path, fate, failed_at = state
        if self.plane is not None:
            with np.errstate(invalid="ignore"):
                on = (self.of_lens(self.plane)[:, None] - z) / N
                x, y, z, path = x + on * L, y + on * M, z + on * N, path + row.indices[-1][:, None] * on
        shape = self.shape if self.one_ray else (*self.shape, self.rays)
        if not shape:
            return Traced._make((*(a.item() for a in (x, y, z, L, M, N, path)), Fate(fate.item()), failed_at.item()))
        return Traced(*(a.reshape(shape) for a in (x, y, z, L, M, N, path, fate, failed_at)))


def _followed(row: Row, v: FloatArray, x: FloatArray, y: FloatArray) -> list[Any]:
    """A beam, by whichever way suits its size; both give the same bits."""
    lenses, rays = row.curvature.shape[1], x.shape[1]
    kernel = sys.modules.get("lenscalc.light.ray_kernel")
    compiled_already = kernel is not None and kernel.is_compiled()
    if not any(row.asphere) and all(m is None for m in row.move) and lenses * rays >= (LARGE_ONCE_COMPILED if compiled_already else LARGE):
        from lenscalc.light.ray_kernel import beam_through_conics

        state, lost = beam_through_conics(row, v, x, y)
        found: list[Any] = [*state, np.zeros((lenses, rays), np.int8), np.zeros((lenses, rays), np.int8)]
        for lens in np.flatnonzero(lost.any(axis=1)).tolist():
            which = np.flatnonzero(lost[lens])
            own_x, own_y = (np.broadcast_to(a, lost.shape)[lens, which][None] for a in (x, y))  # one beam for all lenses, or one each
            again = _beam(_one_lens(row, lens), v[lens : lens + 1], own_x, own_y)
            for whole, part in zip(found, again, strict=True):
                whole[lens, which] = part
        return found
    return _beam(row, v, x, y)


def _one_lens(row: Row, lens: int) -> Row:
    def one(a: FloatArray) -> FloatArray:
        return a[:, lens : lens + 1]

    return Row((), one(row.curvature), one(row.conic), one(row.indices), one(row.distances), row.asphere, row.move)


def _beam(row: Row, v: FloatArray, x: FloatArray, y: FloatArray) -> list[Any]:
    lenses, rays = row.curvature.shape[1], x.shape[1]
    step = max(1, IN_CACHE // lenses)
    if rays > step:
        parts = [_beam(row, v, x[:, a : a + step], y[:, a : a + step]) for a in range(0, rays, step)]
        return [np.concatenate(whole, axis=1) for whole in zip(*parts, strict=True)]
    begun = started(x, y, v[:, None], row.indices[0][:, None])
    full = (lenses, rays)
    return through_surfaces(row, [np.array(np.broadcast_to(a, full)) for a in (x, y, 0.0, *begun)])
