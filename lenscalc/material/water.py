"""Pure water: density and refractive index, with its uncertainty."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.material.air import air_index
from lenscalc.material.published_range import is_to_air, within
from lenscalc.quantities import numbers

U_WATER_INDEX = 1.5e-5  # IAPWS R9-97 for liquid water at ambient conditions in the visible: from memory, to be confirmed against the text


def water_density(temperature_degC: Any) -> Any:
    """Density of air-free water at 1 atm, 0–40 °C, kg/m³.

    Tanaka et al., Metrologia 38 (2001) 301, equation 1 (standard mean ocean water). The coefficients were not read in the paper; several open
    programs that cite it print the same ones, and the paper's table, as copied in an open test, is met to its last digit.

    Accuracy: 2e-16 relative, of the equation, over 0–40 °C.

    Raises
    ------
    InputError
        outside 0–40 °C.

    >>> round(float(water_density(20.0)), 4), round(float(water_density(35.0)), 4)
    (998.2067, 994.0326)
    """
    T = within("temperature_degC", temperature_degC, 0, 40, "°C", "the density of water is known here")
    return (999.974950 * (1.0 - (T - 3.983035) ** 2 * (T + 301.797) / (522528.9 * (T + 69.34881))))[()]


def water_index_at_density(wavelength_nm: Any, temperature_K: Any, density_kg_per_m3: Any) -> Any:
    """Absolute refractive index of water by IAPWS R9-97 (wavelength in vacuum; no check of its range, −12 to 500 °C, 0.2 to 1.1 µm).

    Accuracy: 3e-16 relative, of the equation, over its range.

    >>> round(float(water_index_at_density(226.5, 298.15, 997.047435)), 8)        # the release's own check value
    1.39277824
    """
    a = (0.244257733, 9.74634476e-3, -3.73234996e-3, 2.68678472e-4, 1.58920570e-3, 2.45934259e-3, 0.900704920, -1.66626219e-2)
    wavelength, temperature, density = numbers(wavelength_nm=wavelength_nm, temperature_K=temperature_K, density_kg_per_m3=density_kg_per_m3)
    d, t, L2 = density / 1000.0, temperature / 273.15, np.square(wavelength / 589.0)
    uv, ir = 0.2292020 * 0.2292020, 5.432937 * 5.432937
    A = d * (a[0] + a[1] * d + a[2] * t + a[3] * L2 * t + a[4] / L2 + a[5] / (L2 - uv) + a[6] / (L2 - ir) + a[7] * d * d)
    return ((2.0 * A + 1.0) / (1.0 - A)) ** 0.5


def water_index(wavelength_nm: Any, temperature_degC: Any, *, relative_to: str = "air") -> Any:
    """Refractive index of pure water at 1 atm, 0–40 °C, 200–1100 nm.

    IAPWS R9-97 with the density of Tanaka et al. 2001. `wavelength_nm` is in standard air (15 °C), as lines are named; the release means
    vacuum, and it is converted (that is worth 5e-6). `relative_to="air"`: dry air at the specimen's temperature, 101325 Pa.

    Accuracy: 5e-16 relative, of the equation, over 400–700 nm, 0–40 °C.

    Raises
    ------
    InputError
        outside the ranges, or for another basis.

    >>> round(float(water_index(589.29, 20.0)), 5), round(float(water_index(546.07, 35.0, relative_to="vacuum")), 4)
    (1.33298, 1.3331)
    """
    to_air = is_to_air(relative_to)
    L = within("wavelength_nm", wavelength_nm, 200, 1100, "nm", "water's index is known here", hint="give the wavelength in nm, in air")
    T = within("temperature_degC", temperature_degC, 0, 40, "°C", "water's index is known here")
    n = water_index_at_density(L * air_index(L, 15.0), T + 273.15, water_density(T))
    return (n / air_index(L, T) if to_air else n)[()]


def u_water_index(wavelength_nm: Any, temperature_degC: Any) -> Any:
    """Standard uncertainty of `water_index`, on either basis: 1.5e-5 for 400–700 nm, 0–40 °C.

    IAPWS R9-97 gives it for liquid water at ambient conditions in the visible; from memory, to be confirmed against the text, which is not
    known to say for which probability: it is taken as standard. Elsewhere the release's figures were not seen, so it is refused; at 1000 nm
    the formula differs from Daimon & Masumura 2007 by 4e-5, in the visible by less than 3e-6.

    Raises
    ------
    InputError
        outside the ranges.

    >>> float(u_water_index(546.07, 35.0))
    1.5e-05
    """
    L = within("wavelength_nm", wavelength_nm, 400, 700, "nm", "the uncertainty of water's index is known here")
    T = within("temperature_degC", temperature_degC, 0, 40, "°C", "the uncertainty of water's index is known here")
    return np.full(np.broadcast_shapes(L.shape, T.shape), U_WATER_INDEX)[()]
