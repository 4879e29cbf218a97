"""A refracting surface: conic with even aspheric terms, perhaps out of its place; and a row of them with the media between.

Sign: light travels +z; a radius is positive when its centre of curvature lies behind the surface.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import prod
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.limits import CONIC, DISTANCE, HEIGHT, INDEX, RADIUS, SHIFT, TILT
from lenscalc.light.sag import aspheric_sag_mm, checked_terms
from lenscalc.quantities import FloatArray, within

HIGHEST_POWER = 30  # of the height


@dataclass(frozen=True, eq=False)
class Surface:
    """One surface: sag = ch²/(1 + √(1 − (1 + k)c²h²)) + Σ A_i h^i, c = 1/radius, k the conic constant, i = 4, 6, 8, …

    `aspheric` maps the power of the height to its coefficient: {4: A4 [mm⁻³], 6: A6 [mm⁻⁵]}. A term in h² would change the paraxial power and is
    refused; odd powers have a corner on the axis and are refused too. Numbers are one lens, arrays many. The vertex may be shifted from where it
    belongs; the surface is then turned about x through its vertex, and about the y that turned with it (right-handed).

    Conic form with even powers: as in any text of lens design; diffractive and gradient-index surfaces are not in it.

    >>> float(Surface(15.0, conic=-1.0).sag_mm(3.0))          # a paraboloid: h²/2R
    0.3
    >>> Surface(15.0, aspheric={2: 1e-4})
    Traceback (most recent call last):
    lenscalc.errors.InputError: aspheric term of power 2: terms start at 4; one in h² changes the paraxial power: put it into the radius
    """

    radius_mm: Any = np.inf
    conic: Any = 0.0
    aspheric: Mapping[int, Any] = field(default_factory=dict)
    shift_x_mm: Any = 0.0
    shift_y_mm: Any = 0.0
    shift_z_mm: Any = 0.0
    tilt_x_deg: Any = 0.0
    tilt_y_deg: Any = 0.0

    def __post_init__(self) -> None:
        for power in checked_terms(self.aspheric):
            if power > HIGHEST_POWER:
                raise InputError(f"aspheric term of power {power}: the highest is {HIGHEST_POWER}", quantity="aspheric", value=power)
        within(RADIUS, self.radius_mm)
        within(CONIC, self.conic)
        for name in ("shift_x_mm", "shift_y_mm", "shift_z_mm"):
            within(SHIFT, getattr(self, name), name)
        for name in ("tilt_x_deg", "tilt_y_deg"):
            within(TILT, getattr(self, name), name)

    @property
    def is_moved(self) -> bool:
        """Whether it is out of its place."""
        places = (self.shift_x_mm, self.shift_y_mm, self.shift_z_mm, self.tilt_x_deg, self.tilt_y_deg)
        return any(np.any(np.asarray(place) != 0) for place in places)

    def sag_mm(self, height_mm: Any) -> Any:
        """Sag at a height, nan beyond the conic's own edge; arrays of lenses and of heights broadcast."""
        return aspheric_sag_mm(within(RADIUS, self.radius_mm), height_mm, conic=self.conic, aspheric=self.aspheric)


class Row(NamedTuple):
    """A system's numbers, lenses flat: (surface, lens) arrays, the last distance 0; `asphere` and `move` hold None where there is none."""

    shape: tuple[int, ...]
    curvature: FloatArray
    conic: FloatArray
    indices: FloatArray
    distances: FloatArray
    asphere: tuple[tuple[tuple[int, FloatArray], ...] | None, ...]
    move: tuple[FloatArray | None, ...]


