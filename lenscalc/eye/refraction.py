"""What an implant's power does to the refraction, by vergence from the retina back to the spectacle plane."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.eye.schematic import TEACHING_EYE, SchematicEye
from lenscalc.light import vergence_upstream
from lenscalc.quantities import as_given, quantity, within


class Refraction(NamedTuple):
    """Refraction at the spectacle plane [D] with the vergences on the way, from the retina outwards [D]."""

    refraction_D: Any
    ocular_refraction_D: Any
    behind_implant_D: Any
    before_implant_D: Any
    behind_cornea_D: Any
    d_refraction_d_power: Any


def refraction_of(P: Any, K: Any, L: Any, d: Any, n: Any, v: Any) -> Refraction:
    """The body. Light that ends on the retina, followed backwards; plain arithmetic, no checks.

    Accuracy: 2e-15 relative to the cornea's power, over −10 to 60 D.
    """
    behind = 1000.0 * n / (L - d)
    before = behind - P
    cornea = vergence_upstream(before, d, n)
    ocular = cornea - K
    spectacle = vergence_upstream(ocular, v, 1.0)
    # each step upstream, L/(1 + δL), has the derivative 1/(1 + δL)²
    a = 1.0 + d / (1000.0 * n) * before
    b = 1.0 + v / 1000.0 * ocular
    return Refraction(spectacle, ocular, behind, before, cornea, -1.0 / (a * a * b * b))


def refraction(power_D: Any, *, eye: SchematicEye = TEACHING_EYE) -> Refraction:
    """Spectacle refraction of a schematic eye with a thin implant of this power at its plane.

    For teaching and for judging an error; never for a person. A stronger implant makes the refraction more negative.

    Accuracy: 2e-15 relative to the cornea's power (its slope: to itself), over −10 to 60 D.

    Parameters
    ----------
    power_D : float or array [D]
        equivalent power of the implant in the eye's medium.
    eye : SchematicEye

    Returns
    -------
    Refraction
        with the intermediate vergences and dR/dP.

    Raises
    ------
    InputError
        for values outside their limits, or a power so strong that the light meets a focus inside the eye first.

    References
    ----------
    Vergence, step along; any text of visual optics. Checked against a ray trace by an independent library.

    Examples
    --------
    >>> r = refraction(20.855)
    >>> round(r.refraction_D, 3) + 0.0, round(r.d_refraction_d_power, 3)
    (0.0, -0.704)
    """
    P = within(quantity("power_D"), power_D)
    try:
        with np.errstate(divide="raise"):
            result = refraction_of(as_given(P), *eye)
        in_front = bool(np.all(comes_from_in_front(result, eye)))
    except ArithmeticError:  # a focus in the plane of the cornea or of the spectacles
        in_front = False
    if not in_front:
        raise InputError(f"power_D = {power_D} D: so strong that no light from in front of the eye reaches its retina in focus", quantity="power_D")
    return result


def comes_from_in_front(r: Refraction, eye: SchematicEye) -> Any:
    """Whether the light that ends on the retina has met no focus between spectacles and implant; beyond it the sign of a refraction turns.

    >>> bool(comes_from_in_front(refraction_of(400.0, *TEACHING_EYE), TEACHING_EYE))
    False
    """
    at_cornea = 1.0 + eye.implant_depth_mm / (1000.0 * eye.n_medium) * r.before_implant_D
    at_spectacles = 1.0 + eye.vertex_distance_mm / 1000.0 * r.ocular_refraction_D
    return (at_cornea > 0) & (at_spectacles > 0)


def shift_of(P: Any, slope: Any, label: Any, label_slope: Any) -> Any:
    """The body: R(P) − R(label) from the derivatives at both. R is a quotient of two linear functions of P, so this is exact; no digits are lost.

    Accuracy: 8e-16 relative, over differences from 1e-9 D.
    """
    return (label - P) * (slope * label_slope) ** 0.5


def refraction_shift_D(power_D: Any, labelled_power_D: Any, *, eye: SchematicEye = TEACHING_EYE) -> Any:
    """Refraction with this power minus refraction with the labelled power, at the spectacle plane [D].

    Accuracy: 8e-16 relative, over differences from 1e-9 D.

    >>> round(refraction_shift_D(21.0, 20.5), 2)          # half a dioptre too strong: more myopic
    -0.35
    """
    with_power, with_label = (np.asarray(refraction(P, eye=eye).d_refraction_d_power) for P in (power_D, labelled_power_D))
    power, label = (np.asarray(P, dtype=np.float64) for P in (power_D, labelled_power_D))
    return as_given(shift_of(power, with_power, label, with_label))
