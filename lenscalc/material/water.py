"""Pure water: density and refractive index."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.air import air_index


def water_density(temperature_degC: Any) -> Any:
    """Density of air-free water at 1 atm, 0–40 °C, kg/m³.

    Tanaka et al., Metrologia 38 (2001) 301, equation 1 (standard mean ocean water); coefficients from memory, to be confirmed against the text.

    Raises
    ------
    InputError
        outside 0–40 °C.

    >>> round(float(water_density(20.0)), 4), round(float(water_density(35.0)), 4)
    (998.2067, 994.0326)
    """
    T = np.asarray(temperature_degC, dtype=np.float64)
    if np.any((T < 0) | (T > 40) | np.isnan(T)):
        worst = float(T[(T < 0) | (T > 40) | np.isnan(T)].flat[0])
        text = f"temperature_degC = {worst:g} °C: the density of water is known here from 0 to 40 °C"
        raise InputError(text, quantity="temperature_degC", value=worst)
    return (999.974950 * (1.0 - (T - 3.983035) ** 2 * (T + 301.797) / (522528.9 * (T + 69.34881))))[()]


def water_index_at_density(wavelength_nm: Any, temperature_K: Any, density_kg_per_m3: Any) -> Any:
    """Absolute refractive index of water by IAPWS R9-97 (wavelength in vacuum; no check of its range, −12 to 500 °C, 0.2 to 1.1 µm).

    >>> round(float(water_index_at_density(226.5, 298.15, 997.047435)), 8)        # the release's own check value
    1.39277824
    """
    a = (0.244257733, 9.74634476e-3, -3.73234996e-3, 2.68678472e-4, 1.58920570e-3, 2.45934259e-3, 0.900704920, -1.66626219e-2)
    d = np.asarray(density_kg_per_m3, dtype=np.float64) / 1000.0
    t = np.asarray(temperature_K, dtype=np.float64) / 273.15
    L2 = np.square(np.asarray(wavelength_nm, dtype=np.float64) / 589.0)
    uv, ir = 0.2292020 * 0.2292020, 5.432937 * 5.432937
    A = d * (a[0] + a[1] * d + a[2] * t + a[3] * L2 * t + a[4] / L2 + a[5] / (L2 - uv) + a[6] / (L2 - ir) + a[7] * d * d)
    return ((2.0 * A + 1.0) / (1.0 - A)) ** 0.5


def water_index(wavelength_nm: Any, temperature_degC: Any, *, relative_to: str = "air") -> Any:
    """Refractive index of pure water at 1 atm, 0–40 °C, 200–1100 nm.

    IAPWS R9-97 with the density of Tanaka et al. 2001. `wavelength_nm` is in standard air (15 °C), as lines are named; the release means
    vacuum, and it is converted (that is worth 5e-6). `relative_to="air"`: dry air at the specimen's temperature, 101325 Pa.

    Raises
    ------
    InputError
        outside the ranges, or for another basis.

    >>> round(float(water_index(589.29, 20.0)), 5), round(float(water_index(546.07, 35.0, relative_to="vacuum")), 4)
    (1.33298, 1.3331)
    """
    if relative_to not in ("air", "vacuum"):
        raise InputError(f"relative_to = {relative_to!r}: must be 'air' or 'vacuum'", quantity="relative_to", value=relative_to)
    L = np.asarray(wavelength_nm, dtype=np.float64)
    if np.any(~((L >= 200) & (L <= 1100))):
        worst = float(L[~((L >= 200) & (L <= 1100))].flat[0])
        raise InputError(f"wavelength_nm = {worst:g} nm: water's index is known here from 200 to 1100 nm", quantity="wavelength_nm", value=worst)
    T = np.asarray(temperature_degC, dtype=np.float64)
    air = air_index(L, T)
    n = water_index_at_density(L * air_index(L, 15.0), T + 273.15, water_density(T))
    return (n / air if relative_to == "air" else n)[()]
