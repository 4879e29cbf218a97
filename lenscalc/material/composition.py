"""The index of a copolymer from its composition, and the molar refraction of a repeat unit from group contributions.

Such predictions rank candidates and never set a power: they miss by 0.01 to 0.02, where 0.001 is 0.13 D in a lens of 20 D. Every result carries that.

Specific refractions r = (n² − 1)/((n² + 2)ρ) add by mass fraction (Lorentz–Lorenz); the molar refraction of a repeat unit is R = r·M.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.dispersion_forms import abbe_number
from lenscalc.material.limits import DENSITY, INDEX, MOLAR_MASS, REFRACTION, as_many, components, one_of, parts_of_one, together
from lenscalc.material.mixing import ADDITIVE
from lenscalc.quantities import as_given, counted, within
from lenscalc.uncertainty import Estimate, Source, standard_u

# half-widths of the model, by where the parts' indices come from: common practice, no source
HALF_WIDTH = {"measured homopolymers": 0.01, "group contributions": 0.02}


class PredictedIndex(NamedTuple):
    """An index that was never measured. It ranks candidates and never sets a power.

    `u_model` is the standard uncertainty of the model alone (rectangular, `half_width`/√3); what n and density of the parts are uncertain by comes
    on top. `density_kg_per_m3` is the one that was used.
    """

    n: Any
    u_model: float
    half_width: float
    density_kg_per_m3: Any

    def estimate(self, candidate: str) -> Estimate:
        """The index with the model as a source of its uncertainty, one source a candidate, so that nothing cancels between two of them.

        How far the model errs alike for similar candidates is not known.
        """
        model = Source(f"composition of {candidate}, predicted: ranks candidates, never sets a power", scope="lot", distribution="rectangular")
        return Estimate(self.n, {model: np.full(np.shape(self.n), self.u_model)[()]})


class PredictedAbbe(NamedTuple):
    """An Abbe number that was never measured. It ranks candidates and never sets a power.

    `least_half_width` is what the model's error of n_d does when it is one relative error of the refraction at all three lines; an error of the
    dispersion itself comes on top and is not known, so this is a lower bound.
    """

    abbe_d: Any
    least_half_width: Any
    n_d: Any
    n_F: Any
    n_C: Any


class PredictedComposition(NamedTuple):
    """Mass fractions of two monomers predicted to reach an index, with the model's standard uncertainty of each. A first guess for a trial batch."""

    mass_fraction_first: Any
    mass_fraction_second: Any
    u_model: Any


def refraction_of(n: Sequence[Any], density: Sequence[Any], w: Sequence[Any], density_copolymer: Any) -> Any:
    """The body: (n² − 1)/(n² + 2) of the copolymer, Σ w·(n² − 1)/((n² + 2)ρ) times its density. Plain arithmetic, no checks."""
    g = ADDITIVE["lorentz-lorenz"]
    return density_copolymer * sum(wi * g.of(ni) / di for ni, di, wi in zip(n, density, w, strict=True))


def additive_density_of(density: Sequence[Any], w: Sequence[Any]) -> Any:
    """The body: density when volumes add, 1/Σ(w/ρ). Plain arithmetic, no checks."""
    return 1.0 / sum(wi / di for di, wi in zip(density, w, strict=True))


