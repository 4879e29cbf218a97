"""Longitudinal chromatic focus of a lens in the aqueous, from the dispersion of both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple, Protocol

import numpy as np

from lenscalc.conditions import LINES_NM, N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.thick_lens import powers_of, thick_lens
from lenscalc.material import aqueous_index, by_abbe_number
from lenscalc.material.aqueous import published_aqueous_index
from lenscalc.quantities import as_number, checked, given_back

LINES = ("C", "e", "F")
LOWEST_AQUEOUS, HIGHEST_AQUEOUS = 1.32, 1.36


class Dispersing(Protocol):
    """Whatever tells its index at a wavelength [nm]: a `Dispersion`, a published polymer."""

    def n(self, wavelength_nm: Any) -> Any:
        """The index there, relative to air."""


class ChromaticFocus(NamedTuple):
    """By line (the last axis): wavelength [nm], indices, power [D] and back focal length [mm], and how far both are from those at 546.07 nm."""

    wavelength_nm: Any
    n_lens: Any
    n_medium: Any
    power_D: Any
    back_focal_length_mm: Any
    power_shift_D: Any
    focus_shift_mm: Any


def chromatic_focus(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, *, dispersion: Dispersing, n_lens: Any = None,
    lines: Sequence[str | float] = LINES, n_medium: float = N_MEDIUM_IN_USE,
) -> ChromaticFocus:  # fmt: skip
    """Power and focus of a lens at several lines, in an aqueous that disperses too and is `n_medium` at 546.07 nm.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm : float or array [mm]
    dispersion : Dispersion, or a polymer of the library
        of the lens, relative to air; outside its range the first warns, the second refuses.
    n_lens : float or array, optional
        index in use, at 546.07 nm: the curve is moved by a constant to meet it (wet and warm where it was measured dry). Without it the curve itself.
    lines : names of lines or wavelengths in air [nm]
        within 400–700 nm, where the aqueous is known.

    Raises
    ------
    InputError
        for values outside their limits, unknown lines, a wavelength outside 400–700 nm.

    References
    ----------
    The thick lens at each wavelength; the aqueous as in `aqueous_index`. For a thin lens F_F − F_C = F·((n_F − m_F) − (n_C − m_C))/(n − m).

    >>> from lenscalc.material import Dispersion
    >>> pmma = Dispersion.from_abbe(1.490595, 58.0)
    >>> c = chromatic_focus(15.0, -15.0, 0.9, dispersion=pmma, n_lens=1.49)
    >>> (c.power_shift_D.round(3) + 0.0).tolist(), (c.focus_shift_mm.round(2) + 0.0).tolist()
    ([-0.118, 0.0, 0.122], [0.2, 0.0, -0.24])
    """
    for line in lines:
        if isinstance(line, str) and line not in LINES_NM:
            raise UnknownNameError(line, LINES_NM, what="line")
    if not len(lines):
        raise InputError("lines is empty: name at least one line or wavelength")
    nm = np.array([LINES_NM[x] if isinstance(x, str) else x for x in lines], dtype=np.float64)
    here = float(dispersion.n(WAVELENGTH_IN_USE_NM))
    moved = 0.0 if n_lens is None else as_number("n_lens", n_lens)[..., np.newaxis] - here
    n = np.asarray(dispersion.n(nm)) + moved
    m = np.asarray(aqueous_index(nm, n_medium).n)
    R1, R2, t = (as_number(name, x)[..., np.newaxis] for name, x in (
        ("front_radius_mm", front_radius_mm), ("back_radius_mm", back_radius_mm), ("center_thickness_mm", center_thickness_mm)))  # fmt: skip
    at = thick_lens(R1, R2, t, n, m)
    in_use = thick_lens(R1, R2, t, here + moved, n_medium)
    with np.errstate(invalid="ignore"):
        return ChromaticFocus(
            nm, n, m, at.power_D, at.back_focal_length_mm, at.power_D - in_use.power_D, at.back_focal_length_mm - in_use.back_focal_length_mm
        )


def chromatic_difference_of(R1: Any, R2: Any, t: Any, n: Any, V: Any, m: Any) -> Any:
    """Power at F less power at C, from the index at 546.07 nm and the Abbe number of each lens; the medium disperses as the aqueous. No checks."""
    here = published_aqueous_index(WAVELENGTH_IN_USE_NM)
    powers = []
    for line in ("F", "C"):
        n_line = by_abbe_number(n, WAVELENGTH_IN_USE_NM, V, LINES_NM[line]).n
        m_line = m + (published_aqueous_index(LINES_NM[line]) - here)
        powers.append(powers_of(R1, R2, t, n_line, m_line, m_line).power_D)
    return powers[0] - powers[1]


def chromatic_difference_D(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, *, abbe_d: Any, n_medium: Any = N_MEDIUM_IN_USE
) -> Any:
    """Power at the line F less power at C [D], for columns of lenses of which the Abbe number is known; the two-parameter Cauchy form between.

    The shift between two lines on either side of the line in use; the aqueous disperses too. For several lines of one material see `chromatic_focus`.

    Accuracy: 5e-15 relative to the power, over radii 8 to 30 mm.

    Raises
    ------
    InputError
        for values outside their limits, and a medium outside 1.32–1.36, where no aqueous lies.

    >>> round(chromatic_difference_D(15.0, -15.0, 0.9, 1.49, abbe_d=58.0), 3)
    0.235
    """
    a, shape = checked(
        front_radius_mm=front_radius_mm, back_radius_mm=back_radius_mm, center_thickness_mm=center_thickness_mm, n_lens=n_lens, abbe_d=abbe_d,
        n_medium=n_medium,
    )  # fmt: skip
    m = a["n_medium"]
    if not np.all((m >= LOWEST_AQUEOUS) & (m <= HIGHEST_AQUEOUS)):
        raise InputError(f"n_medium must be {LOWEST_AQUEOUS} to {HIGHEST_AQUEOUS}: the dispersion of an aqueous is known alone", quantity="n_medium")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return given_back(chromatic_difference_of(*a.values()), shape)
