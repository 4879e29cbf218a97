"""The MTF by the wavefront: the pupil's autocorrelation, integrated directly over the overlap of the two displaced pupils. Plain numpy.

The quadrature is exact where there is no aberration; the number of its points follows the waves of aberration. The pupil is filled evenly, and a
point keeps its place in it from the first vertex to the reference sphere. The image's scale is that of the paraxial image: on a plane δ off it
frequencies per mm are off by δ over the image distance.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.beam import Beam, Pencil
from lenscalc.light.diffraction import cut_off_per_mm, diffraction_mtf
from lenscalc.light.focus_plane import focus_shift, spot_centre
from lenscalc.light.limits import AZIMUTH, FOCUS, FREQUENCY, WAVELENGTH
from lenscalc.light.path_difference import path_difference_mm
from lenscalc.light.pupil import gauss
from lenscalc.light.spot_plane import Focus
from lenscalc.light.surface import System
from lenscalc.light.trace import Traced
from lenscalc.quantities import FloatArray, as_given, counted, numbers, within

FEWEST, MOST = 20, 400  # points a direction
AT_ONCE = 500_000  # points of a pupil in memory, for all lenses, planes and frequencies


class Mtf(NamedTuple):
    """MTF and that of diffraction alone, frequencies last; cut-off [1/mm]; shift of the plane from the paraxial focus [mm]; the beam in words."""

    mtf: Any
    diffraction_mtf: Any
    cut_off_per_mm: Any
    focus_shift_mm: Any
    beam: str


def mtf(
    system: System,
    beam: Beam,
    *,
    frequency_per_mm: Any,
    wavelength_nm: Any,
    focus: Any = "least_spot",
    azimuth_deg: float = 0.0,
    weights: Any = None,
) -> Mtf:
    """Modulation transfer of a system in a beam, monochromatic, or over a spectrum.

    The modulation in the image of lines whose frequency runs along the azimuth. A collimated beam on a bare lens and the converging beam of a
    model eye give very different values: the result names its beam.

    Parameters
    ----------
    system, beam : System, Beam
        arrays in them are many lenses.
    frequency_per_mm : float or array [1/mm]
        in the image; the last axis of the result.
    wavelength_nm : float or array [nm]
        in air; an array goes with the lenses, whose indices must be those at it.
    focus : "least_spot" | "least_wavefront" | "paraxial" | float [mm]
        the plane: by a word, or its shift from the paraxial focus.
    azimuth_deg : float [°]
        direction of the frequency from x towards y.
    weights : array, optional
        for a spectrum: the last axis of the lenses is then the wavelengths, and their transfer functions are added with these weights at one
        point, the weighted mean of their own centres, and in one plane, the weighted mean of their own (of a number: from the mean paraxial focus).

    Returns
    -------
    Mtf

    Raises
    ------
    InputError
        for lost rays, no real image, or a plane so far off that the wavefront has hundreds of waves.

    References
    ----------
    Hopkins, the autocorrelation of the pupil; any text of Fourier optics.

    Examples
    --------
    >>> from lenscalc.light import Beam, Surface, System, mtf
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> m = mtf(lens, Beam(3.0), frequency_per_mm=[50.0, 100.0], wavelength_nm=546.07, focus="least_wavefront")
    >>> [round(float(v), 4) for v in m.diffraction_mtf], m.beam
    ([0.4531, 0.0435], 'collimated onto the bare lens, 3 mm wide')
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    if weights is None:
        shift = focus_shift(pencil, focus)
        otf, limit, cut = _transfer(pencil, spot_centre(pencil, shift), frequency_per_mm, wavelength_nm, azimuth_deg)
        return _given(np.abs(otf), limit, cut, shift, pencil.shape, np.shape(frequency_per_mm), beam)
    if not pencil.shape:
        raise InputError("weights: a spectrum needs arrays of indices whose last axis is the wavelengths", quantity="weights")
    (w,) = numbers(weights=weights)
    if w.shape != pencil.shape[-1:] or not np.all(np.isfinite(w)) or np.any(w < 0) or not w.any():
        wanted = f"{counted(pencil.shape[-1], 'number')}, 0 or more, one a wavelength"
        raise InputError(f"weights of shape {w.shape}: must be {wanted}", quantity="weights")
    w = w / w.sum()

    def common(a: FloatArray) -> FloatArray:
        by_wavelength = a.reshape(pencil.shape)
        return np.broadcast_to(np.sum(by_wavelength * w, axis=-1, keepdims=True), pencil.shape).ravel()

    own = focus_shift(pencil, focus)
    plane = common(own + pencil.paraxial.image_distance_mm)
    there = spot_centre(pencil, plane - pencil.paraxial.image_distance_mm)
    at = there._replace(distance_mm=plane, x_mm=common(np.asarray(there.x_mm)), y_mm=common(np.asarray(there.y_mm)))
    otf, limit, cut = _transfer(pencil, at, frequency_per_mm, wavelength_nm, azimuth_deg)
    otf, limit = (np.einsum("...wf,w->...f", a.reshape(*pencil.shape, a.shape[1]), w) for a in (otf, limit))
    largest = cut.reshape(pencil.shape)[..., w > 0].max(axis=-1)
    mean_shift = np.einsum("...w,w->...", np.reshape(there.shift_mm, pencil.shape), w)
    return _given(np.abs(otf), limit, largest, mean_shift, pencil.shape[:-1], np.shape(frequency_per_mm), beam)


