"""Water content on the wet basis: from weights, or from the content on the dry basis."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.limits import MASS, WATER_DRY, together
from lenscalc.quantities import as_given, within


class WaterFromWeights(NamedTuple):
    """Water mass fraction on the wet basis, and its derivatives by the two masses [1/g]. One balance: an error of its scale cancels between them."""

    water_mass_fraction_wet: Any
    by_mass_wet: Any
    by_mass_dry: Any


def water_mass_fraction_wet_from_weights(mass_wet_g: Any, *, mass_dry_g: Any) -> WaterFromWeights:
    """Water content by weighing wet (blotted) and dry: w = 1 − m_dry/m_wet, with its sensitivities.

    Water left on the surface and water left after drying both make it wrong, and neither shows in the spread of the balance.

    Accuracy: 2e-16 relative, over water of 1e-9 g and more in 1e-3 to 10 g.

    Raises
    ------
    InputError
        for masses outside their limits, or a dry mass above the wet one.

    >>> round(water_mass_fraction_wet_from_weights(0.0200, mass_dry_g=0.0150).water_mass_fraction_wet, 12)
    0.25
    """
    wet, dry = within(MASS, mass_wet_g, "mass_wet_g"), within(MASS, mass_dry_g, "mass_dry_g")
    together(wet, dry)
    wet, dry = np.broadcast_arrays(wet, dry)
    if np.any(dry > wet):
        worst = float(dry[dry > wet].flat[0])
        raise InputError(f"mass_dry_g = {worst:g} g is above mass_wet_g: are the two exchanged?", quantity="mass_dry_g", value=worst, unit="g")
    return WaterFromWeights(*(as_given(x) for x in ((wet - dry) / wet, dry / (wet * wet), -1.0 / wet)))


def water_mass_fraction_wet_from_dry(water_mass_fraction_dry: Any) -> Any:
    """From water by the mass of the DRY specimen to water by the mass of the WET one: d/(1 + d).

    Accuracy: 3e-16 relative, over 1e-9 to 20.

    Raises
    ------
    InputError
        outside 0 to 20 (a percentage for a fraction).

    >>> water_mass_fraction_wet_from_dry(0.25), round(water_mass_fraction_wet_from_dry(0.6129), 3)
    (0.2, 0.38)
    """
    d = within(WATER_DRY, water_mass_fraction_dry)
    return as_given(d / (1.0 + d))
