"""The beam in which an image is judged, and the rays of its pupil behind a system."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.limits import ADDED_WAVEFRONT, PUPIL, VERGENCE
from lenscalc.light.paraxial import ParaxialImage, paraxial_image
from lenscalc.light.ray_columns import Fate
from lenscalc.light.surface import System
from lenscalc.light.trace import Traced, trace
from lenscalc.light.zernike import zernike
from lenscalc.quantities import FloatArray, counted, within

_ORDERS = (2, 4, 6, 8, 10, 12, 14, 16, 18, 20)  # Zernike's, of what is added to a wavefront


@dataclass(frozen=True, eq=False)
class Beam:
    """Diameter of the beam at the first vertex [mm] and its reduced vergence there [D]: 0 collimated, positive converging, as a cornea sends it.

    The beam is a perfect one on the axis, so a cornea before the lens is free of aberration, unless `added_zernike_um` brings one: radial order n →
    coefficient of Zernike (n, 0) over this beam [µm], positive where the wavefront runs ahead at the rim (undercorrected, n = 4). It is added to the
    path of every ray; the directions of the rays do not know it, so that spots are refused. Numbers, or arrays that go with the lenses.

    >>> Beam(3.0).in_words()
    'collimated onto the bare lens, 3 mm wide'
    >>> Beam(3.0, 48.0).in_words()
    'in the model eye with an aberration-free cornea: converging by 48 D onto the lens, 3 mm wide there'
    >>> Beam(3.0, 48.0, {4: 0.02}).in_words()
    'in the model eye: converging by 48 D onto the lens, 3 mm wide there, with Zernike (4, 0) 0.02 µm in its wavefront'
    """

    pupil_diameter_mm: Any
    vergence_D: Any = 0.0
    added_zernike_um: Mapping[int, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        within(PUPIL, self.pupil_diameter_mm)
        within(VERGENCE, self.vergence_D)
        for n, coefficient in self.added_zernike_um.items():
            if isinstance(n, bool) or not isinstance(n, int | np.integer) or n not in _ORDERS:
                raise InputError(f"added_zernike_um {{{n!r}: ...}}: the radial orders are 2, 4, 6 … 20", quantity="added_zernike_um", value=n)
            within(ADDED_WAVEFRONT, coefficient)

    def in_words(self) -> str:
        """The beam in one phrase, for print beside every result of it."""
        terms = [f"({n}, 0) {_span(c)} µm" for n, c in self.added_zernike_um.items()]
        return self._without_wavefront() + (f", with Zernike {', '.join(terms)} in its wavefront" if terms else "")

    def _without_wavefront(self) -> str:
        wide, v = _span(self.pupil_diameter_mm), np.asarray(self.vergence_D, dtype=np.float64)
        if np.all(v == 0):
            return f"collimated onto the bare lens, {wide} mm wide"
        if np.all(v > 0):
            cornea = "" if self.added_zernike_um else " with an aberration-free cornea"
            return f"in the model eye{cornea}: converging by {_span(v)} D onto the lens, {wide} mm wide there"
        if np.all(v < 0):
            return f"diverging by {_span(-v)} D onto the bare lens, {wide} mm wide there"
        return f"vergence {_span(v)} D onto the lens (0 collimated, positive as in a model eye with an aberration-free cornea), {wide} mm wide there"


def _span(value: Any) -> str:
    low, high = float(np.min(value)), float(np.max(value))
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


class Pencil:
    """A system in a beam: lenses and beams of one flat shape, its paraxial image, and the rays through any points of the pupil."""

    def __init__(self, system: System, beam: Beam) -> None:
        image = paraxial_image(system, vergence_D=beam.vergence_D)
        try:
            self.shape = np.broadcast_shapes(np.shape(image.image_distance_mm), np.shape(beam.pupil_diameter_mm))
        except ValueError:
            raise InputError("the pupil's diameters do not go with the lenses: their arrays must broadcast", quantity="pupil_diameter_mm") from None
        self.system = system
        self.beam = beam
        self.paraxial = ParaxialImage(*(self.flat(a) for a in image))
        self.half_width = self.flat(beam.pupil_diameter_mm) / 2.0
        self.n_image = self.flat(system.indices[-1])

    def flat(self, a: Any) -> FloatArray:
        """A value of each lens.

        Raises
        ------
        InputError
            for an array that does not go with the lenses.
        """
        try:
            return np.broadcast_to(np.asarray(a, dtype=np.float64), self.shape).ravel()
        except ValueError:
            raise InputError(
                f"an array of shape {np.shape(a)} does not go with lenses of shape {self.shape}: for several wavelengths give the lens its index at "
                "each of them, as an array",
            ) from None

    def some(self, which: Any) -> Pencil:
        """The same for some of the lenses, counted flat."""

        def of(a: Any) -> FloatArray:
            return np.asarray(self.flat(a)[which])

        placed = ("radius_mm", "conic", "shift_x_mm", "shift_y_mm", "shift_z_mm", "tilt_x_deg", "tilt_y_deg")
        surfaces = [
            replace(s, aspheric={p: of(a) for p, a in s.aspheric.items()}, **{name: of(getattr(s, name)) for name in placed})
            for s in self.system.surfaces
        ]
        system = System(surfaces, [of(n) for n in self.system.indices], [of(d) for d in self.system.distances_mm])
        added = {order: of(coefficient) for order, coefficient in self.beam.added_zernike_um.items()}
        return Pencil(system, Beam(2.0 * self.half_width[which], of(self.beam.vergence_D), added))

    def rays(self, x: FloatArray, y: FloatArray) -> Traced:
        """Rays through points of the unit pupil, (lens, point) or (point); all must arrive.

        Raises
        ------
        InputError
            with how many did not, and why.
        """
        wide = [self._heights(a) for a in (x, y)]
        traced = trace(self.system, x_mm=wide[0], y_mm=wide[1], vergence_D=np.broadcast_to(self.beam.vergence_D, self.shape))
        lost = np.asarray(traced.fate) != 0
        if lost.any():
            first = np.argmax(lost)
            fate, at = Fate(int(np.ravel(traced.fate)[first])), int(np.ravel(traced.failed_at)[first])
            words = {Fate.MISSED: "misses", Fate.REFLECTED: "is totally reflected at", Fate.NOT_FOUND: "finds no point on"}
            raise InputError(
                f"pupil_diameter_mm = {_span(self.beam.pupil_diameter_mm)} mm: {lost.sum()} of {counted(lost.size, 'ray')} "
                f"{'is' if lost.sum() == 1 else 'are'} lost, the first {words[fate]} surface {at}; "
                "make the pupil smaller",
                quantity="pupil_diameter_mm", value=self.beam.pupil_diameter_mm,
            )  # fmt: skip
        many = traced.x_mm.shape[-1]
        flat = Traced(*(np.reshape(a, (len(self.half_width), many)) for a in traced))
        for n, coefficient in self.beam.added_zernike_um.items():
            # a wavefront that runs ahead has the shorter path; µm to mm
            flat = flat._replace(optical_path_mm=flat.optical_path_mm - 1e-3 * self.flat(coefficient)[:, None] * zernike(n, 0, x, y))
        return flat

    def _heights(self, a: FloatArray) -> FloatArray:
        heights = self.half_width[:, None] * a
        return np.asarray(heights.reshape(*self.shape, *heights.shape[1:]))

    def rays_alone(self) -> None:
        """Refuses what looks at the rays' directions where a wavefront was added, which moves none of them."""
        if self.beam.added_zernike_um:
            raise InputError(
                "added_zernike_um: a spot, and the plane of the least one, follow the rays alone, which know nothing of an added wavefront; take "
                "the plane 'least_wavefront', 'paraxial' or a shift in mm",
                quantity="added_zernike_um",
            )

    def real_image(self) -> None:
        """Refuses an image that no plane can catch: none at a finite distance, or one in front of the last vertex."""
        distance = self.paraxial.image_distance_mm
        if not np.all(np.isfinite(distance) & (distance > 0)):
            raise InputError(
                f"vergence_D = {_span(self.beam.vergence_D)} D: this beam has no real image behind the lens, so there is no plane to judge it in; "
                "give it a beam that converges more, as in a model eye",
                quantity="vergence_D", value=self.beam.vergence_D,
            )  # fmt: skip
