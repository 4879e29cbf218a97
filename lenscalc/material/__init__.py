"""Laws of n(λ, T, water), mixing and composition; the media; air and the index basis; published polymers."""

from lenscalc.material.air import air_index, air_to_vacuum, vacuum_to_air
from lenscalc.material.aqueous import aqueous_index
from lenscalc.material.composition import (
    PredictedAbbe,
    PredictedComposition,
    PredictedIndex,
    copolymer_abbe,
    copolymer_index,
    mass_fraction_for_index,
    molar_refraction_index,
)
from lenscalc.material.dispersion import Dispersion
from lenscalc.material.dispersion_forms import abbe_number, cauchy_index, conrady_index, schott_index, sellmeier_index
from lenscalc.material.group_contributions import MolarRefraction, molar_refraction, molar_refraction_from_increments
from lenscalc.material.hydration import (
    Hydration,
    dry_index,
    hydrate,
    hydrated_index,
    hydration_of,
    linear_swelling,
    linear_swelling_of,
)
from lenscalc.material.mixing import mix, mixing_half_spread, unmix
from lenscalc.material.polymer_library import polymer, polymers
from lenscalc.material.polymer_record import Polymer
from lenscalc.material.saline import saline_index, u_saline_index
from lenscalc.material.sucrose import sucrose_index, sucrose_mass_fraction
from lenscalc.material.temperature import lorentz_lorenz_dn_dt
from lenscalc.material.water import u_water_index, water_density, water_index, water_index_at_density
from lenscalc.material.water_content import WaterFromWeights, water_mass_fraction_wet_from_dry, water_mass_fraction_wet_from_weights
from lenscalc.material.wavelength_step import by_abbe_number, by_second_reading

__all__ = [
    "Dispersion", "Hydration", "MolarRefraction", "Polymer", "PredictedAbbe", "PredictedComposition", "PredictedIndex", "WaterFromWeights",
    "abbe_number", "air_index", "air_to_vacuum", "aqueous_index", "by_abbe_number", "by_second_reading", "cauchy_index", "conrady_index",
    "copolymer_abbe", "copolymer_index", "dry_index", "hydrate", "hydrated_index", "hydration_of", "linear_swelling", "linear_swelling_of",
    "lorentz_lorenz_dn_dt", "mass_fraction_for_index", "mix", "mixing_half_spread", "molar_refraction", "molar_refraction_from_increments",
    "molar_refraction_index", "polymer", "polymers", "saline_index", "schott_index", "sellmeier_index", "sucrose_index", "sucrose_mass_fraction",
    "u_saline_index", "u_water_index", "unmix", "vacuum_to_air", "water_density", "water_index", "water_index_at_density",
    "water_mass_fraction_wet_from_dry", "water_mass_fraction_wet_from_weights",
]  # fmt: skip
