"""Laws of n(λ, T, water), air and the index basis; the media that are known: water, saline, sucrose solutions, the aqueous."""

from lenscalc.material.air import air_index, air_to_vacuum, vacuum_to_air
from lenscalc.material.aqueous import aqueous_index
from lenscalc.material.dispersion import abbe_number, by_abbe_number, by_second_reading, cauchy_index, schott_index, sellmeier_index
from lenscalc.material.polymer import Polymer, polymer, polymers
from lenscalc.material.saline import saline_index, u_saline_index
from lenscalc.material.sucrose import sucrose_index, sucrose_mass_fraction
from lenscalc.material.temperature import lorentz_lorenz_dn_dt
from lenscalc.material.water import u_water_index, water_density, water_index, water_index_at_density

__all__ = [
    "Polymer", "abbe_number", "air_index", "air_to_vacuum", "aqueous_index", "by_abbe_number", "by_second_reading", "cauchy_index",
    "lorentz_lorenz_dn_dt", "polymer", "polymers", "saline_index", "schott_index", "sellmeier_index", "sucrose_index", "sucrose_mass_fraction",
    "u_saline_index", "u_water_index", "vacuum_to_air", "water_density", "water_index", "water_index_at_density",
]  # fmt: skip
