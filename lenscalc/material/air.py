"""Air, and with it the basis of an index: relative to air, or to vacuum."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.material.published_range import within
from lenscalc.quantities import in_numbers


def air_index(wavelength_nm: Any, temperature_degC: Any, pressure_Pa: Any = 101325.0) -> Any:
    """Refractive index of dry air with 450 ppm CO2, absolute.

    Birch & Downs, Metrologia 30 (1993) 155 and 31 (1994) 315 (updated Edlén equation). The coefficients were not read in the papers; several
    open programs print the same ones, citing the papers or appendix A.IV of NIST's Engineering Metrology Toolbox. The wavelength is taken as
    given in air where the equation means vacuum: less than 7e-9 in the result from 400 nm on. 350–650 nm in the paper; Ciddor's equation (Appl.
    Opt. 35 (1996) 1566) gives the same to 1.2e-8 from 300 to 1100 nm and 0 to 40 °C; at 200 nm they are 3e-7 apart.

    Accuracy: 2e-16 relative, of the equation, over 400–700 nm, 0–40 °C.

    Raises
    ------
    InputError
        outside 200–2000 nm, −40–100 °C and 10–200 kPa, where a wrong unit would give an index of air that looks like one.

    >>> round(float((air_index(546.07, 20.0) - 1) * 1e4), 2), round(float((air_index(546.07, 35.0) - 1) * 1e4), 2)
    (2.73, 2.6)
    """
    what = "the index of air is worked out here"
    L = within("wavelength_nm", wavelength_nm, 200.0, 2000.0, "nm", what, hint="give the wavelength in nm")
    T = within("temperature_degC", temperature_degC, -40.0, 100.0, "°C", what)
    p = within("pressure_Pa", pressure_Pa, 1e4, 2e5, "Pa", what, hint="give the pressure in Pa, 101325 where nothing else is known")
    s2 = np.square(1000.0 / L)
    standard = 1e-8 * (8342.54 + 2406147.0 / (130.0 - s2) + 15998.0 / (38.9 - s2))
    density = p * (1.0 + 1e-8 * (0.601 - 0.00972 * T) * p) / (96095.43 * (1.0 + 0.003661 * T))
    return 1.0 + standard * density


def vacuum_to_air(n: Any, wavelength_nm: Any, temperature_degC: Any) -> Any:
    """An index given relative to vacuum, relative to air at the specimen's temperature.

    Accuracy: 3e-16 relative, of the equation, over 400–700 nm, 0–40 °C.

    >>> round(float(vacuum_to_air(1.334830, 546.07, 20.0)), 6)       # iapws 1.5.5 and the same air: 1.334465
    1.334465
    """
    return in_numbers("n", n) / air_index(wavelength_nm, temperature_degC)


def air_to_vacuum(n: Any, wavelength_nm: Any, temperature_degC: Any) -> Any:
    """An index given relative to air, relative to vacuum.

    Accuracy: 3e-16 relative, of the equation, over 400–700 nm, 0–40 °C.

    >>> round(float(air_to_vacuum(1.334465, 546.07, 20.0)), 5)
    1.33483
    """
    return in_numbers("n", n) * air_index(wavelength_nm, temperature_degC)
