"""Optical path differences of traced rays against a reference sphere, and the plane where their spread is least."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.light.beam import Pencil
from lenscalc.light.pupil import disc
from lenscalc.light.spot_plane import Focus
from lenscalc.light.trace import Traced
from lenscalc.quantities import FloatArray


def path_difference_mm(
    rays: Traced, chief: Traced, n_image: FloatArray, pupil: FloatArray, x: Any, y: Any, z: FloatArray
) -> FloatArray:
    """Path of the chief ray minus path of each ray, to the sphere about (x, y, z) through the axis at the exit pupil; (…, point) arrays."""
    return _to_sphere(chief, n_image, pupil, x, y, z) - _to_sphere(rays, n_image, pupil, x, y, z)


def _to_sphere(rays: Traced, n_image: FloatArray, pupil: FloatArray, x: Any, y: Any, z: FloatArray) -> FloatArray:
    px, py, pz = rays.x_mm, rays.y_mm, rays.z_mm
    L, M, N = rays.direction_x, rays.direction_y, rays.direction_z
    b = (px - x) * L + (py - y) * M + (pz - z) * N  # below 0: the light runs towards the point of reference
    # distance² to the point of reference − radius², without their difference
    outside = px * (px - 2.0 * x) + py * (py - 2.0 * y) + (pz - pupil) * (pz + pupil - 2.0 * z)
    return np.asarray(rays.optical_path_mm + n_image * outside / (-b + np.sqrt(b * b - outside)))


def seen_from(pencil: Pencil, rays: Traced, at: Focus) -> FloatArray:
    """Path differences [mm] of rays (lens, point) against the sphere about a place of each lens."""
    return _about(pencil, rays, *(np.asarray(a)[:, None] for a in (at.x_mm, at.y_mm, at.distance_mm)))


def _about(pencil: Pencil, rays: Traced, x: Any, y: Any, z: FloatArray) -> FloatArray:
    chief = pencil.rays(np.zeros(1), np.zeros(1))
    return path_difference_mm(rays, chief, pencil.n_image[:, None], pencil.paraxial.exit_pupil_mm[:, None], x, y, z)


def least_wavefront_shift(pencil: Pencil) -> FloatArray:
    """The shift at which the RMS wavefront error is least, tilt taken out; the path difference is all but linear in 1/distance."""
    x, y, weight = disc()
    rays = pencil.rays(x, y)
    tilt = np.stack([np.ones_like(x), x, y]) * np.sqrt(weight)
    basis = np.linalg.qr(tilt.T)[0]

    def left(v: FloatArray) -> FloatArray:
        W = _about(pencil, rays, 0.0, 0.0, 1.0 / v[:, None]) * np.sqrt(weight)
        for term in basis.T:  # one after the other: bits of a product of matrices depend on how many lenses there are
            W = W - np.sum(W * term, axis=1, keepdims=True) * term
        return np.asarray(W)

    v = 1.0 / pencil.paraxial.image_distance_mm
    step = 1e-3 * v
    for _ in range(3):
        here, slope = left(v), (left(v + step) - left(v)) / step[:, None]
        v = v - np.sum(here * slope, axis=1) / np.sum(slope * slope, axis=1)
    return np.asarray(1.0 / v - pencil.paraxial.image_distance_mm)
