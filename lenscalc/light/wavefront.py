"""The wavefront against a reference sphere: optical path difference, Zernike coefficients, Strehl ratio.

Positive where the wavefront runs ahead: undercorrected spherical aberration, the rim focused in front, is positive. W = path of the chief ray −
path of the ray, both to the sphere through the exit pupil about the point of reference. Coordinates are those of the beam at the first vertex
over its radius.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.beam import Beam, Pencil
from lenscalc.light.focus import Focus, focus_shift, spot_at
from lenscalc.light.limits import WAVELENGTH, within
from lenscalc.light.pupil import disc
from lenscalc.light.surface import System
from lenscalc.light.trace import Traced
from lenscalc.light.zernike import zernike, zernike_index, zernike_orders
from lenscalc.quantities import FloatArray


class Zernikes(NamedTuple):
    """Coefficients [µm] in OSA/ANSI order along the last axis; the named one; RMS without piston and tilt [µm]; what the order leaves out [µm]."""

    coefficients_um: Any
    zernike_4_0_um: Any
    rms_wavefront_um: Any
    rms_left_out_um: Any
    beam: str


def path_difference_mm(
    rays: Traced, chief: Traced, n_image: FloatArray, pupil: FloatArray, x: FloatArray, y: FloatArray, z: FloatArray
) -> FloatArray:
    """Path of the chief ray minus path of each ray, to the sphere about (x, y, z) through the axis at the exit pupil; (…, point) arrays."""
    return _to_sphere(chief, n_image, pupil, x, y, z) - _to_sphere(rays, n_image, pupil, x, y, z)


def _to_sphere(rays: Traced, n_image: FloatArray, pupil: FloatArray, x: FloatArray, y: FloatArray, z: FloatArray) -> FloatArray:
    px, py, pz = rays.x_mm, rays.y_mm, rays.z_mm
    L, M, N = rays.direction_x, rays.direction_y, rays.direction_z
    b = (px - x) * L + (py - y) * M + (pz - z) * N  # below 0: the light runs towards the point of reference
    # distance² to the point of reference − radius², without their difference
    outside = px * (px - 2.0 * x) + py * (py - 2.0 * y) + (pz - pupil) * (pz + pupil - 2.0 * z)
    return np.asarray(rays.optical_path_mm + n_image * outside / (-b + np.sqrt(b * b - outside)))


def wavefront_um(system: System, beam: Beam, *, pupil_x: Any, pupil_y: Any, focus: Any = "least_spot") -> Any:
    """Optical path difference [µm] at points of the unit pupil (the last axis); the reference is the spot's centre in the plane that `focus` names.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> [round(float(w), 4) + 0.0 for w in wavefront_um(lens, Beam(3.0), pupil_x=[0.0, 1.0], pupil_y=0.0, focus="paraxial")]
    [0.0, 0.0748]
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    x, y = np.broadcast_arrays(np.atleast_1d(np.asarray(pupil_x, dtype=np.float64)), np.asarray(pupil_y, dtype=np.float64))
    if np.any(x * x + y * y > 1.0 + 1e-12):
        raise InputError("pupil_x, pupil_y: a point lies outside the unit pupil", quantity="pupil_x")
    W = 1000.0 * seen_from(pencil, pencil.rays(x, y), reference(pencil, focus))
    return W.reshape(*pencil.shape, x.shape[-1])


def reference(pencil: Pencil, focus: Any) -> Focus:
    """The point of reference of each lens: the spot's centre in the plane that `focus` names."""
    x, y, weight = disc()
    return spot_at(pencil, pencil.rays(x, y), weight, focus_shift(pencil, focus) + pencil.paraxial.image_distance_mm)


def seen_from(pencil: Pencil, rays: Traced, at: Focus) -> FloatArray:
    """Path differences [mm] of rays (lens, point) against the sphere about a place of each lens."""
    chief = pencil.rays(np.zeros(1), np.zeros(1))
    place = (np.asarray(a)[:, None] for a in (at.x_mm, at.y_mm, at.distance_mm))
    return path_difference_mm(rays, chief, pencil.n_image[:, None], pencil.paraxial.exit_pupil_mm[:, None], *place)


