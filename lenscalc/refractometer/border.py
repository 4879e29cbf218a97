"""The border that a critical-angle instrument reads: where it stands in the prism, how it moves, how bright it is on either side.

The specimen lies on the prism; angles are counted inside the prism, from the normal of the face between them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.light import fresnel
from lenscalc.light.limits import ANGLE
from lenscalc.quantities import Quantity, as_given, quantity, within

Light = Literal["through", "reflected"]
LIGHTS = ("through", "reflected")
SPECIMEN = replace(quantity("n_reading"), label="index of the specimen", meaning="refractive index of what lies on the prism, relative to air")
PRISM = Quantity(
    "n_prism", "N", "", "index of the prism", "refractive index of the measuring prism at the line of the light, relative to air",
    1.0, 3.0, 1.5, 2.0, 5, "instrument", 0.01, mistakes=SPECIMEN.mistakes,
)  # fmt: skip


class Border(NamedTuple):
    """Critical angle inside the prism [°], and how far it moves for one unit of index [°]."""

    angle_deg: Any
    movement_deg_per_index: Any


def border_of(n: Any, N: Any) -> Border:
    """The body: θ_c = asin(n/N), written as an arctangent, which keeps its digits near 90°; dθ_c/dn = 1/√(N² − n²). No checks."""
    root = ((N - n) * (N + n)) ** 0.5
    return Border(np.rad2deg(np.arctan(n / root)), np.rad2deg(1.0 / root))


def border(n_reading: Any, n_prism: Any) -> Border:
    """Where the border stands in the prism, and how far it moves for one unit of index.

    Parameters
    ----------
    n_reading : float or array
        index of the specimen, relative to air, at the line of the light.
    n_prism : float or array
        of the prism, on the same basis and at the same line; it must be above the specimen's.

    Raises
    ------
    InputError
        for values outside their limits, and for a specimen that is not below the prism: there is no border.

    References
    ----------
    Snell's law for light that grazes the face; its derivative by hand.

    Accuracy: 1e-15 relative, over indices of 1.3 to 1.7 in a prism 1e-9 to 0.4 above them.

    >>> b = border(1.49, 1.75)
    >>> round(b.angle_deg, 3), round(b.movement_deg_per_index / 1000, 4)         # 0.001 of index is four minutes of arc
    (58.367, 0.0624)
    """
    n, N = _below(n_reading, n_prism)
    return Border(*(as_given(x) for x in border_of(n, N)))


def border_brightness(n_reading: Any, n_prism: Any, angle_deg: Any, *, light: Light = "through") -> Any:
    """How bright the field is in a direction inside the prism, as a part of what it would be if the face lost nothing.

    `through`: a broad source shines through the specimen into the prism. Brightness over the square of the index stays along a ray but for what
    the face reflects, and the face lets the same part through both ways; so the field is Fresnel's transmittance, and 0 beyond the border.
    `reflected`: a broad source shines through the prism onto the face, and the field is the reflectance, 1 beyond the border. Unpolarised light;
    not for absorbing or scattering specimens, whose border is blurred.

    Parameters
    ----------
    n_reading, n_prism : float or array
        as in `border`.
    angle_deg : float or array [°]
        inside the prism, from the normal of its face, 0 to 90.
    light : "through" or "reflected"

    Returns
    -------
    float or array
        0 to 1.

    Raises
    ------
    InputError
        for values outside their limits, another light, or a specimen that is not below the prism.

    References
    ----------
    Fresnel's equations (`lenscalc.light.fresnel`); conservation of n²-reduced radiance, any text of radiometry (from memory).

    >>> round(border_brightness(1.49, 1.75, 55.0), 3), border_brightness(1.49, 1.75, 60.0)
    (0.87, 0.0)
    >>> round(border_brightness(1.49, 1.75, 55.0, light="reflected"), 3), border_brightness(1.49, 1.75, 60.0, light="reflected")
    (0.13, 1.0)
    """
    if light not in LIGHTS:
        raise UnknownNameError(str(light), LIGHTS, what="light")
    n, N = _below(n_reading, n_prism)
    parts = fresnel(N, n, within(ANGLE, angle_deg))
    return parts.transmittance if light == "through" else parts.reflectance


def _below(n_reading: Any, n_prism: Any) -> tuple[Any, Any]:
    n, N = within(SPECIMEN, n_reading), within(PRISM, n_prism)
    bad = np.flatnonzero(np.atleast_1d(n >= N))
    if bad.size:
        worst, prism = (float(np.broadcast_to(x, np.broadcast_shapes(n.shape, N.shape)).flat[bad[0]]) for x in (n, N))
        raise InputError(
            f"n_prism = {prism:g}: must be above the specimen's index, {worst:g}; light then passes at every angle and there is no border to read",
            quantity="n_prism", value=prism,
        )  # fmt: skip
    return n, N
