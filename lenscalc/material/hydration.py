"""Water in a polymer: what it does to the index and to the size, from the water content on the wet basis and the densities.

Volumes are taken to add, and water in a polymer is taken to be bulk water; neither is exact. One water content moves index, radii and thickness
together, so its derivatives are given side by side: carry its error with their signs, never as two errors.

Weighing a specimen wet and dry tells its water content better than an index read against a sugar scale does (Alemany & Refojo 2000, abstract).
"""

from __future__ import annotations

from typing import Any, NamedTuple, NotRequired, TypedDict, Unpack

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.limits import DENSITY, DENSITY_WATER, INDEX, WATER_WET, one_of, together
from lenscalc.material.mixing import RULES, two_mixed_of, unmixed_of
from lenscalc.material.water import water_density, water_index
from lenscalc.quantities import as_given, within


class Hydration(NamedTuple):
    """Index and linear swelling s (wet length = (1 + s)·dry length) of a hydrated polymer, with derivatives; numbers or arrays of one shape.

    `by_water` and `swelling_by_water` are by the water mass fraction (wet basis), `by_density` and `swelling_by_density` by the dry density
    [1/(kg/m³)]. `half_spread` between the mixing rules is the least half-width (rectangular) of what the choice of a rule leaves open.
    """

    n_hydrated: Any
    linear_swelling: Any
    by_water: Any
    swelling_by_water: Any
    by_n_dry: Any
    by_density: Any
    swelling_by_density: Any
    half_spread: Any
    by_n_water: Any


def hydration_of(w: Any, n_dry: Any, rho_dry: Any, n_water: Any, rho_water: Any, rule: str = "lorentz-lorenz") -> Hydration:
    """The body: w the water mass fraction on the wet basis. Plain arithmetic, no checks."""
    # q = V_water/V_dry; φ_w = (w/ρ_w)/(w/ρ_w + (1 − w)/ρ_p) = q/(1 + q); 1 + s = (1 + q)^(1/3)
    q = w * rho_dry / ((1.0 - w) * rho_water)
    q_by_water = rho_dry / ((1.0 - w) * (1.0 - w) * rho_water)
    q_by_density = w / ((1.0 - w) * rho_water)
    length = (1.0 + q) ** (1.0 / 3.0)
    length_by_q = length / (3.0 * (1.0 + q))
    fraction_by_q = 1.0 / ((1.0 + q) * (1.0 + q))
    wet = two_mixed_of(n_water, n_dry, q / (1.0 + q), rule)
    outermost = [two_mixed_of(n_water, n_dry, q / (1.0 + q), r).n for r in ("newton", "lorentz-lorenz")]  # see mixing_half_spread
    return Hydration(
        wet.n,
        q / (length * length + length + 1.0),  # the length less 1, which would leave a little water no digits
        wet.by_fraction * fraction_by_q * q_by_water,
        length_by_q * q_by_water,
        wet.by_second,
        wet.by_fraction * fraction_by_q * q_by_density,
        length_by_q * q_by_density,
        (outermost[0] - outermost[1]) / 2.0,
        wet.by_first,
    )


class WaterHeld(TypedDict):
    """The polymer and its water, as `hydrate`, `hydrated_index` and `dry_index` are told of them; what each means stands with `hydrate`."""

    water_mass_fraction_wet: Any
    density_dry_kg_per_m3: Any
    n_water: NotRequired[Any]
    density_water_kg_per_m3: NotRequired[Any]
    wavelength_nm: NotRequired[Any]
    temperature_degC: NotRequired[Any]
    rule: NotRequired[str]


def hydrate(n_dry: Any, **water: Unpack[WaterHeld]) -> Hydration:
    """Index and linear swelling of a polymer that has taken up water, with every derivative that its uncertainty needs.

    Do not use it to set a power: a hydrogel's index is read wet. It says what an error of the water content does, and how far a dry reading may lead.
    Published readings of three hydrogels of 38, 55 and 69 % water at 20 °C lie 0.01 to 0.02 above what it gives from book values of the dry polymer
    (tests/material/test_hydration.py): several times the half-spread between the rules.

    Accuracy: 5e-16 relative, over water from 1e-30 to 0.99.

    Parameters
    ----------
    n_dry : float or array
        Index of the dry polymer, at the wavelength and temperature meant, relative to air.
    water_mass_fraction_wet : float or array
        Mass of water by the mass of the WET specimen, 0 to 0.99. `water_mass_fraction_wet_from_dry` converts from the other basis, which moves
        the index by 0.010 at 0.25.
    density_dry_kg_per_m3 : float or array
        Density of the dry polymer, 500 to 5000 kg/m³.
    n_water, density_water_kg_per_m3 : float or array, optional
        Index (on the basis of n_dry) and density of what is taken up, for instance of the saline in which the specimen lies. Left out: pure bulk
        water by `water_index` (relative to air) and `water_density`.
    wavelength_nm, temperature_degC : float or array
        For the water where it is not given; needed then, and refused where they would be ignored.
    rule : str
        Mixing rule, as of `mix`; "lorentz-lorenz" where it is left out.

    Raises
    ------
    InputError
        for values outside their limits, or conditions that are missing or would be ignored.

    Examples
    --------
    >>> wet = hydrate(1.51, water_mass_fraction_wet=0.38, density_dry_kg_per_m3=1274, wavelength_nm=589.29, temperature_degC=20)
    >>> round(wet.n_hydrated, 3), round(wet.linear_swelling, 3), round(wet.by_water, 2), round(wet.half_spread, 4)
    (1.43, 0.212, -0.19, 0.0027)
    """
    *numbers, rule = _water_held("n_dry", n_dry, **water)
    dry, w, rho, n_w, rho_w = (np.asarray(a) for a in np.broadcast_arrays(*numbers))
    return Hydration(*(as_given(x) for x in hydration_of(w, dry, rho, n_w, rho_w, rule)))