def least_wavefront_shift(pencil: Pencil) -> FloatArray:
    """The shift at which the RMS wavefront error is least, tilt taken out; the path difference is all but linear in the shift."""
    x, y, weight = disc()
    rays = pencil.rays(x, y)
    tilt = np.stack([np.ones_like(x), x, y]) * np.sqrt(weight)
    basis = np.linalg.qr(tilt.T)[0]

    def left(z: FloatArray) -> FloatArray:
        W = seen_from(pencil, rays, Focus(0.0, z, np.zeros_like(z), np.zeros_like(z), 0.0)) * np.sqrt(weight)
        return np.asarray(W - (W @ basis) @ basis.T)

    z = np.asarray(spot_at(pencil, rays, weight, pencil.paraxial.image_distance_mm).distance_mm)
    step = 1e-3 * z
    for _ in range(3):
        here, slope = left(z), (left(z + step) - left(z)) / step[:, None]
        z = z - np.sum(here * slope, axis=1) / np.sum(slope * slope, axis=1)
    return np.asarray(z - pencil.paraxial.image_distance_mm)


def zernike_coefficients(system: System, beam: Beam, *, focus: Any = "least_spot", order: int = 8) -> Zernikes:
    """Zernike coefficients up to a radial order, by quadrature over the pupil.

    Parameters
    ----------
    system, beam : System, Beam
    focus : "least_spot" | "least_wavefront" | "paraxial" | float [mm]
        plane of the reference; (4, 0) hardly depends on it, (2, 0) is made of it.
    order : int
        highest radial order, 0 to 20.

    Returns
    -------
    Zernikes
        coefficient j of OSA/ANSI along the last axis; `rms_left_out_um` says what higher orders would add.

    Raises
    ------
    InputError
        where rays are lost, or where the beam has no real image.

    References
    ----------
    OSA/ANSI Z80.28 order and normalisation, from memory, to be confirmed against the text.

    Examples
    --------
    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> round(zernike_coefficients(lens, Beam(3.0)).zernike_4_0_um, 5)      # W040/(6√5)
    0.0056
    """
    if not 0 <= order <= 20:
        raise InputError(f"order = {order}: must be 0 to 20", quantity="order", value=order)
    pencil = Pencil(system, beam)
    pencil.real_image()
    x, y, weight = disc(max(16, order + 4), max(32, 2 * order + 10))
    W = 1000.0 * seen_from(pencil, pencil.rays(x, y), reference(pencil, focus))
    terms = np.stack([zernike(*zernike_orders(j), x, y) for j in range((order + 1) * (order + 2) // 2)])
    # sums term by term, not a product of matrices, whose last bits depend on how many lenses there are
    found = np.stack([np.sum(W * weight * term, axis=1) for term in terms], axis=1)
    without, left = W, W
    for j, term in enumerate(terms):
        left = left - found[:, j : j + 1] * term
        without = left if j < 3 else without
    four = found[:, zernike_index(4, 0)] if order >= 4 else np.full(len(found), np.nan)
    rms = [np.sqrt(np.sum(a * a * weight, axis=1)) for a in (without, left)]
    if pencil.shape == ():
        return Zernikes(found[0], float(four[0]), float(rms[0][0]), float(rms[1][0]), beam.in_words())
    return Zernikes(
        found.reshape(*pencil.shape, -1), four.reshape(pencil.shape), rms[0].reshape(pencil.shape), rms[1].reshape(pencil.shape), beam.in_words()
    )


def strehl_ratio(system: System, beam: Beam, *, wavelength_nm: Any, focus: Any = "least_spot") -> Any:
    """Irradiance at the point of reference over that without aberration: |mean of exp(2πi W/λ)|² over the pupil.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> round(strehl_ratio(lens, Beam(3.0), wavelength_nm=546.07, focus="least_wavefront"), 3)
    0.996
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    wave_mm = pencil.flat(within(WAVELENGTH, wavelength_nm))[:, None] * 1e-6
    at = reference(pencil, focus)
    rings, last = 16, np.inf
    while True:
        x, y, weight = disc(rings, 2 * rings)
        mean = np.sum(weight * np.exp(2j * np.pi / wave_mm * seen_from(pencil, pencil.rays(x, y), at)), axis=1)
        found = np.abs(mean) ** 2
        if np.all(np.abs(found - last) < 1e-7):
            return float(found[0]) if pencil.shape == () else found.reshape(pencil.shape)
        if rings >= 256:
            raise InputError(f"focus = {focus!r}: the wavefront has too many waves for a Strehl ratio; go nearer to the focus", quantity="focus")
        rings, last = 2 * rings, found
