"""The point spread by the wavefront. Plain numpy."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.beam import Beam, Pencil
from lenscalc.light.focus_plane import reference
from lenscalc.light.limits import HEIGHT, WAVELENGTH
from lenscalc.light.path_difference import seen_from
from lenscalc.light.pupil import ever_finer
from lenscalc.light.surface import System
from lenscalc.quantities import FloatArray, whole_number, within


class PointSpread(NamedTuple):
    """Irradiance over the peak without aberration, (y, x); the places [mm] from the spot's centre; the beam in words."""

    irradiance: FloatArray
    x_mm: FloatArray
    y_mm: FloatArray
    strehl_ratio: float
    beam: str


def point_spread(
    system: System, beam: Beam, *, wavelength_nm: float, half_width_mm: float, points: int = 65, focus: Any = "least_spot"
) -> PointSpread:
    """The image of a point: one lens, one wavelength, a square field about the spot's centre. The value at the centre is the Strehl ratio there.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> image = point_spread(lens, Beam(3.0), wavelength_nm=546.07, half_width_mm=0.02, points=21)
    >>> image.irradiance.shape, bool(image.irradiance.max() <= 1.0)
    ((21, 21), True)
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    if pencil.shape:
        raise InputError("point_spread takes one lens: this system or beam holds arrays", quantity="surfaces")
    points = whole_number("points", points, 1, 2001)
    wave_mm = float(within(WAVELENGTH, wavelength_nm)) * 1e-6
    half = float(within(HEIGHT, half_width_mm, "half_width_mm"))
    place = np.linspace(-half, half, points) if points > 1 else np.zeros(1)
    at = reference(pencil, focus)
    aperture = float((pencil.half_width * pencil.paraxial.convergence_D).item()) / 1000.0
    last: Any = np.inf
    for x, y, weight in ever_finer():
        W = seen_from(pencil, pencil.rays(x, y), at).ravel()
        field = weight * np.exp(2j * np.pi / wave_mm * W)
        # a place along +x is reached earlier from the pupil's +x side
        along = [np.exp(2j * np.pi / wave_mm * aperture * np.outer(a, place)) for a in (x, y)]
        found = np.abs((along[1] * field[:, None]).T @ along[0]) ** 2
        if np.max(np.abs(found - last)) < 1e-6:
            return PointSpread(found, place, place, float(np.abs(field.sum()) ** 2), beam.in_words())
        last = found
    raise InputError("half_width_mm: the field is too wide, or the plane too far off, for the quadrature to follow", quantity="half_width_mm")