def hydrated_index(n_dry: Any, **water: Unpack[WaterHeld]) -> Any:
    """Index of the hydrated polymer alone; arguments and errors as of `hydrate`, which gives what its uncertainty needs.

    Accuracy: 4e-16 relative, over water from 0 to 0.99.

    >>> round(hydrated_index(1.51, water_mass_fraction_wet=0.38, density_dry_kg_per_m3=1274, wavelength_nm=589.29, temperature_degC=20), 4)
    1.4295
    """
    return hydrate(n_dry, **water).n_hydrated


def dry_index(n_hydrated: Any, **water: Unpack[WaterHeld]) -> Any:
    """The inverse of `hydrated_index`: the index that the polymer has, or would have, without its water. Arguments as of `hydrate`.

    Accuracy: 9e-16 relative to the index over the dry part, over water to 0.8.

    Raises
    ------
    InputError
        as `hydrate`; also where no dry polymer of index 1 to 3 can have this index when wet.

    >>> water = dict(water_mass_fraction_wet=0.38, density_dry_kg_per_m3=1274, wavelength_nm=589.29, temperature_degC=20)
    >>> round(dry_index(hydrated_index(1.51, **water), **water), 12)
    1.51
    """
    wet, w, rho, n_w, rho_w, rule = _water_held("n_hydrated", n_hydrated, **water)
    q = w * rho / ((1.0 - w) * rho_w)
    with np.errstate(all="ignore"):
        n = unmixed_of(wet, [n_w], [q / (1.0 + q)], 1.0 / (1.0 + q), rule)
    outside = ~((n >= INDEX.lower) & (n <= INDEX.upper))
    if np.any(outside):
        worst = float(np.broadcast_to(wet, np.shape(outside))[outside].flat[0])
        text = f"n_hydrated = {worst:g}: no dry polymer of index {INDEX.limits_text} has it with this much water; is that on the wet basis?"
        raise InputError(text, quantity="n_hydrated", value=worst)
    return as_given(n)


def linear_swelling_of(w: Any, rho_dry: Any, rho_water: Any) -> Any:
    """The body: wet length over dry length, less 1, volumes adding: (V_wet/V_dry)^(1/3) − 1. Plain arithmetic, no checks.

    Accuracy: 5e-16 relative, over water from 1e-30 to 0.99.

    >>> round(linear_swelling_of(0.25, 1190.0, 998.2), 3)
    0.118
    """
    q = w * rho_dry / ((1.0 - w) * rho_water)
    length = (1.0 + q) ** (1.0 / 3.0)
    return q / (length * length + length + 1.0)


def linear_swelling(water_mass_fraction_wet: Any, *, density_dry_kg_per_m3: Any, density_water_kg_per_m3: Any) -> Any:
    """Linear swelling s of a polymer that takes up water, volumes adding and equally in all directions: wet length = (1 + s)·dry length.

    A specimen in a mould or on a haptic does not swell equally; compare with a measured diameter.

    Accuracy: 5e-16 relative, over water from 1e-30 to 0.99.

    Raises
    ------
    InputError
        for values outside their limits (a percentage for a fraction, g/cm³ for kg/m³).

    >>> round(linear_swelling(0.25, density_dry_kg_per_m3=1190, density_water_kg_per_m3=998.2), 3)
    0.118
    """
    w = within(WATER_WET, water_mass_fraction_wet)
    rho = within(DENSITY, density_dry_kg_per_m3, "density_dry_kg_per_m3")
    rho_w = within(DENSITY_WATER, density_water_kg_per_m3)
    together(w, rho, rho_w)
    return as_given(linear_swelling_of(w, rho, rho_w))


def _water_held(
    name: str,
    n: Any,
    *,
    water_mass_fraction_wet: Any,
    density_dry_kg_per_m3: Any,
    n_water: Any = None,
    density_water_kg_per_m3: Any = None,
    wavelength_nm: Any = None,
    temperature_degC: Any = None,
    rule: str = "lorentz-lorenz",
) -> tuple[Any, Any, Any, Any, Any, str]:
    """The index, the water by wet mass, the dry density, the water's index and density, the rule; within their limits and of shapes that fit."""
    one_of(rule, RULES, "rule")
    n = within(INDEX, n, name)
    w = within(WATER_WET, water_mass_fraction_wet)
    rho = within(DENSITY, density_dry_kg_per_m3, "density_dry_kg_per_m3")
    n_w, rho_w = _water(n_water, density_water_kg_per_m3, wavelength_nm, temperature_degC)
    together(n, w, rho, n_w, rho_w)
    return n, w, rho, n_w, rho_w, rule


def _water(n_water: Any, density: Any, wavelength_nm: Any, temperature_degC: Any) -> tuple[Any, Any]:
    """Index and density of the water: as given, or of pure water at the conditions."""
    needed = {"wavelength_nm": n_water is None, "temperature_degC": n_water is None or density is None}
    for name, value in (("wavelength_nm", wavelength_nm), ("temperature_degC", temperature_degC)):
        if needed[name] and value is None:
            raise InputError(f"{name} is missing: give the conditions of the water, or n_water with density_water_kg_per_m3", quantity=name)
        if not needed[name] and value is not None:
            raise InputError(f"{name} would be ignored: the water is given already; leave out one of the two", quantity=name, value=value)
    n = water_index(wavelength_nm, temperature_degC) if n_water is None else within(INDEX, n_water, "n_water")
    rho = water_density(temperature_degC) if density is None else within(DENSITY_WATER, density)
    return n, rho
