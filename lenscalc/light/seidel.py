"""Third-order aberrations of a centred row of surfaces, from two paraxial rays: Seidel's sums."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.limits import PUPIL, VERGENCE
from lenscalc.light.surface import System
from lenscalc.quantities import FloatArray, Quantity, numbers, within

FIELD = Quantity("field_deg", "θ", "°", "field angle", "half field, the stop at the first vertex", 0.0, 60.0)


class Seidel(NamedTuple):
    """The sums [mm]: spherical aberration, coma, astigmatism, field curvature, distortion. The first over 8 is W040 at the rim of the pupil."""

    S1: Any
    S2: Any
    S3: Any
    S4: Any
    S5: Any


def seidel_sums(system: System, *, pupil_diameter_mm: Any, field_deg: Any = 0.0, vergence_D: Any = 0.0) -> Seidel:
    """Seidel's sums with the stop at the first vertex; what a surface adds by its conic constant and its h⁴ term is in them.

    For a small aperture the wavefront's spherical aberration is S1/8·ρ⁴, positive where the rim focuses in front. Shifts and tilts are not in it.

    Raises
    ------
    InputError
        for values outside the hard limits, or a surface out of its place.

    References
    ----------
    Welford, Aberrations of optical systems, chapter 8 (from memory, to be confirmed against the text); checked against a library and against finite
    rays.

    Examples
    --------
    >>> from lenscalc.light import Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> round(float(seidel_sums(lens, pupil_diameter_mm=3.0).S1) / 8 * 1000, 5)         # W040, µm
    0.07434
    """
    if any(s.is_moved for s in system.surfaces):
        raise InputError("Seidel's sums hold for a centred system: a surface is shifted or tilted", quantity="surfaces")
    row = system.row()

    def of(a: FloatArray) -> FloatArray:
        return a.reshape(row.shape)

    _, D, v, field = numbers(
        surfaces=of(row.curvature[0]), pupil_diameter_mm=within(PUPIL, pupil_diameter_mm), vergence_D=within(VERGENCE, vergence_D),
        field_deg=within(FIELD, field_deg),
    )  # fmt: skip
    # marginal ray (y, nu) and chief ray (yb, nub), which begins on the axis; the invariant H of both
    y, nu = D / 2.0, -v * D / 2000.0
    yb, nub = np.zeros(v.shape), np.tan(np.deg2rad(field)) * of(row.indices[0])
    H = -nub * y
    S = [np.zeros(v.shape) for _ in range(5)]
    for s in range(len(row.curvature)):
        c, k, n1, n2 = (of(a) for a in (row.curvature[s], row.conic[s], row.indices[s], row.indices[s + 1]))
        A, Ab = nu + n1 * y * c, nub + n1 * yb * c  # refraction invariants n·i
        nu2, nub2 = nu - y * c * (n2 - n1), nub - yb * c * (n2 - n1)
        step = nu2 / (n2 * n2) - nu / (n1 * n1)  # Δ(u/n)
        petzval = -H * H * c * (1.0 / n2 - 1.0 / n1)
        # S5 without a division by A, which vanishes where the marginal ray runs along the normal
        distortion = -Ab * (Ab * Ab * (1.0 / (n2 * n2) - 1.0 / (n1 * n1)) * y - (Ab * y - H) * yb * c * (1.0 / n2 - 1.0 / n1))
        a4 = next((a for p, a in row.asphere[s] or () if p == 4), None)
        figure = (k * c * c * c + (0.0 if a4 is None else 8.0 * of(a4))) * (n2 - n1)
        add = (
            -A * A * y * step + figure * y**4,
            -A * Ab * y * step + figure * y**3 * yb,
            -Ab * Ab * y * step + figure * y * y * yb * yb,
            petzval,
            distortion + figure * y * yb**3,
        )
        S = [whole + part for whole, part in zip(S, add, strict=True)]
        nu, nub = nu2, nub2
        d = of(row.distances[s])
        y, yb = y + d * nu / n2, yb + d * nub / n2
    return Seidel(*S)
