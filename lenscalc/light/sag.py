"""Sag of a surface: sphere, conic, even asphere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers

Aspheric = Mapping[int, Any]  # even power of the height → coefficient [mm^(1 − power)], from 4 on


def sag_mm(radius_mm: Any, height_mm: Any, conic: Any = 0.0) -> Any:
    """Sag of a conic at a height: h²c/(1 + √(1 − (1 + k)h²c²)), c = 1/R; plano gives 0, a height beyond the surface nan.

    Positive where the surface bends towards +z (positive radius). `conic` k: 0 sphere, −1 paraboloid, below −1 hyperboloid. Textbook; this form
    keeps its digits for long radii. Plain arithmetic, no checks.

    Accuracy: 6e-16 relative, over radii 0.1 to 1e7 mm and plano, conics −1000 to 5, heights to 0.999 of where the surface ends.

    >>> import numpy as np
    >>> round(float(sag_mm(np.float64(15.0), 3.0)), 6)
    0.303062
    >>> round(float(sag_mm(np.float64(15.0), 3.0, -1.0)), 6)      # a paraboloid: h²/2R
    0.3
    """
    c = 1.0 / radius_mm
    h2 = height_mm * height_mm
    return h2 * c / (1.0 + (1.0 - (1.0 + conic) * h2 * c * c) ** 0.5)


def aspheric_sag_mm(radius_mm: Any, height_mm: Any, *, conic: Any = 0.0, aspheric: Aspheric | None = None) -> Any:
    """Sag of an even asphere: the conic's sag and Σ a_p·h^p, p = 4, 6, 8 …; arrays or numbers, [mm].

    Accuracy: 6e-16 relative to the sum of its terms' magnitudes, over the domain of `sag_mm`.

    Raises
    ------
    InputError
        for a term in h², which would be another radius of curvature under a second name, and for odd powers.

    >>> round(float(aspheric_sag_mm(15.0, 3.0, conic=-1.0, aspheric={4: 1e-4})), 6)
    0.3081
    >>> aspheric_sag_mm(15.0, 3.0, aspheric={2: 1e-4})
    Traceback (most recent call last):
    lenscalc.errors.InputError: aspheric term of power 2: terms start at 4; one in h² changes the paraxial power: put it into the radius
    """
    R, h, k = numbers(radius_mm=radius_mm, height_mm=height_mm, conic=conic)
    with np.errstate(invalid="ignore"):
        conical = sag_mm(R, h, k)
    return conical + sum((a * to_the(h * h, p // 2) for p, a in checked_terms(aspheric).items()), np.float64(0.0))


def to_the(x: Any, times: int) -> Any:
    """Multiply x with itself, `times` factors: the same bits everywhere, which a power does not promise."""
    product = x
    for _ in range(times - 1):
        product = product * x
    return product


def checked_terms(aspheric: Aspheric | None) -> dict[int, Any]:
    """The aspheric terms, even powers from 4 on, as floats or arrays."""
    terms: dict[int, Any] = {}
    for power, coefficient in (aspheric or {}).items():
        if power == 2:
            raise InputError(
                "aspheric term of power 2: terms start at 4; one in h² changes the paraxial power: put it into the radius",
                quantity="aspheric", value=power,
            )  # fmt: skip
        if not isinstance(power, int | np.integer) or power < 4 or power % 2:
            raise InputError(f"aspheric term of power {power!r}: the powers are even, 4, 6, 8 and so on", quantity="aspheric", value=power)
        (a,) = numbers(**{f"aspheric term of power {power}": coefficient})
        if not np.all(np.isfinite(a)):
            raise InputError(f"aspheric term of power {power} = {coefficient!r}: must be finite", quantity="aspheric")
        terms[int(power)] = a
    return terms
