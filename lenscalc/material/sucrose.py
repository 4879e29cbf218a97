"""Sucrose solutions: n_D from the mass fraction and back, on the international scale of 1974.

Not for glucose syrup: the table of ISO 1743, which looks alike, is another sugar's (1.34852 instead of 1.34782 at 10 g/100 g).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError
from lenscalc.material.air import air_index
from lenscalc.material.published_range import is_to_air, within

# n_D at 20 °C relative to air, at 0, 1, 2 … 85 g sucrose in 100 g solution: the 1974 scale (ICUMSA), from memory, to be confirmed against the
# text. A polynomial of fifth degree leaves residuals of rounding only (2.8e-6), so no digit is astray by itself; the index of reference
# solutions of 2.5 and 40 g/100 g, 1.33659 and 1.39986, was read in an open program's documentation.
_SCALE_20_DEGC = (
    1.33299, 1.33442, 1.33586, 1.33732, 1.33879, 1.34026, 1.34175, 1.34325, 1.34476, 1.34629,
    1.34782, 1.34937, 1.35093, 1.35250, 1.35408, 1.35568, 1.35729, 1.35891, 1.36054, 1.36218,
    1.36384, 1.36551, 1.36720, 1.36889, 1.37060, 1.37233, 1.37406, 1.37582, 1.37758, 1.37936,
    1.38115, 1.38296, 1.38478, 1.38661, 1.38846, 1.39032, 1.39220, 1.39409, 1.39600, 1.39792,
    1.39986, 1.40181, 1.40378, 1.40576, 1.40776, 1.40978, 1.41181, 1.41385, 1.41592, 1.41799,
    1.42009, 1.42220, 1.42432, 1.42647, 1.42863, 1.43080, 1.43299, 1.43520, 1.43743, 1.43967,
    1.44193, 1.44420, 1.44650, 1.44881, 1.45113, 1.45348, 1.45584, 1.45822, 1.46061, 1.46303,
    1.46546, 1.46790, 1.47037, 1.47285, 1.47535, 1.47787, 1.48040, 1.48295, 1.48552, 1.48811,
    1.49071, 1.49333, 1.49597, 1.49862, 1.50129, 1.50398,
)  # fmt: skip

# What is added to a reading of this scale in g/100 g (columns) that was taken at another temperature, °C (rows): international correction
# table. Rows 10 to 19 and 21 and the first six numbers of 22 were read in the GOST text at docs.cntd.ru/document/1200157922, table A.1 ("70 and
# more" in its last column); the others are from memory, to be confirmed against the text.
_ROWS_AT = np.arange(10.0, 31.0)
_COLUMNS_AT = np.arange(0.0, 71.0, 5.0)
_CORRECTION = np.array((
    (-0.50, -0.54, -0.58, -0.61, -0.64, -0.66, -0.68, -0.70, -0.72, -0.73, -0.74, -0.75, -0.76, -0.78, -0.79),  # 10 °C
    (-0.46, -0.49, -0.53, -0.55, -0.58, -0.60, -0.62, -0.64, -0.65, -0.66, -0.67, -0.68, -0.69, -0.70, -0.71),  # 11 °C
    (-0.42, -0.45, -0.48, -0.50, -0.52, -0.54, -0.56, -0.57, -0.57, -0.59, -0.60, -0.61, -0.61, -0.63, -0.63),  # 12 °C
    (-0.37, -0.40, -0.42, -0.44, -0.46, -0.48, -0.49, -0.50, -0.51, -0.52, -0.53, -0.54, -0.54, -0.55, -0.55),  # 13 °C
    (-0.33, -0.35, -0.37, -0.39, -0.40, -0.41, -0.42, -0.43, -0.44, -0.45, -0.45, -0.46, -0.46, -0.47, -0.47),  # 14 °C
    (-0.27, -0.29, -0.31, -0.33, -0.34, -0.34, -0.35, -0.36, -0.37, -0.37, -0.38, -0.39, -0.39, -0.40, -0.40),  # 15 °C
    (-0.22, -0.24, -0.25, -0.26, -0.27, -0.28, -0.28, -0.29, -0.30, -0.30, -0.30, -0.31, -0.31, -0.32, -0.32),  # 16 °C
    (-0.17, -0.18, -0.19, -0.20, -0.21, -0.21, -0.21, -0.22, -0.22, -0.23, -0.23, -0.23, -0.23, -0.24, -0.24),  # 17 °C
    (-0.12, -0.13, -0.13, -0.14, -0.14, -0.14, -0.14, -0.15, -0.15, -0.15, -0.15, -0.16, -0.16, -0.16, -0.16),  # 18 °C
    (-0.06, -0.06, -0.06, -0.07, -0.07, -0.07, -0.07, -0.08, -0.08, -0.08, -0.08, -0.08, -0.08, -0.08, -0.08),  # 19 °C
    (0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00),  # 20 °C
    (0.06, 0.07, 0.07, 0.07, 0.07, 0.08, 0.08, 0.08, 0.08, 0.08, 0.08, 0.08, 0.08, 0.08, 0.08),  # 21 °C
    (0.13, 0.13, 0.14, 0.14, 0.15, 0.15, 0.15, 0.15, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16, 0.16),  # 22 °C
    (0.19, 0.20, 0.21, 0.22, 0.22, 0.23, 0.23, 0.23, 0.23, 0.24, 0.24, 0.24, 0.24, 0.24, 0.24),  # 23 °C
    (0.26, 0.27, 0.28, 0.29, 0.30, 0.30, 0.31, 0.31, 0.31, 0.31, 0.31, 0.32, 0.32, 0.32, 0.32),  # 24 °C
    (0.33, 0.35, 0.36, 0.37, 0.38, 0.38, 0.39, 0.40, 0.40, 0.40, 0.40, 0.40, 0.40, 0.40, 0.40),  # 25 °C
    (0.40, 0.42, 0.43, 0.44, 0.45, 0.46, 0.47, 0.48, 0.48, 0.48, 0.48, 0.48, 0.48, 0.48, 0.48),  # 26 °C
    (0.48, 0.50, 0.52, 0.53, 0.54, 0.55, 0.55, 0.56, 0.56, 0.56, 0.56, 0.56, 0.56, 0.56, 0.56),  # 27 °C
    (0.56, 0.57, 0.60, 0.61, 0.62, 0.63, 0.63, 0.63, 0.64, 0.64, 0.64, 0.64, 0.64, 0.64, 0.64),  # 28 °C
    (0.64, 0.66, 0.68, 0.69, 0.71, 0.72, 0.72, 0.73, 0.73, 0.73, 0.73, 0.73, 0.73, 0.73, 0.73),  # 29 °C
    (0.72, 0.74, 0.77, 0.78, 0.79, 0.80, 0.80, 0.81, 0.81, 0.81, 0.81, 0.81, 0.81, 0.81, 0.81),  # 30 °C
))  # fmt: skip

# A warm solution near 0 reads below the scale: it is continued by its first differences to −1 g/100 g.
_AT = np.arange(-1.0, len(_SCALE_20_DEGC))
_N = np.array((1.33157, *_SCALE_20_DEGC))


def _correction(reading: npt.NDArray[np.float64], T: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The correction table, linear between its entries; its first and last column hold beyond them."""
    row, down = _place(_ROWS_AT, T)
    column, right = _place(_COLUMNS_AT, np.clip(reading, _COLUMNS_AT[0], _COLUMNS_AT[-1]))
    upper = _CORRECTION[row, column] * (1.0 - right) + _CORRECTION[row, column + 1] * right
    lower = _CORRECTION[row + 1, column] * (1.0 - right) + _CORRECTION[row + 1, column + 1] * right
    return upper * (1.0 - down) + lower * down


