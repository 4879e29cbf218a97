"""The forms of n(λ) that a polymer's file may name, with the names of their coefficients as sources print them.

Mind the resonances: some sources print the resonance squared (µm²), some the wavelength itself (µm), which the form then squares.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from lenscalc.material.dispersion_forms import cauchy_index, schott_index, sellmeier_index


class Form(NamedTuple):
    """A form of n(λ): the names of its coefficients (lists of one length, unless it has only one), its formula, and how many it may have."""

    coefficients: tuple[str, ...]
    formula: str
    index: Callable[..., Any]
    most: int = 12


def _schott(wavelength_nm: Any, a: Any, powers: Any) -> Any:
    return schott_index(wavelength_nm, a, [int(p) for p in powers])


FORMS = {
    "sellmeier": Form(("b", "c_um2"), "n² − 1 = Σ b·L²/(L² − c), L in µm", sellmeier_index),
    "sellmeier, resonances": Form(
        ("b", "resonance_um"), "n² − 1 = Σ b·L²/(L² − resonance²), L in µm", lambda w, b, r: sellmeier_index(w, b, [x * x for x in r])
    ),
    "power series of n²": Form(("a", "powers"), "n² = Σ a·L^power, L in µm", _schott),
    # the same series without its root
    "power series of n": Form(("a", "powers"), "n = Σ a·L^power, L in µm", lambda w, a, powers: np.square(_schott(w, a, powers))),
    "cauchy": Form(("a",), "n = a₀ + a₁/L² + a₂/L⁴, L in µm", lambda w, a: cauchy_index(w, *((*a, 0.0) if len(a) == 1 else a)), 3),
}
