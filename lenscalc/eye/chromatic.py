"""Chromatic difference of refraction of an eye with an implant: the polymer's dispersion, and whose the media's dispersion is taken to be."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple, Protocol

import numpy as np

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.eye.change import refraction_with
from lenscalc.eye.implant import Implanted, implant_path
from lenscalc.eye.published import PublishedEye, Surface
from lenscalc.material import aqueous_index, water_index
from lenscalc.quantities import numbers, single_numbers

MEDIA = ("ocular", "water")
# Cauchy's shape B/λ² + C/λ⁴ + D/λ⁶, λ in nm: Atchison & Smith, J. Opt. Soc. Am. A 22 (2005) 29; not read in the paper, two open programs print them
# alike. Their constants A are not used: every medium is moved to the eye's own index at 546.07 nm.
_SHAPES = {"cornea": (6.009687e3, -6.760760e8, 5.908450e13), "vitreous": (5.560240e3, -5.817391e8, 5.036810e13)}


class HasIndex(Protocol):
    """A material with an index at a wavelength [nm in air], such as `Dispersion` or a published polymer."""

    def n(self, wavelength_nm: Any) -> Any:
        """Index at a wavelength."""


class ChromaticChange(NamedTuple):
    """Refraction at a wavelength minus at 546.07 nm [D]: the media as published for the eye and, side by side, water moved to their indices."""

    wavelength_nm: Any
    ocular_media_D: Any
    shifted_water_D: Any


class ChromaticSpan(NamedTuple):
    """Refraction at the long end minus at the short end [D], both ways, and whether the polymer's dispersion was extrapolated there."""

    ocular_media_D: float
    shifted_water_D: float
    extrapolated: bool


def chromatic_change(eye: PublishedEye, s: Implanted, polymer: HasIndex, wavelength_nm: Any) -> ChromaticChange:
    """Chromatic difference of refraction, from 400 to 700 nm.

    The polymer's n(λ) is moved by a constant to the index of `s` at 546.07 nm, the media to the eye's own. What water does in place of the ocular
    media is told beside; neither is a measurement of this eye. The choice rules the chromatic power of an implant alone (20 D of poly(methyl
    methacrylate): 0.42 D over 400–700 nm in the aqueous, 0.73 D in shifted water) but not the eye's, because media that disperse more take from
    the implant about what they add to the rest of the eye: of 1.7 D, 0.01 D is left, and 0.1 D for a watery or a strongly dispersing polymer.

    Parameters
    ----------
    eye : PublishedEye
    s : Implanted
        of plain numbers.
    polymer : has n(wavelength_nm)
        `Dispersion`, or a published polymer.
    wavelength_nm : float or array [nm, in air]

    Returns
    -------
    ChromaticChange
        negative where light of that wavelength comes to its focus nearer (short wavelengths).

    Raises
    ------
    InputError
        outside 400–700 nm, or where the polymer has no index.

    References
    ----------
    Media: Atchison & Smith 2005 (see `aqueous_index`); water: IAPWS R9-97 at 35 °C.

    Examples
    --------
    >>> from lenscalc.eye import implanted, published_eye
    >>> from lenscalc.material import Dispersion
    >>> eye, pmma = published_eye("le_grand_full"), Dispersion.from_abbe(1.4906, 58.0)
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)
    >>> change = chromatic_change(eye, made, pmma, 486.13)
    >>> round(float(change.ocular_media_D), 2), round(float(change.shifted_water_D), 2)
    (-0.35, -0.35)
    """
    s, (nm,) = s.in_numbers(), numbers(wavelength_nm=wavelength_nm)
    implant_path(eye, s)
    start = refraction_with(eye, s)
    ocular, water = (refraction_with(*in_colour(eye, s, polymer, nm, media)) - start for media in MEDIA)
    return ChromaticChange(nm[()], ocular[()], water[()])


def chromatic_span(eye: PublishedEye, s: Implanted, polymer: HasIndex, *, short_nm: float = 400.0, long_nm: float = 700.0) -> ChromaticSpan:
    """Longitudinal chromatic aberration in dioptres of refraction: at the long wavelength minus at the short one.

    >>> from lenscalc.eye import published_eye, thin_implanted
    >>> from lenscalc.material import Dispersion
    >>> eye = published_eye("le_grand_full")
    >>> pmma = chromatic_span(eye, thin_implanted(eye, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0), short_nm=486.13, long_nm=656.27)
    >>> round(pmma.ocular_media_D, 2), round(pmma.shifted_water_D, 2), pmma.extrapolated
    (0.77, 0.77, True)
    """
    short_nm, long_nm = single_numbers(short_nm=short_nm, long_nm=long_nm)
    if not short_nm < long_nm:
        raise InputError(f"short_nm = {short_nm:g} nm: must be below long_nm = {long_nm:g} nm", quantity="short_nm", value=short_nm, unit="nm")
    change = chromatic_change(eye, s, polymer, [short_nm, long_nm])
    known = getattr(polymer, "is_extrapolated", None)
    beyond = bool(np.any(known([short_nm, long_nm]))) if known else False
    ocular, water = change.ocular_media_D, change.shifted_water_D
    return ChromaticSpan(float(ocular[1] - ocular[0]), float(water[1] - water[0]), beyond)


