"""n(λ): published forms, and the step from the wavelength of a reading to the wavelength in use.

Wavelengths in nm at every public edge; L = λ/µm inside.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.conditions import LINES_NM


def sellmeier_index(wavelength_nm: Any, b: Sequence[float], c_um2: Sequence[float]) -> Any:
    """Sellmeier: n² − 1 = Σ b·L²/(L² − c), c in µm² (the resonance is not squared again). Only within the fit's published range.

    >>> n = sellmeier_index(587.5618, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727])      # PMMA, Szczurowski 2013
    >>> round(float(n), 6)
    1.490595
    """
    L2 = np.square(np.asarray(wavelength_nm, dtype=np.float64) / 1000.0)
    return (1.0 + sum(bi * L2 / (L2 - ci) for bi, ci in zip(b, c_um2, strict=True))) ** 0.5


def schott_index(wavelength_nm: Any, a: Sequence[float], powers: Sequence[int]) -> Any:
    """Power series: n² = Σ a·L^p. Only within the fit's published range.

    >>> a = [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5]             # PMMA, Beadie 2015
    >>> round(float(schott_index(546.074, a, [0, 2, 4, -2, -4, -6, -8])), 6)
    1.49449
    """
    L = np.asarray(wavelength_nm, dtype=np.float64) / 1000.0
    return sum(ai * L ** float(p) for ai, p in zip(a, powers, strict=True)) ** 0.5


def cauchy_index(wavelength_nm: Any, a: Any, b_um2: Any, c_um4: Any = 0.0) -> Any:
    """Cauchy: n = a + b/L² + c/L⁴. Only within the fit's published range.

    >>> round(float(cauchy_index(500.0, 1.48, 0.005)), 6)
    1.5
    """
    L2 = np.square(np.asarray(wavelength_nm, dtype=np.float64) / 1000.0)
    return a + b_um2 / L2 + c_um4 / (L2 * L2)


def abbe_number(n_d: Any, n_F: Any, n_C: Any) -> Any:
    """Abbe number V_d = (n_d − 1)/(n_F − n_C).

    >>> round(abbe_number(1.4906, 1.4966, 1.4881), 1)
    57.7
    """
    return (n_d - 1.0) / (n_F - n_C)


# Two-parameter forms n = A + B·g(L): the shape g differs, and with it the index between or beyond two known points.
SHAPES: dict[str, Callable[[Any], Any]] = {
    "cauchy": lambda L: 1.0 / (L * L),
    "conrady": lambda L: 1.0 / (L * L * L * L**0.5),
    "one resonance": lambda L: 1.0 / (L * L - 0.0125),  # λ² → λ² − λ₀², λ₀ = 112 nm: between PMMA's 0.0112 and PDMS's 0.0132 µm²
}  # fmt: skip


class WavelengthStep(NamedTuple):
    """Index at the wavelength in use; derivatives by the reading(s) and by V; the half-spread between the forms."""

    n: Any
    by_reading: Any
    by_second: Any
    by_abbe: Any
    half_spread: Any


def by_abbe_number(n: Any, wavelength_nm: Any, abbe_d: Any, to_nm: Any) -> WavelengthStep:
    """From one reading and the Abbe number to another wavelength, by the two-parameter Cauchy form n = A + B/L².

    B·(g_F − g_C) = n_F − n_C = (n_d − 1)/V and n_d = n + B·(g_d − g); solved for B exactly. Conrady's and a one-resonance form give the same step
    with other digits; half their spread is returned and belongs in the budget.

    >>> step = by_abbe_number(1.490595, 587.5618, 58.0, 546.074)      # PMMA, Szczurowski 2013: n_e 1.492611, V 58.00
    >>> round(float(step.n), 5), bool(abs(step.n - 1.492611) < 2 * step.half_spread)
    (1.49262, True)
    """
    steps = {}
    for form, g in SHAPES.items():
        across = g(LINES_NM["F"] / 1000.0) - g(LINES_NM["C"] / 1000.0)
        here = g(np.asarray(wavelength_nm, dtype=np.float64) / 1000.0)
        to_d = g(LINES_NM["d"] / 1000.0) - here
        move = g(np.asarray(to_nm, dtype=np.float64) / 1000.0) - here
        B = (n - 1.0) / (abbe_d * across - to_d)
        steps[form] = (n + B * move, 1.0 + move / (abbe_d * across - to_d), -B * move * across / (abbe_d * across - to_d))
    n_to, by_n, by_V = steps["cauchy"]
    return WavelengthStep(n_to, by_n, np.zeros_like(n_to), by_V, _half_spread(steps))


def by_second_reading(n: Any, wavelength_nm: Any, n_second: Any, second_nm: Any, to_nm: Any) -> WavelengthStep:
    """From readings at two wavelengths to a third, by the Cauchy form through both; half the spread between forms beside it.

    >>> step = by_second_reading(1.490595, 587.5618, 1.496536, 486.1327, 546.074)      # the same fit at d and F
    >>> round(float(step.n), 5), bool(abs(step.n - 1.492611) < step.half_spread)
    (1.49263, True)
    """
    steps = {}
    for form, g in SHAPES.items():
        here, there, to = (g(np.asarray(x, dtype=np.float64) / 1000.0) for x in (wavelength_nm, second_nm, to_nm))
        w = (to - here) / (there - here)
        steps[form] = (n + (n_second - n) * w, 1.0 - w, w)
    n_to, by_n, by_second = steps["cauchy"]
    return WavelengthStep(n_to, by_n, by_second, np.zeros_like(n_to), _half_spread(steps))


def _half_spread(steps: dict[str, tuple[Any, Any, Any]]) -> Any:
    values = [n for n, _, _ in steps.values()]
    return (np.maximum.reduce(values) - np.minimum.reduce(values)) / 2.0
