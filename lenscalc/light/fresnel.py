"""What a surface between two clear media reflects and lets through: Fresnel's equations."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.light.limits import ANGLE, INDEX
from lenscalc.quantities import as_given, numbers, within


class Fresnel(NamedTuple):
    """Fractions of the power, polarised across (s) and along (p) the plane of incidence, and unpolarised."""

    reflectance_s: Any
    reflectance_p: Any
    reflectance: Any
    transmittance_s: Any
    transmittance_p: Any
    transmittance: Any


def fresnel_of(n1: Any, n2: Any, cosine1: Any, cosine2: Any) -> Fresnel:
    """The body: cosines of incidence and refraction. Plain arithmetic, no checks."""
    # r_s = (n1 cos θ1 − n2 cos θ2)/(n1 cos θ1 + n2 cos θ2), r_p = (n2 cos θ1 − n1 cos θ2)/(n2 cos θ1 + n1 cos θ2), t = 2 n1 cos θ1/(same);
    # T = (n2 cos θ2)/(n1 cos θ1)·t², written out: R + T = 1 is then a check and not a definition, and grazing light is not 0/0. The numerators of
    # r_s and r_p are differences of squares by Snell's law, (n1² − n2²)/sum and (n2² − n1²)(cos² θ1 − sin² θ2)/sum: nearly equal indices keep digits.
    # Both are squared, so their signs say nothing
    a, b, c, d = n1 * cosine1, n2 * cosine2, n2 * cosine1, n1 * cosine2
    step = (n1 - n2) * (n1 + n2)
    rs, rp = step / ((a + b) * (a + b)), step * (cosine1 * cosine1 + cosine2 * cosine2 - 1.0) / ((c + d) * (c + d))
    Rs, Rp = rs * rs, rp * rp
    Ts, Tp = 4.0 * a * b / ((a + b) * (a + b)), 4.0 * a * b / ((c + d) * (c + d))
    return Fresnel(Rs, Rp, (Rs + Rp) / 2.0, Ts, Tp, (Ts + Tp) / 2.0)


def fresnel(n1: Any, n2: Any, angle_deg: Any = 0.0) -> Fresnel:
    """Reflectance and transmittance of a bare, smooth surface for light from n1 into n2 at an angle of incidence.

    Beyond the critical angle everything is reflected: reflectance 1, transmittance 0. Not for coated, absorbing or rough surfaces.

    Accuracy: 5e-15 relative (p at Brewster's angle: to normal incidence), over steps of index from 1e-9, grazing light to 1e-9 of a degree.

    Parameters
    ----------
    n1, n2 : float or array
        indices before and behind, on one basis.
    angle_deg : float or array [°]
        between the ray and the normal, 0 to 90.

    Returns
    -------
    Fresnel
        fractions of the power; reflectance + transmittance is 1.

    Raises
    ------
    InputError
        for values outside the hard limits, or text.

    References
    ----------
    Fresnel's equations; any text of optics (Hecht, Optics, 4.6; from memory, to be confirmed against the text).

    Examples
    --------
    >>> round(fresnel(1.0, 1.5).reflectance, 6)
    0.04
    >>> round(fresnel(1.336, 1.49).reflectance, 6)           # a lens in the aqueous: hardly anything
    0.00297
    >>> fresnel(1.49, 1.0, 60.0).reflectance
    1.0
    """
    a, b, angle = numbers(n1=within(INDEX, n1, "n1"), n2=within(INDEX, n2, "n2"), angle_deg=within(ANGLE, angle_deg))
    cosine1 = np.sin(np.deg2rad(90.0 - angle))  # of grazing light as exact as the angle, and 0 at 90°
    sine = np.sin(np.deg2rad(angle))
    square2 = cosine1 * cosine1 + (b - a) * (b + a) / (b * b) * sine * sine  # 1 − sin² θ2, which grazing light between near indices leaves no digits
    through = square2 > 0.0
    cosine2 = np.sqrt(np.maximum(square2, 0.0))
    with np.errstate(invalid="ignore", divide="ignore"):
        found = fresnel_of(a, b, cosine1, cosine2)
    parts = [np.where(through, part, 1.0 if i < 3 else 0.0) for i, part in enumerate(found)]
    return Fresnel(*(as_given(p) for p in parts))


def normal_reflectance_of(n1: Any, n2: Any) -> Any:
    """The body at normal incidence: ((n1 − n2)/(n1 + n2))². Plain arithmetic, no checks."""
    r = (n1 - n2) / (n1 + n2)
    return r * r


def double_reflectance_of(n1: Any, n2: Any, n3: Any) -> Any:
    """The body of the double reflection, (1 − R1)·R2·R1·(1 − R2). Plain arithmetic, no checks."""
    front = normal_reflectance_of(n1, n2)
    back = normal_reflectance_of(n2, n3)
    return (1.0 - front) * back * front * (1.0 - back)


def normal_reflectance(n1: Any, n2: Any) -> Any:
    """Reflectance at normal incidence: ((n1 − n2)/(n1 + n2))². Textbook.

    Accuracy: 6e-16 relative, over indices 1 to 2, equal ones and steps of 1e-9 among them.

    >>> round(normal_reflectance(1.0, 1.5), 6)
    0.04
    """
    a, b = numbers(n1=within(INDEX, n1, "n1"), n2=within(INDEX, n2, "n2"))
    return as_given(normal_reflectance_of(a, b))


def double_reflectance(n_before: Any, n_between: Any, n_behind: Any) -> Any:
    """Part of the light that crosses a lens after one reflection at its back and one at its front surface, at normal incidence: T1·R2·R1·T2.

    The ghost image beside the true one; further reflections are left out. Rises with about the fourth power of the index step.

    Accuracy: 2e-15 relative, over indices 1 to 1.7.

    >>> round(double_reflectance(1.336, 1.49, 1.336) * 1e6, 2)            # millionths, in the aqueous
    8.77
    """
    given = {"n_before": n_before, "n_between": n_between, "n_behind": n_behind}
    return as_given(double_reflectance_of(*numbers(**{name: within(INDEX, n, name) for name, n in given.items()})))
