"""The thick lens, paraxial: surface, equivalent and vertex powers, focal lengths, principal planes.

Sign: light travels +z; a radius is positive when its centre lies behind the surface (biconvex: front > 0, back < 0).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.quantities import as_number, checked, given_back


class Powers(NamedTuple):
    """Powers [D], focal lengths and planes [mm] of a thick lens; numbers or arrays of one shape."""

    power_D: Any
    front_surface_power_D: Any
    back_surface_power_D: Any
    front_vertex_power_D: Any
    back_vertex_power_D: Any
    equivalent_focal_length_mm: Any
    front_focal_length_mm: Any
    back_focal_length_mm: Any
    front_principal_plane_mm: Any
    back_principal_plane_mm: Any


def powers_of(R1: Any, R2: Any, t: Any, n: Any, m1: Any, m2: Any) -> Powers:
    """The body: radii and thickness in mm, media m1 in front and m2 behind. Plain arithmetic, no checks.

    Accuracy: 9e-15 relative, times (|F1| + |F2|)/|F| where the surfaces' powers cancel, over the hard limits.
    """
    # F1 = (n − m1)/R1, F2 = (m2 − n)/R2, F = F1 + F2 − (t/n)F1F2 (Gullstrand's equation)
    F1 = 1000.0 * (n - m1) / R1
    F2 = 1000.0 * (m2 - n) / R2
    T = t / (1000.0 * n)
    F = F1 + F2 - T * F1 * F2
    front = 1.0 - T * F2
    back = 1.0 - T * F1
    return Powers(
        F,
        F1,
        F2,
        F / front,
        F / back,
        1000.0 * m2 / F,
        -1000.0 * m1 * front / F,
        1000.0 * m2 * back / F,
        1000.0 * m1 * T * F2 / F,
        -1000.0 * m2 * T * F1 / F,
    )


def thick_lens(
    front_radius_mm: Any,
    back_radius_mm: Any,
    center_thickness_mm: Any,
    n_lens: Any,
    n_medium: Any = 1.336,
    n_medium_behind: Any = None,
) -> Powers:
    """Paraxial powers and cardinal points of a thick lens with spherical surfaces.

    Not for finite apertures (spherical aberration is not in it) nor for gradient-index or diffractive lenses. Vertex powers are both positive
    for a positive lens; the back vertex power is the reduced vergence n_behind/BFL. Planes are signed along +z from their own vertex.
    An afocal lens has infinite focal lengths.

    Accuracy: 9e-15 relative, times (|F1| + |F2|)/|F| where the surfaces' powers cancel, over the hard limits, n − m from 2e-16, plano, thin.

    Parameters
    ----------
    front_radius_mm, back_radius_mm : float or array [mm]
        signed radii; inf is plano, 0 is refused.
    center_thickness_mm : float or array [mm]
    n_lens : float or array
        index of the lens, on the same basis as the media (default throughout: relative to air).
    n_medium : float or array
        index around the lens, or in front of it; 1.336 by convention for a power in the eye.
    n_medium_behind : float or array, optional
        index behind, where it differs; nan means the same as in front.

    Returns
    -------
    Powers
        numbers where all arguments were numbers, arrays of the broadcast shape otherwise.

    Raises
    ------
    InputError
        for values outside the hard limits, or text.

    References
    ----------
    Gullstrand's equation; any text of geometrical optics. F = (n−m)(c1−c2) + (n−m)²·t·c1·c2/n for one medium.

    Examples
    --------
    >>> p = thick_lens(15, -15, 0.9, 1.49)
    >>> round(p.power_D, 6)
    20.469666
    >>> air_in_front = thick_lens(15, -15, 0.9, 1.49, n_medium=1.0, n_medium_behind=1.336)
    >>> round(air_in_front.power_D, 6), round(air_in_front.back_focal_length_mm, 6)
    (42.730756, 30.648619)
    """
    a, shape = checked_lens(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        powers = powers_of(*a)
    return Powers(*(given_back(x, shape) for x in powers))


def checked_lens(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, n_medium: Any, n_medium_behind: Any
) -> tuple[tuple[Any, ...], tuple[int, ...]]:
    """The six arguments of a lens, checked, broadcast and flat; the medium behind is the one in front where it is None or nan."""
    a, shape = checked(
        front_radius_mm=front_radius_mm,
        back_radius_mm=back_radius_mm,
        center_thickness_mm=center_thickness_mm,
        n_lens=n_lens,
        n_medium=n_medium,
        n_medium_behind=medium_behind(n_medium, n_medium_behind),
    )
    return tuple(a.values()), shape


def medium_behind(n_medium: Any, n_medium_behind: Any) -> Any:
    """The index behind a lens: the one in front where it is None or nan."""
    if n_medium_behind is None:
        return n_medium
    behind = as_number("n_medium_behind", n_medium_behind)
    try:
        return np.where(np.isnan(behind), as_number("n_medium", n_medium), behind)
    except ValueError:  # of different lengths, which `checked` tells
        return np.ones_like(behind)
