"""Saline, a solution of sodium chloride in water: the wet cell's medium, which is not the aqueous (1.336 by convention)."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.material.air import air_index
from lenscalc.material.published_range import is_to_air, within
from lenscalc.material.water import U_WATER_INDEX, water_index

# judgements, no source, see `u_saline_index`: of the increment, and of what the borrowed shape changes in it
U_INCREMENT, U_SHAPE = 0.02, 0.25


def sea_salt_slope(wavelength_nm: Any, temperature_degC: Any) -> Any:
    """∂n/∂S of sea water, S in g/kg: Quan & Fry, Appl. Opt. 34 (1995) 3477, n1 + n2·T + n3·T² + n6/λ; plain arithmetic, no check.

    The coefficients were not read in the paper; several open programs that cite it print the same ones.

    >>> round(sea_salt_slope(589.29, 20.0), 9)
    0.0001829
    """
    T = temperature_degC
    return 1.779e-4 - 1.05e-6 * T + 1.6e-8 * T * T + 0.01155 / wavelength_nm


def _increment(c: Any) -> Any:
    # at 589.29 nm, 20 °C: fitted to the printed four decimals of 75 solutions from 1 to 107 g/L (residuals 2.8e-5, which is their rounding)
    return 1.7608e-4 * c - 1.154e-7 * c * c


def _shape(L: Any, T: Any) -> Any:
    return sea_salt_slope(L, T) / sea_salt_slope(LINES_NM["D"], 20.0)


def saline_index(nacl_g_per_L: Any, wavelength_nm: Any, temperature_degC: Any, *, relative_to: str = "air") -> Any:
    """Refractive index of 0–100 g sodium chloride in a litre of solution (at 20 °C), 400–700 nm, 0–40 °C; 9 g/L is physiological.

    `water_index` and an increment. At 589.29 nm and 20 °C it is a parabola through the handbook's table (CRC Handbook of Chemistry and Physics,
    concentrative properties of aqueous solutions, as copied in an open program). With wavelength and temperature it changes as that of sea
    salt does (Quan & Fry 1995, 0–30 °C; carried on to 40 °C, where that changes it by 0.4 %; Tan & Huang, J. Chem. Eng. Data 60 (2015) 2827,
    fit one increment for all of 20–45 °C). Uncertainty: `u_saline_index`.

    Accuracy: 6e-16 relative, of the equation, over its range.

    Raises
    ------
    InputError
        outside the ranges, or for another basis.

    >>> round(float(saline_index(9.0, 589.29, 20.0)), 4), round(float(saline_index(9.0, 546.07, 35.0)), 4)
    (1.3346, 1.3343)
    """
    to_air = is_to_air(relative_to)
    c, L, T = _checked(nacl_g_per_L, wavelength_nm, temperature_degC)
    n = water_index(L, T) + _increment(c) * _shape(L, T)
    return (n if to_air else n * air_index(L, T))[()]


def u_saline_index(nacl_g_per_L: Any, wavelength_nm: Any, temperature_degC: Any) -> Any:
    """Standard uncertainty of `saline_index`: water's 1.5e-5, 2 % of the increment, and a quarter of what the borrowed shape changes in it.

    The last two are judgements, no source. Sea salt's increment is 4 % larger than sodium chloride's at 9 g/L, and its shape is borrowed: that
    changes the increment by less than 4 % for 480–660 nm and 15–40 °C, by 13 % at 400 nm and 0 °C. Tan & Huang's solutions show 2 % less at 45
    than at 25 °C. The weighing of the salt is not in it.

    Raises
    ------
    InputError
        outside the ranges.

    >>> f"{u_saline_index(9.0, 546.07, 35.0):.1e}"
    '3.5e-05'
    """
    c, L, T = _checked(nacl_g_per_L, wavelength_nm, temperature_degC)
    moved = U_SHAPE * (_shape(L, T) - 1.0)
    relative2 = U_INCREMENT * U_INCREMENT + moved * moved
    return ((U_WATER_INDEX * U_WATER_INDEX + relative2 * _increment(c) * _increment(c)) ** 0.5)[()]


def _checked(nacl_g_per_L: Any, wavelength_nm: Any, temperature_degC: Any) -> tuple[Any, Any, Any]:
    what = "the index of saline is known here"
    c = within("nacl_g_per_L", nacl_g_per_L, 0, 100, "g/L", what, hint="0.9 g in 100 mL is 9 g/L")
    L = within("wavelength_nm", wavelength_nm, 400, 700, "nm", what, hint="give the wavelength in nm, in air")
    T = within("temperature_degC", temperature_degC, 0, 40, "°C", what)
    c, L, T = np.broadcast_arrays(c, L, T)
    return c, L, T