def copolymer_index(
    n: Sequence[Any],
    *,
    density_kg_per_m3: Sequence[Any],
    mass_fraction: Sequence[Any],
    density_copolymer_kg_per_m3: Any = None,
    parts: str = "measured homopolymers",
) -> PredictedIndex:
    """Index of a copolymer from the indices and densities of the homopolymers of its monomers, one entry a monomer.

    Do not use it to set a power: it ranks candidates. All indices at one wavelength, one temperature and on one basis; mass fractions as found in the
    copolymer, which are not those of the feed where the conversion is incomplete.

    Accuracy: 5e-16 relative, over indices 1.33 to 1.6.

    Parameters
    ----------
    n, density_kg_per_m3 : sequence of float or array
        Indices (1 to 3) and densities (500 to 5000 kg/m³) of the homopolymers.
    mass_fraction : sequence of float or array
        Mass fractions; they must sum to 1.
    density_copolymer_kg_per_m3 : float or array, optional
        Measured density of the copolymer. Left out: the volumes of the homopolymers are taken to add.
    parts : str
        "measured homopolymers" (half-width of the model 0.01) or "group contributions" (0.02), by where `n` comes from.

    Returns
    -------
    PredictedIndex
        With the model's uncertainty in it.

    Raises
    ------
    InputError
        for values outside their limits, fractions that do not sum to 1, or lists of different lengths.

    Examples
    --------
    >>> predicted = copolymer_index([1.5916, 1.4906], density_kg_per_m3=[1050, 1188], mass_fraction=[0.7, 0.3])      # styrene, methyl methacrylate
    >>> round(predicted.n, 3), round(predicted.u_model, 4), round(predicted.density_kg_per_m3)
    (1.563, 0.0058, 1088)
    """
    one_of(parts, tuple(HALF_WIDTH), "parts")
    indices, densities, w = _checked(n, density_kg_per_m3, mass_fraction)
    measured = density_copolymer_kg_per_m3
    density = additive_density_of(densities, w) if measured is None else within(DENSITY, measured, "density_copolymer_kg_per_m3")
    together(density, *indices, *densities, *w)
    return _predicted(refraction_of(indices, densities, w, density), density, HALF_WIDTH[parts], "are all densities in kg/m³?")


def copolymer_abbe(
    n_d: Sequence[Any],
    *,
    n_F: Sequence[Any],
    n_C: Sequence[Any],
    density_kg_per_m3: Sequence[Any],
    mass_fraction: Sequence[Any],
    density_copolymer_kg_per_m3: Any = None,
) -> PredictedAbbe:
    """Abbe number of a copolymer: `copolymer_index` at the lines d, F and C, each with the homopolymers' own indices there.

    Do not mix indices of different sources within one homopolymer: an Abbe number is a small difference. A UV absorber changes the dispersion.

    Accuracy: 7e-14 relative (a difference of indices), over Abbe numbers 20 to 60.

    Raises
    ------
    InputError
        as `copolymer_index`; also where the index does not fall from F to C.

    >>> lines = dict(n_F=[1.6041, 1.4965], n_C=[1.5841, 1.4880])                                   # styrene, methyl methacrylate: two published fits
    >>> predicted = copolymer_abbe([1.5916, 1.4906], **lines, density_kg_per_m3=[1050, 1188], mass_fraction=[0.7, 0.3])
    >>> round(predicted.abbe_d, 1), round(predicted.least_half_width, 1)
    (33.8, 0.2)
    """
    at = [
        copolymer_index(
            n, density_kg_per_m3=density_kg_per_m3, mass_fraction=mass_fraction, density_copolymer_kg_per_m3=density_copolymer_kg_per_m3
        )
        for n in (n_d, n_F, n_C)
    ]
    d, F, C = (p.n for p in at)
    V = abbe_number(d, F, C)
    # a relative error of the refraction moves each n in proportion to (n² − 1)(n² + 2)/n
    move_d, move_F, move_C = ((n * n - 1.0) * (n * n + 2.0) / n for n in (d, F, C))
    relative = (move_F - move_C) / (F - C) - move_d / (d - 1.0)
    return PredictedAbbe(V, as_given(np.abs(V * relative * at[0].half_width / move_d)), d, F, C)


