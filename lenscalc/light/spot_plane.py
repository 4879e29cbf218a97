"""The spot that the rays of a pupil make in a plane, and the plane of the least one."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.light.beam import Pencil
from lenscalc.light.trace import Traced
from lenscalc.quantities import FloatArray


class Focus(NamedTuple):
    """A place in the image: shift from the paraxial focus [mm], distance behind the last vertex [mm], centre [mm], RMS radius of the spot [mm]."""

    shift_mm: Any
    distance_mm: Any
    x_mm: Any
    y_mm: Any
    rms_spot_mm: Any


def least_spot(pencil: Pencil, rays: Traced, weight: FloatArray) -> Focus:
    """Where the variance of x + zp and y + zq about their means is least: a parabola in z."""
    pencil.rays_alone()
    X, Y, p, q = _at_vertex(rays)
    spread = _mean((p - _mean(p, weight)) ** 2 + (q - _mean(q, weight)) ** 2, weight)
    together = _mean((X - _mean(X, weight)) * p + (Y - _mean(Y, weight)) * q, weight)
    return spot_at(pencil, rays, weight, (-together / spread).ravel())


def spot_at(pencil: Pencil, rays: Traced, weight: FloatArray, z: FloatArray) -> Focus:
    """The spot in a plane of each lens, z behind its last vertex."""
    X, Y, p, q = _at_vertex(rays)
    x, y = X + z[:, None] * p, Y + z[:, None] * q
    cx, cy = _mean(x, weight), _mean(y, weight)
    rms = _mean((x - cx) ** 2 + (y - cy) ** 2, weight) ** 0.5
    return Focus(z - pencil.paraxial.image_distance_mm, z, cx.ravel(), cy.ravel(), rms.ravel())


def _at_vertex(rays: Traced) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    p, q = rays.direction_x / rays.direction_z, rays.direction_y / rays.direction_z
    return rays.x_mm - rays.z_mm * p, rays.y_mm - rays.z_mm * q, p, q


def _mean(a: FloatArray, weight: FloatArray) -> FloatArray:
    return np.asarray(np.sum(a * weight, axis=1, keepdims=True))