@dataclass(frozen=True, eq=False)
class System:
    """Surfaces in the order of the light, the indices before, between and behind them, and the distances from vertex to vertex [mm].

    Indices are on one basis (default throughout: relative to air). Numbers are one lens; arrays of one shape, or that broadcast, are many.

    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> System([Surface(15.0), Surface(-15.0)], [1.336, 1.49], [0.9])
    Traceback (most recent call last):
    lenscalc.errors.InputError: give one index more than surfaces and one distance less: got surfaces 2, indices 2, distances_mm 1
    """

    surfaces: Sequence[Surface]
    indices: Sequence[Any]
    distances_mm: Sequence[Any] = ()

    def __post_init__(self) -> None:
        many = len(self.surfaces)
        if not many or not all(isinstance(s, Surface) for s in self.surfaces):
            raise InputError("surfaces: must be a sequence of Surface, at least one", quantity="surfaces")
        if len(self.indices) != many + 1 or len(self.distances_mm) != many - 1:
            raise InputError(
                "give one index more than surfaces and one distance less: got "
                f"surfaces {many}, indices {len(self.indices)}, distances_mm {len(self.distances_mm)}",
                quantity="indices",
            )
        self.row()

    def row(self) -> Row:
        """The numbers, checked, broadcast and flat over the lenses."""
        index = [within(INDEX, n, f"indices[{i}]") for i, n in enumerate(self.indices)]
        distance = [within(DISTANCE, d, f"distances_mm[{i}]") for i, d in enumerate(self.distances_mm)]
        radius = [within(RADIUS, s.radius_mm) for s in self.surfaces]
        conic = [within(CONIC, s.conic) for s in self.surfaces]
        terms = [[(p, np.asarray(a, dtype=np.float64)) for p, a in sorted(s.aspheric.items())] for s in self.surfaces]
        moves = [_move(s) if s.is_moved else None for s in self.surfaces]
        try:
            shape = np.broadcast_shapes(
                *(np.shape(a) for a in (*index, *distance, *radius, *conic)),
                *(np.shape(a) for surface in terms for _, a in surface),
                *(np.shape(m)[:-1] for m in moves if m is not None),
            )
        except ValueError:
            raise InputError("columns of different lengths cannot be combined: the arrays of a system must broadcast", quantity="surfaces") from None

        many = prod(shape)

        def flat(a: FloatArray) -> FloatArray:
            return np.broadcast_to(a, shape).ravel()

        return Row(
            shape,
            1.0 / np.array([flat(r) for r in radius]),
            np.array([flat(k) for k in conic]),
            np.array([flat(n) for n in index]),
            np.array([flat(d) for d in (*distance, np.zeros(()))]),
            tuple(tuple((p, flat(a)) for p, a in surface) or None for surface in terms),
            tuple(None if m is None else np.broadcast_to(m, (*shape, 12)).reshape(many, 12) for m in moves),
        )


def _move(s: Surface) -> FloatArray:
    """The twelve numbers of a move: the matrix that turns the surface's own axes into the system's, row by row, then the shift."""
    a, b = np.deg2rad(np.asarray(s.tilt_x_deg, dtype=np.float64)), np.deg2rad(np.asarray(s.tilt_y_deg, dtype=np.float64))
    ca, sa, cb, sb = np.cos(a), np.sin(a), np.cos(b), np.sin(b)
    # about x, then about the y that turned with it: X(a)·Y(b)
    numbers = (cb, 0.0, sb, sa * sb, ca, -sa * cb, -ca * sb, sa, ca * cb, s.shift_x_mm, s.shift_y_mm, s.shift_z_mm)
    return np.stack(np.broadcast_arrays(*numbers), axis=-1).astype(np.float64)


def moved(
    system: System,
    *,
    shift_x_mm: Any = 0.0,
    shift_y_mm: Any = 0.0,
    tilt_x_deg: Any = 0.0,
    tilt_y_deg: Any = 0.0,
    pivot_mm: Any = 0.0,
) -> System:
    """The whole row of surfaces decentred and tilted as one body; the beam and the image plane stay where they are.

    Turned about x, and about the y that turned with it, through the point `pivot_mm` behind the first vertex on the axis; then shifted.

    Raises
    ------
    InputError
        where a surface is out of its place already.

    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> [float(s.shift_y_mm) for s in moved(lens, shift_y_mm=0.5).surfaces]
    [0.5, 0.5]
    >>> [round(float(s.shift_y_mm), 6) for s in moved(lens, tilt_x_deg=5.0).surfaces]      # the back vertex swings about the front one
    [0.0, -0.07844]
    """
    if any(s.is_moved for s in system.surfaces):
        raise InputError("a surface of this system is shifted or tilted already: move the surfaces one by one", quantity="surfaces")
    a, b = np.deg2rad(within(TILT, tilt_x_deg, "tilt_x_deg")), np.deg2rad(within(TILT, tilt_y_deg, "tilt_y_deg"))
    pivot, shift_x, shift_y = within(HEIGHT, pivot_mm, "pivot_mm"), within(SHIFT, shift_x_mm, "shift_x_mm"), within(SHIFT, shift_y_mm, "shift_y_mm")
    z: Any = 0.0
    surfaces = []
    for s, gap in zip(system.surfaces, (0.0, *system.distances_mm), strict=True):
        z = z + np.asarray(gap, dtype=np.float64)
        arm = z - pivot
        surfaces.append(
            Surface(
                s.radius_mm, s.conic, s.aspheric,
                shift_x_mm=shift_x + arm * np.sin(b),
                shift_y_mm=shift_y - arm * np.sin(a) * np.cos(b),
                shift_z_mm=arm * (np.cos(a) * np.cos(b) - 1.0),
                tilt_x_deg=tilt_x_deg,
                tilt_y_deg=tilt_y_deg,
            )
        )  # fmt: skip
    return System(surfaces, system.indices, system.distances_mm)