def through_focus_mtf(
    system: System,
    beam: Beam,
    *,
    focus_shift_mm: Any,
    frequency_per_mm: float,
    wavelength_nm: float,
    azimuth_deg: float = 0.0,
) -> FloatArray:
    """MTF at one frequency in planes shifted from the paraxial focus (the last axis) [mm]; the pupil is traced once.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> curve = through_focus_mtf(lens, Beam(3.0), focus_shift_mm=[-1.0, -0.25, 1.0], frequency_per_mm=50, wavelength_nm=546.07)
    >>> bool(curve.argmax() == 1)
    True
    """
    pencil = Pencil(system, beam)
    pencil.real_image()
    shift = np.atleast_1d(within(FOCUS, focus_shift_mm, "focus_shift_mm"))
    distance = pencil.paraxial.image_distance_mm[:, None] + shift
    if np.any(distance <= 0):
        raise InputError("focus_shift_mm: a plane lies in front of the last vertex", quantity="focus_shift_mm")
    middle = spot_centre(pencil, np.zeros_like(pencil.half_width))
    x, y = (np.broadcast_to(np.asarray(a)[:, None], distance.shape) for a in (middle.x_mm, middle.y_mm))
    at = middle._replace(shift_mm=shift, distance_mm=distance, x_mm=x, y_mm=y)
    otf, _, _ = _transfer(pencil, at, [frequency_per_mm], wavelength_nm, azimuth_deg)
    return np.asarray(np.abs(otf).reshape(*pencil.shape, shift.size))


def _given(value: Any, limit: Any, cut: Any, shift: Any, shape: tuple[int, ...], frequencies: tuple[int, ...], beam: Beam) -> Mtf:
    def shaped(a: Any, *more: int) -> Any:
        return as_given(np.reshape(a, (*shape, *more)))

    return Mtf(shaped(value, *frequencies), shaped(limit, *frequencies), shaped(cut), shaped(shift), beam.in_words())


