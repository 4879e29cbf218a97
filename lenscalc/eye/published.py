"""Schematic eyes as they were published; nobody's eye.

Files: `lenscalc/eye/eyes/*.toml`, one a paper. An eye's cornea, media and length serve; its crystalline lens can give way to an implant.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any, NamedTuple

from lenscalc.errors import UnknownNameError
from lenscalc.eye.light_path import CardinalPoints, Plane, cardinal_points_of

VERTEX_DISTANCE_MM = 12.0  # spectacles before the cornea: common practice, no source
_SLICES = 200  # of each layer of a gradient lens; the power of the whole eye then stands within 1e-5 D


class Surface(NamedTuple):
    """One surface of an eye: radius [mm], index behind it, way to the next surface of the same organ [mm], 0 for the last."""

    radius_mm: float
    n_behind: float
    thickness_mm: float = 0.0


class Layer(NamedTuple):
    """A layer of a gradient lens: thickness [mm], index on the axis as a polynomial in z [mm], and the coefficient of r² [1/mm²]."""

    thickness_mm: float
    n_axis: tuple[float, ...]
    radial_per_mm2: float


@dataclass(frozen=True, eq=False)
class PublishedEye:
    """A published schematic eye: cornea, lens, media, length; `source` in words, `seen` as in the reference cases.

    `lens_depth_mm` is from the front of the cornea to the front of the crystalline lens; there the iris is taken to be as well.
    """

    key: str
    name: str
    source: str
    seen: str
    cornea: tuple[Surface, ...]
    lens_depth_mm: float
    lens: tuple[Surface, ...]
    gradient: tuple[Layer, ...]
    axial_length_mm: float
    note: str | None = None

    @property
    def n_aqueous(self) -> float:
        """Index behind the cornea."""
        return self.cornea[-1].n_behind

    @property
    def n_vitreous(self) -> float:
        """Index between lens and retina."""
        return self.lens[-1].n_behind

    @property
    def cornea_thickness_mm(self) -> float:
        """From the front of the cornea to its back; 0 where it is one surface."""
        return sum(s.thickness_mm for s in self.cornea)

    @property
    def lens_thickness_mm(self) -> float:
        """From the front of the crystalline lens to its back; 0 where it is thin."""
        return sum(s.thickness_mm for s in self.lens) + sum(x.thickness_mm for x in self.gradient)

    def planes(self) -> tuple[Plane, ...]:
        """The light's way through the eye with its own lens, from the cornea to the last surface."""
        depth = self.lens_depth_mm + self.lens_thickness_mm
        cornea = planes_of("cornea", self.cornea, 1.0, self.lens_depth_mm - self.cornea_thickness_mm)
        if not self.gradient:
            return (*cornea, *planes_of("lens", self.lens, self.n_aqueous, self.axial_length_mm - depth))
        front, back = self.lens
        inside = [slice_ for layer in self.gradient for slice_ in _slices(layer)]
        first, last = self.gradient[0].n_axis[0], _axis(self.gradient[-1], self.gradient[-1].thickness_mm)
        return (
            *cornea,
            Plane("front of the lens", 1000.0 * (first - self.n_aqueous) / front.radius_mm, 0.0, first),
            *inside,
            Plane("back of the lens", 1000.0 * (back.n_behind - last) / back.radius_mm, self.axial_length_mm - depth, back.n_behind),
        )

    def cardinal_points(self) -> CardinalPoints:
        """Power and cardinal points of the eye with its own lens, from the front of the cornea.

        >>> points = published_eye("le_grand_full").cardinal_points()
        >>> round(points.power_D, 2), round(points.back_principal_point_mm, 3), round(points.back_focal_point_mm, 3)
        (59.94, 1.908, 24.197)
        """
        return cardinal_points_of(self.planes())


def planes_of(organ: str, surfaces: tuple[Any, ...], n_before: Any, distance_mm: Any) -> list[Plane]:
    """Surfaces as planes; `distance_mm` follows the last one."""
    names = [organ] if len(surfaces) == 1 else [f"front of the {organ}", *[f"inside the {organ}"] * (len(surfaces) - 2), f"back of the {organ}"]
    found = []
    for i, (name, s) in enumerate(zip(names, surfaces, strict=True)):
        way = s.thickness_mm if i < len(surfaces) - 1 else distance_mm
        found.append(Plane(name, 1000.0 * (s.n_behind - n_before) * (1.0 / s.radius_mm), way, s.n_behind))
        n_before = s.n_behind
    return found


def _axis(layer: Layer, z: float) -> float:
    return sum(c * z**i for i, c in enumerate(layer.n_axis))


def _slices(layer: Layer) -> list[Plane]:
    """A gradient layer as thin lenses: d(n·dy/dz)/dz = 2·ρ·y, the power of each standing in its middle (paraxial ray equation)."""
    dz = layer.thickness_mm / _SLICES
    half, found = dz / 2.0, []
    for i in range(_SLICES):
        z = i * dz
        found.append(Plane("inside the lens", 0.0, half, _axis(layer, z + half / 2.0)))
        found.append(Plane("inside the lens", -2000.0 * layer.radial_per_mm2 * dz, half, _axis(layer, z + 1.5 * half)))
    return found


def published_eye(key: str) -> PublishedEye:
    """The schematic eye of this key, such as `le_grand_full`.

    Raises
    ------
    UnknownNameError
        with the nearest key.

    >>> eye = published_eye("navarro_1985")
    >>> eye.axial_length_mm, eye.n_aqueous, eye.source.split(",")[0]
    (24.00398, 1.3374, 'Navarro')
    """
    known = published_eyes()
    if key not in known:
        raise UnknownNameError(str(key), known, what="schematic eye")
    return known[key]


@cache
def published_eyes() -> Mapping[str, PublishedEye]:
    """Every published eye by its key, in the order of the keys.

    >>> len(published_eyes()) >= 6
    True
    """
    shelf: Traversable = files("lenscalc.eye") / "eyes"
    found = {}
    for file in sorted((f for f in shelf.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        source = data["source"]
        words = f"{source['authors']}, {source['title']} ({source['year']}); {source['seen']}: {source['read_in']}"
        for key, eye in data["eye"].items():
            found[key] = PublishedEye(
                key, eye["name"], words, source["seen"], _surfaces(eye["cornea"]), eye["lens_depth_mm"], _surfaces(eye["lens"]),
                tuple(Layer(x["thickness_mm"], tuple(x["n_axis"]), x["radial_per_mm2"]) for x in eye.get("gradient", ())),
                eye["axial_length_mm"], eye.get("note"),
            )  # fmt: skip
    return dict(sorted(found.items()))


def _surfaces(rows: list[dict[str, float]]) -> tuple[Surface, ...]:
    return tuple(Surface(**row) for row in rows)
