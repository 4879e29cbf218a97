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
from lenscalc.light.focus_plane import reference
from lenscalc.light.limits import WAVELENGTH
from lenscalc.light.path_difference import seen_from
from lenscalc.light.pupil import disc_for, ever_finer
from lenscalc.light.surface import System
from lenscalc.light.zernike import zernike, zernike_index, zernike_orders
from lenscalc.quantities import given_back, numbers, whole_number, within


class Zernikes(NamedTuple):
    """Coefficients [µm] in OSA/ANSI order along the last axis; the named one; RMS without piston and tilt [µm]; what the order leaves out [µm]."""

    coefficients_um: Any
    zernike_4_0_um: Any
    rms_wavefront_um: Any
    rms_left_out_um: Any
    beam: str


def wavefront_um(system: System, beam: Beam, *, pupil_x: Any, pupil_y: Any, focus: Any = "least_spot") -> Any:
    """Optical path difference [µm] at points of the unit pupil (the last axis); the reference is the spot's centre in the plane that `focus` names.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> [round(float(w), 4) + 0.0 for w in wavefront_um(lens, Beam(3.0), pupil_x=[0.0, 1.0], pupil_y=0.0, focus="paraxial")]
    [0.0, 0.0748]
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    x, y = np.atleast_1d(*numbers(pupil_x=pupil_x, pupil_y=pupil_y))
    if np.any(x * x + y * y > 1.0 + 1e-12):
        raise InputError("pupil_x, pupil_y: a point lies outside the unit pupil", quantity="pupil_x")
    W = 1000.0 * seen_from(pencil, pencil.rays(x, y), reference(pencil, focus))
    return W.reshape(*pencil.shape, x.shape[-1])


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
    order = whole_number("order", order, 0, 20)
    pencil = Pencil(system, beam)
    pencil.real_image()
    x, y, weight = disc_for(order)
    W = 1000.0 * seen_from(pencil, pencil.rays(x, y), reference(pencil, focus))
    terms = np.stack([zernike(*zernike_orders(j), x, y) for j in range((order + 1) * (order + 2) // 2)])
    # sums term by term, not a product of matrices, whose last bits depend on how many lenses there are
    found = np.stack([np.sum(W * weight * term, axis=1) for term in terms], axis=1)
    without, left = W, W
    for j, term in enumerate(terms):
        left = left - found[:, j : j + 1] * term
        without = left if j < 3 else without
    four = found[:, zernike_index(4, 0)] if order >= 4 else np.full(len(found), np.nan)
    rms, unfitted = (np.sqrt(np.sum(a * a * weight, axis=1)) for a in (without, left))
    each = found.reshape(*pencil.shape, len(terms))
    four, rms, unfitted = (given_back(a, pencil.shape) for a in (four, rms, unfitted))
    return Zernikes(each, four, rms, unfitted, beam.in_words())


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
    last: Any = np.inf
    for x, y, weight in ever_finer():
        mean = np.sum(weight * np.exp(2j * np.pi / wave_mm * seen_from(pencil, pencil.rays(x, y), at)), axis=1)
        found = np.abs(mean) ** 2
        if np.all(np.abs(found - last) < 1e-7):
            return given_back(found, pencil.shape)
        last = found
    raise InputError(f"focus = {focus!r}: the wavefront has too many waves for a Strehl ratio; go nearer to the focus", quantity="focus")