def _transfer(pencil: Pencil, at: Focus, frequency_per_mm: Any, wavelength_nm: Any, azimuth_deg: float) -> tuple[Any, FloatArray, FloatArray]:
    """Complex transfer (lens, [plane,] frequency), diffraction's own (lens, frequency), cut-off (lens); `at` is (lens) or (lens, plane)."""
    frequency = np.ravel(within(FREQUENCY, frequency_per_mm))
    if not frequency.size:
        raise InputError("frequency_per_mm is empty: give at least one frequency", quantity="frequency_per_mm")
    wavelength = pencil.flat(within(WAVELENGTH, wavelength_nm))
    cut = np.atleast_1d(np.asarray(cut_off_per_mm(2.0 * pencil.half_width, pencil.paraxial.convergence_D, wavelength)))
    limit = np.atleast_2d(np.asarray(diffraction_mtf(frequency[None, :], cut_off_per_mm=cut[:, None])))
    planes = np.asarray(at.distance_mm).reshape(len(cut), -1)
    s = np.minimum(frequency / cut[:, None], 1.0)
    chief = pencil.rays(np.zeros(1), np.zeros(1))
    turn = np.exp(1j * np.deg2rad(float(within(AZIMUTH, azimuth_deg))))
    otf = np.empty((len(cut), planes.shape[1], frequency.size), np.complex128)
    points = np.full(len(cut), FEWEST)
    left = np.arange(len(cut))
    while left.size:  # each lens by its own number of points, so that it has the same digits alone and in company
        for rows in _alike(left, points, frequency.size):
            part = pencil if len(rows) == len(cut) else pencil.some(rows)
            place = Focus(*(np.asarray(a)[rows] if np.ndim(a) else a for a in at))
            few = Traced(*(np.asarray(a)[rows] for a in chief))
            otf[rows], phase = _autocorrelation(part, place, planes[rows], s[rows], wavelength[rows], few, turn, int(points[rows[0]]))
            needed = (0.5 * phase).astype(int) + FEWEST
            if needed.max() > MOST:
                raise InputError(
                    f"focus: the phase runs through {phase.max() / (2.0 * np.pi):.0f} waves over the pupil, more than the quadrature of the MTF "
                    f"follows ({(MOST - FEWEST) / np.pi:.0f}); take a plane nearer to the focus or a smaller pupil",
                    quantity="focus",
                )
            left = np.setdiff1d(left, rows[needed <= points[rows]])
            points[rows] = np.maximum(points[rows], needed)
    return otf if np.ndim(at.distance_mm) == 2 else otf[:, 0], limit, cut


def _alike(left: Any, points: Any, frequencies: int) -> list[Any]:
    """Lenses with the same number of points, so many together as the memory should hold."""
    groups: list[Any] = []
    for p in np.unique(points[left]):
        rows = left[points[left] == p]
        step = max(1, AT_ONCE // (frequencies * int(p) * int(p)))
        groups += [rows[a : a + step] for a in range(0, len(rows), step)]
    return groups


def _autocorrelation(
    pencil: Pencil, at: Focus, planes: FloatArray, s: FloatArray, wavelength: FloatArray, chief: Any, turn: complex, points: int
) -> tuple[Any, FloatArray]:
    """The overlap of two unit discs at ±s along u: v = sin θ and u up to cos θ − s, up to θ = arccos s, so that no root spoils the quadrature."""
    p, w = gauss(points)
    end = np.arccos(s)[:, :, None]
    v, cosine = np.sin(end * p), np.cos(end * p)  # (lens, frequency, θ)
    half = cosine - s[:, :, None]
    weight = (cosine * half * w * end)[..., None] * w / np.pi
    u = half[..., None] * p
    many = s.shape[1] * points * points
    otf = np.empty((len(s), planes.shape[1], s.shape[1]), np.complex128)
    largest = np.zeros(len(s))
    pairs = [(turn * ((u + sign * s[:, :, None, None]) + 1j * v[..., None])).reshape(len(s), many) for sign in (1.0, -1.0)]
    both = [pencil.rays(pair.real, pair.imag) for pair in pairs]
    centre = [np.asarray(a).reshape(planes.shape) for a in (at.x_mm, at.y_mm)]
    n, pupil = pencil.n_image[:, None, None], pencil.paraxial.exit_pupil_mm[:, None, None]
    step = max(1, AT_ONCE // (many * len(s)))
    for first in range(0, planes.shape[1], step):
        part = slice(first, first + step)
        place = (centre[0][:, part, None], centre[1][:, part, None], planes[:, part, None])
        W = [path_difference_mm(_wide(rays), _wide(chief), n, pupil, *place) for rays in both]
        phase = ((2.0 * np.pi / (1e-6 * wavelength))[:, None, None] * (W[0] - W[1])).reshape(*otf[:, part].shape, points * points)
        largest = np.maximum(largest, np.ptp(phase, axis=3).max(axis=(1, 2)))
        otf[:, part] = np.einsum("lpfq,lfq->lpf", np.exp(1j * phase), weight.reshape(*s.shape, points * points))
    return otf, largest


def _wide(rays: Any) -> Any:
    return type(rays)(*(np.asarray(a)[:, None, :] for a in rays))