def _place(at: npt.NDArray[np.float64], x: npt.NDArray[np.float64]) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.float64]]:
    """Which entry lies below, of those that have a next one, and how far x is on the way to that."""
    below = np.searchsorted(at[1:-1], x, side="right")
    return below, (x - at[below]) / (at[below + 1] - at[below])


def sucrose_index(mass_fraction: Any, temperature_degC: Any = 20.0, *, relative_to: str = "air") -> Any:
    """n_D (589.29 nm) of a solution of sucrose in water, mass fraction 0–0.85 (10 g in 100 g is 0.10), 10–30 °C.

    At 20 °C the international scale of 1974 (ICUMSA), linear between its values at each per cent (2e-6); the values are from memory, to be
    confirmed against the text. A handbook's four decimals agree within 6e-5 up to 0.70 and lie 3e-4 lower at 0.84. At other temperatures the
    reading that the international correction table turns into this fraction: the table is printed to 0.01 g/100 g (2e-5 in n); the OIV's
    (OIV-MA-AS2-02, table I) differs by up to 0.04 g/100 g (1e-4), an older one in a handbook by up to 0.1 (1.5e-4). Water, 0, is within 1e-5
    of `water_index` at 20 °C and 3.5e-5 at 10–30 °C. `relative_to="vacuum"`: times dry air at the solution's temperature, 101325 Pa.

    Raises
    ------
    InputError
        outside the ranges; for a cold solution whose reading lies beyond the scale's end; for another basis.

    >>> float(sucrose_index(0.10)), round(float(sucrose_index(0.10, 25.0)), 5)
    (1.34782, 1.34727)
    """
    to_air = is_to_air(relative_to)
    hint = "10 g in 100 g of solution is 0.10"
    w = 100.0 * within("mass_fraction", mass_fraction, 0, 0.85, "", "the sucrose scale is known", hint=hint)
    T = within("temperature_degC", temperature_degC, 10, 30, "°C", "the temperature correction of the sucrose scale is known")
    w, T = np.broadcast_arrays(w, T)
    reading = w
    for _ in range(10):  # the correction changes by less than 0.01 per unit of reading: each round gains two digits
        reading = w - _correction(reading, T)
    beyond = reading > _AT[-1] + 1e-9
    if np.any(beyond):
        text = f"mass_fraction: at {T[beyond][0]:g} °C the solution would read beyond 0.85, where the sucrose scale ends; take a smaller fraction"
        raise InputError(text, quantity="mass_fraction", value=float(w[beyond][0]) / 100.0)
    n = np.interp(reading, _AT, _N)
    return (n if to_air else n * air_index(LINES_NM["D"], T))[()]


