"""The same lens in other surroundings: another index of the medium, another temperature."""

from __future__ import annotations

from typing import NamedTuple

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.eye.implant import Implanted, implant_path
from lenscalc.eye.published import PublishedEye
from lenscalc.material import water_index
from lenscalc.quantities import checked, single_numbers


class TemperatureChange(NamedTuple):
    """Change of refraction [D] and what it is made of: by the polymer's index, by its dimensions, by the medium around it."""

    refraction_change_D: float
    by_index_D: float
    by_dimensions_D: float
    by_medium_D: float


def refraction_change_with_medium(eye: PublishedEye, s: Implanted, n_medium: float) -> float:
    """Refraction with this index in front of and behind the implant, minus with the eye's own [D]; the dimensions held.

    Cornea, implant and the way to the retina answer against each other, so that little is left; a difference between two implants moves by 1 % for
    0.0014 of the medium. Which index is taken is a convention.

    >>> from lenscalc.eye import published_eye, thin_implanted
    >>> eye = published_eye("bennett_rabbetts")
    >>> round(refraction_change_with_medium(eye, thin_implanted(eye, 20.0), 1.3346), 2)
    -0.01
    """
    s, (n_medium,) = s.in_numbers(), single_numbers(n_medium=n_medium)
    checked(n_medium=n_medium)
    moved = s._replace(n_aqueous=n_medium, n_vitreous=n_medium)
    return float(implant_path(eye, moved).refraction_D - implant_path(eye, s).refraction_D)


def refraction_change_with_temperature(
    eye: PublishedEye, s: Implanted, temperature_degC: float, *, dn_dt_per_K: float, linear_expansion_per_K: float = 0.0
) -> TemperatureChange:
    """Refraction at this temperature (0–40 °C) minus at 35 °C [D]: the lens's index, its dimensions, and the media, which go with water.

    The eye's own dimensions and its cornea stay. The parts are each alone; their sum misses the whole by what they do together.

    Raises
    ------
    InputError
        for values outside their limits.

    >>> from lenscalc.eye import published_eye, thin_implanted
    >>> eye = published_eye("bennett_rabbetts")
    >>> change = refraction_change_with_temperature(eye, thin_implanted(eye, 20.0), 20.0, dn_dt_per_K=-1.1e-4, linear_expansion_per_K=7e-5)
    >>> [round(x, 3) for x in change]
    [-0.164, -0.165, -0.016, 0.018]
    """
    s = s.in_numbers()
    temperature_degC, dn_dt_per_K, linear_expansion_per_K = single_numbers(
        temperature_degC=temperature_degC, dn_dt_per_K=dn_dt_per_K, linear_expansion_per_K=linear_expansion_per_K
    )
    checked(dn_dt_per_K=dn_dt_per_K, volume_expansion_per_K=3.0 * linear_expansion_per_K)
    warming = temperature_degC - TEMPERATURE_IN_USE_DEGC
    medium = float(water_index(WAVELENGTH_IN_USE_NM, temperature_degC) - water_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC))
    grown = 1.0 + linear_expansion_per_K * warming
    index = {"n_lens": s.n_lens + dn_dt_per_K * warming}
    size = {name: getattr(s, name) * grown for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    media = {"n_aqueous": s.n_aqueous + medium, "n_vitreous": s.n_vitreous + medium}
    start = implant_path(eye, s).refraction_D

    def change(**moved: float) -> float:
        return float(implant_path(eye, s._replace(**moved)).refraction_D - start)

    return TemperatureChange(change(**index, **size, **media), change(**index), change(**size), change(**media))
