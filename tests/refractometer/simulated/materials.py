"""What is read, and what it is read against: water, air and polymers whose index is known at any wavelength and temperature."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

IN_USE_NM, IN_USE_DEGC = 546.07, 35.0
C, D, F, G = 656.2725, 589.2938, 486.1327, 435.8343
HELIUM = 587.5618, 501.5678  # the first is d, of the Abbe number

# n² − 1 = Σ b·L²/(L² − c), L in µm, and the expansion of the volume per K (invented, of the order of these materials)
FORMS = (
    ((0.99654, 0.18964, 0.00411), (0.00787, 0.02191, 3.85727), 2.3e-4),  # PMMA, Szczurowski 2013
    ((1.4435,), (0.020216,), 2.4e-4),  # polystyrene, Sultanova 2009
    ((1.0093,), (0.013185,), 8.0e-4),  # PDMS, Schneider 2009
)
# water, absolute, wavelength in vacuum: Daimon & Masumura, Appl. Opt. 46 (2007) 3811, °C → (b, c), as in refractiveindex.info (CC0)
WATER = {
    20.0: ((0.5684027565, 0.1726177391, 0.02086189578, 0.1130748688), (5.101829712e-3, 1.821153936e-2, 2.620722293e-2, 10.69792721)),
    21.5: ((0.5689093832, 0.1719708856, 0.02062501582, 0.1123965424), (5.110301794e-3, 1.825180155e-2, 2.624158904e-2, 10.67505178)),
    24.0: ((0.5666959820, 0.1731900098, 0.02095951857, 0.1125228406), (5.084151894e-3, 1.818488474e-2, 2.625439472e-2, 10.73842352)),
}
U_WATER = 1.5e-5  # what IAPWS R9-97 says of itself in the visible (from memory, to be confirmed against the text)


def resonances(nm: float, b: Any, c: Any) -> float:
    L2 = (nm / 1000.0) ** 2
    return float(np.sqrt(1.0 + np.sum(np.asarray(b) * L2 / (L2 - np.asarray(c)))))


def air(nm: float, degC: float) -> float:
    """Ciddor, Appl. Opt. 35 (1996) 1566, dry air at 15 °C and 101325 Pa, its density as of an ideal gas at other temperatures.

    Coefficients from memory; they meet the printed values of the reference cases of air within 3e-8.
    """
    s2 = (1000.0 / nm) ** 2
    return 1.0 + 1e-8 * (5792105.0 / (238.0185 - s2) + 167917.0 / (57.362 - s2)) * 288.15 / (273.15 + degC)


def water(nm: float, degC: float) -> float:
    """Relative to air of the same temperature: a parabola through the three temperatures of the paper."""
    absolute = 0.0
    for T in WATER:
        others = [t for t in WATER if t != T]
        weight = np.prod([(degC - t) / (T - t) for t in others])
        absolute += float(weight) * resonances(nm * air(nm, 15.0), *WATER[T])
    return absolute / air(nm, degC)


@dataclass(frozen=True)
class Polymer:
    """A polymer with a share of water by volume; its index relative to air."""

    b: tuple[float, ...]
    c_um2: tuple[float, ...]
    expansion_per_K: float
    water_by_volume: float = 0.0

    def n(self, nm: float, degC: float) -> float:
        def refraction(n: float) -> float:
            return (n * n - 1.0) / (n * n + 2.0)

        own, wet = resonances(nm, self.b, self.c_um2), water(nm, 20.0)
        at_20 = (1.0 - self.water_by_volume) * refraction(own) + self.water_by_volume * refraction(wet)
        r = at_20 / (1.0 + self.expansion_per_K * (degC - 20.0))
        return float(np.sqrt((1.0 + 2.0 * r) / (1.0 - r)))

    def slope(self, nm: float, degC: float) -> float:
        return self.n(nm, degC + 0.5) - self.n(nm, degC - 0.5)

    def abbe(self, degC: float) -> float:
        return (self.n(HELIUM[0], degC) - 1.0) / (self.n(F, degC) - self.n(C, degC))

    def with_water(self, share: float, expansion_per_K: float) -> Polymer:
        return Polymer(self.b, self.c_um2, expansion_per_K, share)
