"""What a reference case may ask of materials."""

from __future__ import annotations

from math import isnan
from typing import Any

from lenscalc.verified.adapter import Adapter, of


def _polymer(name: str, wavelength_nm: float | None = None) -> dict[str, Any]:
    """Of the shipped ones only: a lab's own file has no say in a check of the installation."""
    from lenscalc.material.polymer_library import shipped_polymers

    found = shipped_polymers()[name]
    return {"abbe_d": found.abbe_d} if wavelength_nm is None else {"n": found.n(wavelength_nm)}


def _unmix(n: list[float], **inputs: Any) -> dict[str, Any]:
    """A file cannot hold None: the component that is sought is nan there."""
    from lenscalc.material import unmix

    return {"n": unmix(n=[None if isnan(x) else x for x in n], **inputs)}


def _increments(**increments: int) -> dict[str, Any]:
    """Keys of a file are bare: an underscore stands for a blank."""
    from lenscalc.material import molar_refraction_from_increments

    return {"molar_refraction_cm3_per_mol": molar_refraction_from_increments({k.replace("_", " "): v for k, v in increments.items()})}


def _dispersion_from_abbe(n_d: float, abbe_d: float, wavelength_nm: float, form: str = "cauchy") -> dict[str, Any]:
    from lenscalc.material import Dispersion

    return {"n": Dispersion.from_abbe(n_d, abbe_d, form=form).n(wavelength_nm)}


def _dispersion_fit(wavelength_nm: list[float], n: list[float], form: str, terms: int | None = None, u_n: float | None = None) -> dict[str, Any]:
    from lenscalc.material import Dispersion

    fit = Dispersion.fit(wavelength_nm, n, form=form, terms=terms, u_n=u_n)
    known = {} if u_n is None else {"u_abbe_d": fit.u_abbe_d}
    return {**dict(zip(fit.parameter_names, fit.parameters.tolist(), strict=True)), "abbe_d": fit.abbe_d, **known}


FUNCTIONS: dict[str, Adapter] = {
    "sellmeier_index": of("material", "sellmeier_index", "n"),
    "cauchy_index": of("material", "cauchy_index", "n"),
    "schott_index": of("material", "schott_index", "n"),
    "conrady_index": of("material", "conrady_index", "n"),
    "abbe_number": of("material", "abbe_number", "abbe"),
    "dispersion_from_abbe": _dispersion_from_abbe,
    "dispersion_fit": _dispersion_fit,
    "water_index": of("material", "water_index", "n"),
    "water_index_at_density": of("material", "water_index_at_density", "n"),
    "water_density": of("material", "water_density", "density_kg_per_m3"),
    "air_index": of("material", "air_index", "n"),
    "sucrose_index": of("material", "sucrose_index", "n"),
    "sucrose_mass_fraction": of("material", "sucrose_mass_fraction", "mass_fraction"),
    "saline_index": of("material", "saline_index", "n"),
    "aqueous_index": of("material", "aqueous_index"),
    "lorentz_lorenz_dn_dt": of("material", "lorentz_lorenz_dn_dt", "dn_dt_per_K"),
    "polymer": _polymer,
    "mix": of("material", "mix", "n"),
    "mixing_half_spread": of("material", "mixing_half_spread", "half_spread"),
    "unmix": _unmix,
    "hydrate": of("material", "hydrate"),
    "hydrated_index": of("material", "hydrated_index", "n"),
    "dry_index": of("material", "dry_index", "n"),
    "linear_swelling": of("material", "linear_swelling", "linear_swelling"),
    "water_mass_fraction_wet_from_weights": of("material", "water_mass_fraction_wet_from_weights"),
    "water_mass_fraction_wet_from_dry": of("material", "water_mass_fraction_wet_from_dry", "water_mass_fraction_wet"),
    "copolymer_index": of("material", "copolymer_index"),
    "copolymer_abbe": of("material", "copolymer_abbe"),
    "mass_fraction_for_index": of("material", "mass_fraction_for_index"),
    "molar_refraction_index": of("material", "molar_refraction_index"),
    "molar_refraction_from_increments": _increments,
}
