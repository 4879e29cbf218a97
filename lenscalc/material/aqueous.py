"""The aqueous as a dispersing medium: the shape of its n(λ) is published, its height is the convention 1.336."""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.conditions import N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.material.published_range import within


class AqueousIndex(NamedTuple):
    """Index of the aqueous at a wavelength, and the constant by which the published curve was moved to the chosen index."""

    n: Any
    shift: Any


def published_aqueous_index(wavelength_nm: Any) -> Any:
    """Cauchy's equation for the aqueous: A + B/λ² + C/λ⁴ + D/λ⁶, λ in nm; plain arithmetic, no check of its range.

    Atchison & Smith, J. Opt. Soc. Am. A 22 (2005) 29. The coefficients were not read in the paper: B, C, D and A = 1.321631 are printed alike
    in open programs; others that give the same B, C, D print A = 1.323031, which is no other shape.

    >>> round(published_aqueous_index(555.0), 4), round(published_aqueous_index(546.07), 4)
    (1.336, 1.3364)
    """
    L2 = wavelength_nm * wavelength_nm
    return 1.321631 + 6.070796e3 / L2 - 7.062305e8 / (L2 * L2) + 6.147861e13 / (L2 * L2 * L2)


def aqueous_index(wavelength_nm: Any, n_e: Any = N_MEDIUM_IN_USE) -> AqueousIndex:
    """Index of the aqueous at 400–700 nm (in air) when it is `n_e` at 546.07 nm: the published curve, moved by a constant, which is returned.

    The curve itself gives 1.33637 at 546.07 nm, so that 1.336 moves it by −3.7e-4. On the basis of `n_e`, relative to air unless you know better.
    The paper's abstract names the visible spectrum for the fit; 400–700 nm is taken for it here. This aqueous disperses more than water does
    (n_F − n_C is 0.0066 against 0.0059): 8e-4 more of index at 440 nm, 4e-4 less at 656 nm than water moved to 1.336.

    Accuracy: 4e-16 relative, of the equation, over its range.

    Raises
    ------
    InputError
        outside 400–700 nm; for n_e outside 1.32–1.36, where no aqueous lies.

    >>> F, C = aqueous_index(486.1327), aqueous_index(656.2725)
    >>> round(float(F.n), 4), round(float(C.n), 4), round(float(F.shift), 5)
    (1.339, 1.3323, -0.00037)
    """
    L = within("wavelength_nm", wavelength_nm, 400, 700, "nm", "the aqueous is known here", hint="give the wavelength in nm, in air")
    chosen = within("n_e", n_e, 1.32, 1.36, "", "the index of an aqueous is taken here")
    shift = chosen - published_aqueous_index(WAVELENGTH_IN_USE_NM)
    return AqueousIndex((published_aqueous_index(L) + shift)[()], shift[()])