def sucrose_mass_fraction(n: Any, temperature_degC: Any = 20.0, *, relative_to: str = "air") -> Any:
    """Mass fraction of sucrose from n_D (589.29 nm) read at 10–30 °C: the inverse of `sucrose_index`, with its sources.

    Accuracy: 2e-15 relative to the whole, over a round trip through `sucrose_index`.

    Raises
    ------
    InputError
        for an index outside the scale, with the limits at this temperature; outside 10–30 °C; for another basis.

    >>> round(float(sucrose_mass_fraction(1.34782)), 12), round(float(sucrose_mass_fraction(1.34782, 25.0)), 4)
    (0.1, 0.1036)
    """
    to_air = is_to_air(relative_to)
    T = within("temperature_degC", temperature_degC, 10, 30, "°C", "the temperature correction of the sucrose scale is known")
    given = within("n", n, 1.3, 1.6, "", "an index on the sucrose scale lies well inside")
    in_air = given if to_air else given / air_index(LINES_NM["D"], T)
    in_air, T = np.broadcast_arrays(in_air, T)
    reading = np.interp(in_air, _N, _AT)
    w = reading + _correction(reading, T)
    known = np.clip(w, 0.0, 85.0)
    outside = (in_air > _N[-1]) | (np.abs(w - known) > 1e-9)
    if np.any(outside):
        worst, at = float(in_air[outside].flat[0]), float(T[outside].flat[0])
        text = f"n = {worst:.6g} at {at:g} °C lies outside the sucrose scale, which runs from water to 0.85 (1.33299 to 1.50398 at 20 °C, in air)"
        raise InputError(text, quantity="n", value=worst)
    return (known / 100.0)[()]