def chromatic_span_change(
    eye: PublishedEye, first: tuple[Implanted, HasIndex], second: tuple[Implanted, HasIndex], *, short_nm: float = 400.0, long_nm: float = 700.0
) -> ChromaticSpan:
    """The longitudinal chromatic aberration with the second lens and polymer minus with the first.

    >>> from lenscalc.eye import published_eye, thin_implanted
    >>> from lenscalc.material import Dispersion
    >>> eye = published_eye("le_grand_full")
    >>> low = thin_implanted(eye, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0)
    >>> high = thin_implanted(eye, 20.0, n_lens=1.55), Dispersion.from_abbe(1.548, 37.0)
    >>> round(chromatic_span_change(eye, low, high, short_nm=486.13, long_nm=656.27).ocular_media_D, 2)
    0.4
    """
    a, b = (chromatic_span(eye, s, polymer, short_nm=short_nm, long_nm=long_nm) for s, polymer in (first, second))
    return ChromaticSpan(b.ocular_media_D - a.ocular_media_D, b.shifted_water_D - a.shifted_water_D, a.extrapolated or b.extrapolated)


def media_shift(medium: str, wavelength_nm: Any, media: str = "ocular") -> Any:
    """n(λ) − n(546.07 nm) of "cornea", "aqueous" or "vitreous", of the ocular media or of water.

    >>> [round(float(media_shift(m, 486.1327) - media_shift(m, 656.2725)), 4) for m in ("cornea", "aqueous", "vitreous")]
    [0.0068, 0.0066, 0.0065]
    """
    if media not in MEDIA:
        raise InputError(f"media = {media!r}: must be 'ocular' or 'water'", quantity="media", value=media)
    at = aqueous_index(wavelength_nm).n  # refuses what lies outside 400–700 nm, for every medium alike
    if media == "water":
        return water_index(wavelength_nm, TEMPERATURE_IN_USE_DEGC) - water_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC)
    if medium == "aqueous":
        return at - aqueous_index(WAVELENGTH_IN_USE_NM).n
    if medium not in _SHAPES:
        raise InputError(f"medium = {medium!r}: must be 'cornea', 'aqueous' or 'vitreous'", quantity="medium", value=medium)
    shape = _SHAPES[medium]

    def height(nm: Any) -> Any:
        L2 = nm * nm
        return shape[0] / L2 + shape[1] / (L2 * L2) + shape[2] / (L2 * L2 * L2)

    return height(np.asarray(wavelength_nm, dtype=np.float64)) - height(WAVELENGTH_IN_USE_NM)


def in_colour(eye: PublishedEye, s: Implanted, polymer: HasIndex, wavelength_nm: Any, media: str = "ocular") -> tuple[PublishedEye, Implanted]:
    """Eye and implant with their indices at a wavelength: each is moved by a constant to what it is in `eye` and `s` at 546.07 nm.

    >>> from lenscalc.eye import published_eye, thin_implanted
    >>> from lenscalc.material import Dispersion
    >>> eye = published_eye("le_grand_full")
    >>> _, lit = in_colour(eye, thin_implanted(eye, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0), 486.13)
    >>> round(float(lit.n_lens), 4), round(float(lit.n_aqueous), 4)
    (1.4965, 1.3404)
    """
    (nm,) = numbers(wavelength_nm=wavelength_nm)
    *front, back = eye.cornea
    moved = [Surface(x.radius_mm, x.n_behind + media_shift("cornea", nm, media), x.thickness_mm) for x in front]
    lit = s._replace(
        n_lens=s.n_lens + np.asarray(polymer.n(nm)) - float(polymer.n(WAVELENGTH_IN_USE_NM)),
        n_aqueous=s.n_aqueous + media_shift("aqueous", nm, media),
        n_vitreous=s.n_vitreous + media_shift("vitreous", nm, media),
    )
    return replace(eye, cornea=(*moved, back)), lit