def mass_fraction_for_index(n_wanted: Any, *, n: Sequence[Any], density_kg_per_m3: Sequence[Any]) -> PredictedComposition:
    """The composition of a copolymer of two monomers that is predicted to have an index, volumes adding.

    In closed form: with additive volumes the volume fractions follow from (n² − 1)/(n² + 2) linearly. A first guess for a trial batch, not a recipe.

    Accuracy: 4e-15 relative to the whole, over indices 0.05 apart and more.

    Raises
    ------
    InputError
        unless there are two monomers of different index, and where the wanted index does not lie between theirs (the range is named).

    >>> guess = mass_fraction_for_index(1.55, n=[1.5916, 1.4906], density_kg_per_m3=[1050, 1188])
    >>> round(guess.mass_fraction_first, 2), round(guess.u_model, 2)
    (0.57, 0.06)
    """
    indices, densities = components(INDEX, n), components(DENSITY, density_kg_per_m3, "density_kg_per_m3")
    as_many(indices, "n", densities, "density_kg_per_m3")
    wanted = within(INDEX, n_wanted, "n_wanted")
    if len(indices) != 2:
        has = counted(len(indices), "component")
        raise InputError(f"n has {has}: a composition follows from one index only for 2 monomers", quantity="n", value=n)
    together(wanted, *indices, *densities)
    n1, n2, d1, d2, aim = np.broadcast_arrays(*indices, *densities, wanted)
    if np.any(n1 == n2):
        same = float(n1[n1 == n2].flat[0])
        raise InputError(f"n = {same:g} of both monomers: every composition has this index, so none follows from it", quantity="n", value=same)
    outside = (aim < np.minimum(n1, n2)) | (aim > np.maximum(n1, n2))
    if np.any(outside):
        a, b, c = (float(x[outside].flat[0]) for x in (aim, np.minimum(n1, n2), np.maximum(n1, n2)))
        raise InputError(f"n_wanted = {a:g} cannot be reached: these two monomers reach {b:g} to {c:g}", quantity="n_wanted", value=a, limits=(b, c))
    g = ADDITIVE["lorentz-lorenz"]
    f1 = (g.of(aim) - g.of(n2)) / (g.of(n1) - g.of(n2))
    total = f1 * d1 + (1.0 - f1) * d2
    w1 = f1 * d1 / total
    by_n = d1 * d2 / (total * total) * g.slope(aim) / (g.of(n1) - g.of(n2))  # ∂w/∂n
    u = standard_u(HALF_WIDTH["measured homopolymers"], "rectangular") * np.abs(by_n)
    return PredictedComposition(as_given(w1), as_given((1.0 - f1) * d2 / total), as_given(u))


def molar_refraction_index(molar_refraction_cm3_per_mol: Any, *, molar_mass_g_per_mol: Any, density_kg_per_m3: Any) -> PredictedIndex:
    """Index from the molar refraction R of a repeat unit, its molar mass M and the density: n = √((1 + 2x)/(1 − x)), x = Rρ/M (Lorentz–Lorenz).

    Do not use it to set a power: R from group contributions misses n by up to 0.02, which the result carries.

    Accuracy: 4e-16 relative, over indices 1 to 2.5.

    Raises
    ------
    InputError
        for values outside their limits, or where they give no index of 1 to 3 (the wrong unit of one of them).

    >>> predicted = molar_refraction_index(24.744, molar_mass_g_per_mol=100.117, density_kg_per_m3=1188)      # methyl methacrylate; measured 1.4906
    >>> round(predicted.n, 4), predicted.half_width
    (1.499, 0.02)
    """
    R = within(REFRACTION, molar_refraction_cm3_per_mol)
    M = within(MOLAR_MASS, molar_mass_g_per_mol)
    density = within(DENSITY, density_kg_per_m3)
    together(R, M, density)
    return _predicted(R * density / (1000.0 * M), density, HALF_WIDTH["group contributions"], "are R, ρ and M of one repeat unit?")


def _checked(n: Any, density: Any, mass_fraction: Any) -> tuple[list[Any], list[Any], list[Any]]:
    indices, densities = components(INDEX, n), components(DENSITY, density, "density_kg_per_m3")
    w = parts_of_one(mass_fraction, "mass_fraction")
    as_many(indices, "n", densities, "density_kg_per_m3")
    as_many(indices, "n", w, "mass_fraction")
    together(*indices, *densities, *w)
    return indices, densities, w


def _predicted(x: Any, density: Any, half_width: float, doubt: str) -> PredictedIndex:
    """From x = (n² − 1)/(n² + 2), which is 8/11 at an index of 3 and cannot reach 1."""
    if np.any(x > 8.0 / 11.0):
        worst = float(np.max(x))
        raise InputError(f"(n² − 1)/(n² + 2) = {worst:g}: must be below 0.727, an index of 3; {doubt}", quantity="density_kg_per_m3", value=worst)
    n = ADDITIVE["lorentz-lorenz"].back(x)
    return PredictedIndex(as_given(n), standard_u(half_width, "rectangular"), half_width, as_given(density))
