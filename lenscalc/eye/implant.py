"""A published schematic eye whose crystalline lens has given way to an implant, thick or thin, at a given plane."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.eye.light_path import LightPath, Plane, light_path_of
from lenscalc.eye.published import VERTEX_DISTANCE_MM, PublishedEye, Surface, planes_of
from lenscalc.quantities import as_given, as_number, checked, complaint, in_numbers, is_numeric, numbers, quantity, within

DEPTH_MM = 4.5  # front vertex of the implant behind the front of the cornea: a round number in the middle of what texts print
LONGER_MM, STEEPER_D, DEEPER_MM = 4.0, 8.0, 2.0  # how far a departure from a published eye may go: beyond, it is another eye


class Implanted(NamedTuple):
    """The implant and the stated departures of the eye around it, all as numbers or arrays.

    Radii, thickness [mm], index; depth of the front vertex behind the front of the cornea [mm]; how much longer the eye is [mm] and its cornea
    steeper [D] than published; indices in front of and behind the implant; spectacles before the cornea [mm].
    """

    front_radius_mm: Any
    back_radius_mm: Any
    center_thickness_mm: Any
    n_lens: Any
    depth_mm: Any
    longer_mm: Any
    steeper_D: Any
    n_aqueous: Any
    n_vitreous: Any
    vertex_distance_mm: Any

    def in_numbers(self) -> Implanted:
        """Itself; refuses an entry that is no number, by its name."""
        return self if all(map(is_numeric, self)) else Implanted(*map(in_numbers, self._fields, self))


def implanted(
    eye: PublishedEye,
    *,
    front_radius_mm: Any,
    back_radius_mm: Any,
    center_thickness_mm: Any,
    n_lens: Any,
    deeper_mm: Any = 0.0,
    longer_mm: Any = 0.0,
    steeper_D: Any = 0.0,
    n_aqueous: Any = None,
    n_vitreous: Any = None,
) -> Implanted:
    """An implant of these dimensions in use, its front vertex 4.5 mm behind the front of the cornea.

    Not for a person: the eye is a published one, and what may be stated are departures from it.

    Parameters
    ----------
    eye : PublishedEye
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens : float or array
        as for `thick_lens`; [mm]; index on the basis of the media.
    deeper_mm, longer_mm : float or array [mm]
        implant deeper by this (at most 2), eye longer by this (at most 4); negative: shallower, shorter.
    steeper_D : float or array [D]
        power added to the front of the cornea (at most 8).
    n_aqueous, n_vitreous : float or array, optional
        in front of and behind the implant; without them the eye's own.

    Returns
    -------
    Implanted

    Raises
    ------
    InputError
        for dimensions outside their limits, departures that are too large, an implant that leaves less than 1 mm to the retina.

    Examples
    --------
    >>> from lenscalc.eye import published_eye
    >>> s = implanted(published_eye("le_grand_full"), front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49, deeper_mm=0.2)
    >>> s.depth_mm, s.n_aqueous, s.n_vitreous
    (4.7, 1.3374, 1.336)
    """
    lens = {"front_radius_mm": front_radius_mm, "back_radius_mm": back_radius_mm, "center_thickness_mm": center_thickness_mm, "n_lens": n_lens}
    checked(**lens)
    given = {name: as_given(as_number(name, value)) for name, value in lens.items()}
    for name, value, own in (("n_aqueous", n_aqueous, eye.n_aqueous), ("n_vitreous", n_vitreous, eye.n_vitreous)):
        given[name] = own if value is None else as_given(within(quantity("n_medium"), value, name))
    for name, value, most, unit in (
        ("deeper_mm", deeper_mm, DEEPER_MM, "mm"), ("longer_mm", longer_mm, LONGER_MM, "mm"), ("steeper_D", steeper_D, STEEPER_D, "D"),
    ):  # fmt: skip
        given[name] = _within(name, value, most, unit)
    try:
        np.broadcast_shapes(*(np.shape(x) for x in given.values()))
    except ValueError:
        lengths = ", ".join(f"{name} {np.shape(x)}" for name, x in given.items() if np.shape(x))
        raise InputError(f"columns of different lengths cannot be combined: {lengths}") from None
    depth = DEPTH_MM + given.pop("deeper_mm")
    s = Implanted(**given, depth_mm=depth, vertex_distance_mm=VERTEX_DISTANCE_MM)
    if np.any(room_behind_mm(eye, s) < 1.0):
        raise InputError(
            f"center_thickness_mm = {center_thickness_mm} mm: the implant reaches the retina of {eye.name}", quantity="center_thickness_mm"
        )
    return s


def thin_implanted(eye: PublishedEye, power_D: Any, *, n_lens: Any = 1.49, **departures: Any) -> Implanted:
    """A thin biconvex implant that has this power in a medium of 1.336, as labels have it; in an eye of other media it has a little less or more.

    `departures` as in `implanted`. A power of 0 is a window.

    Raises
    ------
    InputError
        as `implanted`; for the medium's own index, in which no curvature has a power.

    >>> from lenscalc.eye import implant_path, published_eye
    >>> eye = published_eye("bennett_rabbetts")
    >>> shift = implant_path(eye, thin_implanted(eye, 21.0)).refraction_D - implant_path(eye, thin_implanted(eye, 20.5)).refraction_D
    >>> round(float(shift), 2)
    -0.39
    """
    wrong = [w for w in (complaint(quantity("power_D"), float(x)) for x in np.ravel(as_number("power_D", power_D))) if w]
    if wrong:
        raise InputError(wrong[0], quantity="power_D")
    index = as_number("n_lens", n_lens)
    if np.any(index == N_MEDIUM_IN_USE):
        raise InputError(f"n_lens = {N_MEDIUM_IN_USE:g} is the medium's own: such a lens has no power", quantity="n_lens")
    with np.errstate(divide="ignore"):
        radius = as_given(2000.0 * (index - N_MEDIUM_IN_USE) / np.asarray(power_D, dtype=np.float64))
    limits = quantity("front_radius_mm")
    sizes = np.ravel(np.abs(radius))
    beyond = (sizes < limits.lower) | (np.isfinite(sizes) & (sizes > limits.upper))
    if np.any(beyond):
        worst = float(sizes[beyond][0])
        told = f"power_D = {power_D} D with n_lens = {n_lens}: its radii would be {worst:.3g} mm, and must be {limits.limits_text}"
        raise InputError(told, quantity="power_D")
    return implanted(eye, front_radius_mm=radius, back_radius_mm=-radius, center_thickness_mm=0.0, n_lens=n_lens, **departures)


def room_behind_mm(eye: PublishedEye, s: Implanted) -> Any:
    """From the back of the implant to the retina [mm]."""
    return eye.axial_length_mm + s.longer_mm - s.depth_mm - s.center_thickness_mm


def planes_with_implant(eye: PublishedEye, s: Implanted) -> list[Plane]:
    """The body: spectacle plane, cornea, implant; plain arithmetic, no checks."""
    *outer, last = eye.cornea
    first, *others = planes_of("cornea", (*outer, last._replace(n_behind=s.n_aqueous)), 1.0, s.depth_mm - eye.cornea_thickness_mm)
    surfaces = (Surface(s.front_radius_mm, s.n_lens, s.center_thickness_mm), Surface(s.back_radius_mm, s.n_vitreous))
    implant = planes_of("implant", surfaces, s.n_aqueous, room_behind_mm(eye, s))
    return [Plane("spectacles", 0.0, s.vertex_distance_mm, 1.0), first._replace(power_D=first.power_D + s.steeper_D), *others, *implant]


def implant_path(eye: PublishedEye, s: Implanted) -> LightPath:
    """The light that ends on the retina, followed out to the spectacles, with every vergence on the way.

    Accuracy: 2e-15 relative to the cornea's power, over implants with radii 8 to 40 mm.

    Raises
    ------
    InputError
        if it meets a focus on the way: then no light from in front of the eye comes to the retina in focus.

    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> path = implant_path(eye, implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49))
    >>> for name, before, behind in zip(path.names, path.before_D, path.behind_D):
    ...     print(f"{name:<20} {before:8.3f} {behind:8.3f}")
    spectacles             -0.758   -0.758
    front of the cornea    -0.751   47.595
    back of the cornea     48.517   42.410
    front of the implant   48.482   58.656
    back of the implant    60.810   71.077
    """
    planes = planes_with_implant(eye, s.in_numbers())
    try:
        with np.errstate(divide="raise"):
            path = light_path_of(planes)
        in_front = all(np.all(h > 0) for h in path.heights)
    except ArithmeticError:  # a focus in one of the planes
        in_front = False
    if not in_front:
        raise InputError("the implant is so strong that no light from in front of the eye reaches its retina in focus", quantity="power_D")
    return path


def principal_heights(path: LightPath, planes: Sequence[Plane], front_principal_mm: Any) -> Any:
    """The ray's height at a plane `front_principal_mm` behind the implant's front vertex, as if the medium in front of it went on."""
    i = len(planes) - 2
    return path.heights[i] * (1.0 - front_principal_mm / (1000.0 * planes[i - 1].n_behind) * path.before_D[i])


def _within(name: str, value: Any, most: float, unit: str) -> Any:
    try:
        (departure,) = numbers(**{name: value})
    except InputError as error:
        raise InputError(f"{error}: must be -{most:g} to {most:g} {unit}", quantity=name, value=error.value) from None
    outside = ~(np.abs(departure) <= most)
    if np.any(outside):
        worst = float(departure[outside].flat[0])
        raise InputError(
            f"{name} = {worst:g} {unit}: must be -{most:g} to {most:g} {unit}, a departure from a published eye; is it the whole length or power?",
            quantity=name, value=worst, limits=(-most, most), unit=unit,
        )  # fmt: skip
    return as_given(departure)
