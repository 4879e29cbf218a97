"""n(λ): the published forms, and the shapes of two-parameter forms.

Wavelengths in nm at every public edge; L = λ/µm inside. The bodies are plain arithmetic and take complex numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import in_numbers, numbers


def resonances_of(L: Any, b: Sequence[Any], c: Sequence[Any]) -> Any:
    """Body of Sellmeier's form: √(1 + Σ b·L²/(L² − c))."""
    L2 = L * L
    return (1.0 + sum(bi * L2 / (L2 - ci) for bi, ci in zip(b, c, strict=True))) ** 0.5


def powers_of(L: Any, a: Sequence[Any], powers: Sequence[float]) -> Any:
    """Body of the power series: Σ a·L^p."""
    return sum(ai * L ** float(p) for ai, p in zip(a, powers, strict=True))


def _um(wavelength_nm: Any) -> Any:
    (wavelength,) = numbers(wavelength_nm=wavelength_nm)
    return wavelength / 1000.0


def sellmeier_index(wavelength_nm: Any, b: Sequence[float], c_um2: Sequence[float]) -> Any:
    """Sellmeier: n² − 1 = Σ b·L²/(L² − c), c in µm² (the resonance is not squared again). Only within the fit's published range.

    Accuracy: 3e-16 relative, over 400–700 nm.

    >>> n = sellmeier_index(587.5618, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727])      # PMMA, Szczurowski 2013
    >>> round(float(n), 6)
    1.490595
    """
    return resonances_of(_um(wavelength_nm), b, c_um2)


def schott_index(wavelength_nm: Any, a: Sequence[float], powers: Sequence[int]) -> Any:
    """Power series: n² = Σ a·L^p. Only within the fit's published range.

    Accuracy: 3e-16 relative, over 400–700 nm.

    >>> a = [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5]             # PMMA, Beadie 2015
    >>> round(float(schott_index(546.074, a, [0, 2, 4, -2, -4, -6, -8])), 6)
    1.49449
    """
    return powers_of(_um(wavelength_nm), a, powers) ** 0.5


def cauchy_index(wavelength_nm: Any, a: Any, b_um2: Any, c_um4: Any = 0.0) -> Any:
    """Cauchy: n = a + b/L² + c/L⁴. Only within the fit's published range.

    Accuracy: 3e-16 relative, over 400–700 nm.

    >>> round(float(cauchy_index(500.0, 1.48, 0.005)), 6)
    1.5
    """
    return powers_of(_um(wavelength_nm), (a, b_um2, c_um4), (0, -2, -4))


def conrady_index(wavelength_nm: Any, a: Any, b_um: Any, c_um3_5: Any) -> Any:
    """Conrady: n = a + b/L + c/L^3.5, `b_um` in µm, `c_um3_5` in µm^3.5. Only within the fit's published range.

    The form as the manual of GNU Goptical prints it (class reference, Material::Conrady; read there); from memory, to be confirmed against the
    text: Conrady, Applied Optics and Optical Design, part two.

    Accuracy: 3e-16 relative, over 400–700 nm.

    >>> round(float(conrady_index(587.5618, 1.47444837, 0.0103147698, 0.00026742387)), 6)      # a catalogue's coefficients and its n_d
    1.493724
    """
    return powers_of(_um(wavelength_nm), (a, b_um, c_um3_5), (0, -1, -3.5))


def abbe_number(n_d: Any, n_F: Any, n_C: Any) -> Any:
    """Abbe number V_d = (n_d − 1)/(n_F − n_C); with n_e, n_F′ and n_C′ it is V_e.

    Accuracy: 2e-16 relative, over differences n_F − n_C from 1e-9.

    Raises
    ------
    InputError
        for n_F not above n_C.

    >>> round(abbe_number(1.4906, 1.4966, 1.4881), 1)
    57.7
    """
    n_d, n_F, n_C = in_numbers("n_d", n_d), in_numbers("n_F", n_F), in_numbers("n_C", n_C)
    if np.any(np.real(n_F) <= np.real(n_C)):
        raise InputError("the index must fall with the wavelength: n_F is not above n_C; are the two exchanged?", quantity="n_F")
    return (n_d - 1.0) / (n_F - n_C)


# Water at 20 °C, absolute: Daimon & Masumura, Appl. Opt. 46 (2007) 3811 (182 to 1129 nm), as the CC0 database refractiveindex.info holds it.
_WATER_B = (0.5684027565, 0.1726177391, 0.02086189578, 0.1130748688)
_WATER_C = (5.101829712e-3, 1.821153936e-2, 2.620722293e-2, 10.69792721)

# Two-parameter forms n = A + B·g(L): the shape g differs, and with it the index between or beyond two known points.
SHAPES: dict[str, Callable[[Any], Any]] = {
    "cauchy": lambda L: 1.0 / (L * L),
    "conrady": lambda L: 1.0 / (L * L * L * L**0.5),
    "one resonance": lambda L: 1.0 / (L * L - 0.0125),  # λ² → λ² − λ₀², λ₀ = 112 nm: between PMMA's 0.0112 and PDMS's 0.0132 µm²
    "water": lambda L: resonances_of(L, _WATER_B, _WATER_C),  # its infrared absorption bends it the other way: aqueous media, hydrogels
}  # fmt: skip
