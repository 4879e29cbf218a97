"""The image that an implant gives in a schematic eye: MTF at the retina, in one colour or over the visible, with a cornea's spherical aberration."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any, NamedTuple

import numpy as np

from lenscalc.conditions import WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.eye.chromatic import HasIndex, in_colour
from lenscalc.eye.image_size import image_size_mm_per_radian
from lenscalc.eye.implant import Implanted, implant_path, planes_with_implant
from lenscalc.eye.light_path import far_light_of
from lenscalc.eye.published import PublishedEye
from lenscalc.lens.image_quality import lens_system
from lenscalc.light import Beam, System, mtf
from lenscalc.quantities import checked, single_numbers

AT_PUPIL_MM = 6.0  # the pupil at which a cornea's coefficient is mostly stated: common practice, no source
LARGEST_UM = 5.0


class EyeMtf(NamedTuple):
    """MTF and that of diffraction alone in these colours; frequencies, on the retina [1/mm] and as seen [1/°]; beam and light in words."""

    mtf: Any
    diffraction_mtf: Any
    frequency_per_mm: Any
    frequency_per_degree: Any
    beam: str
    light: str


def eye_mtf(
    eye: PublishedEye,
    s: Implanted,
    *,
    frequency_per_mm: Any,
    pupil_diameter_mm: float = 3.0,
    cornea_zernike_4_0_um: float = 0.0,
    at_pupil_mm: float = AT_PUPIL_MM,
    front_conic: float = 0.0,
    back_conic: float = 0.0,
    polymer: HasIndex | None = None,
    weights: Mapping[float, float] | None = None,
    focus: Any = "least_wavefront",
) -> EyeMtf:
    """MTF on the retina of a schematic eye with this implant, its refraction at 546.07 nm corrected.

    The cornea is what it is in the published eye paraxially, in every colour; its aberration is the stated one and no other, so that the spherical
    surfaces on paper bring none. The implant is followed by exact rays. The plane is the best one for the light given, as after a correction.
    Not in it: what the retina and scattered light do, an implant that is tilted or decentred, the angle of the line of sight, astigmatism.

    Parameters
    ----------
    eye : PublishedEye
    s : Implanted
        one implant, of plain numbers and with a thickness.
    frequency_per_mm : float or array [1/mm]
        on the retina.
    pupil_diameter_mm : float [mm]
        of the beam at the front vertex of the implant.
    cornea_zernike_4_0_um : float [µm]
        OSA/ANSI coefficient of the cornea's wavefront, positive when undercorrected; one length in every colour.
    at_pupil_mm : float [mm]
        the beam's diameter on the cornea for which it is stated.
    front_conic, back_conic : float
        conic constants of the implant.
    polymer : has n(wavelength_nm), optional
        for more than the one colour; moved to the index of `s` at 546.07 nm.
    weights : mapping, optional
        wavelength [nm] → weight, such as `PHOTOPIC`: a spectrum of equal energy as it looks by day. Without them 546.07 nm alone.
    focus : "least_wavefront" | "paraxial" | float [mm]
        the plane: by a word, for a spectrum the weighted mean over the colours, or its shift from the paraxial focus.

    Returns
    -------
    EyeMtf

    Raises
    ------
    InputError
        for a thin implant, a pupil wider on the cornea than its aberration was stated for, weights without a polymer, wavelengths outside 400–700 nm.

    References
    ----------
    A smaller pupil, s times as wide, has s⁴ times the coefficient and a defocus that the correction takes away (the polynomial's own arithmetic).

    Examples
    --------
    >>> from lenscalc.eye import PHOTOPIC, eye_mtf, implanted, published_eye
    >>> from lenscalc.material import Dispersion
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)
    >>> green = eye_mtf(eye, made, frequency_per_mm=100.0, cornea_zernike_4_0_um=0.27)
    >>> white = eye_mtf(eye, made, frequency_per_mm=100.0, cornea_zernike_4_0_um=0.27, polymer=Dispersion.from_abbe(1.4906, 58.0), weights=PHOTOPIC)
    >>> round(green.diffraction_mtf, 3), round(green.mtf, 3), round(white.mtf, 3), round(float(green.frequency_per_degree), 1)
    (0.666, 0.476, 0.29, 29.7)
    """
    s = s.in_numbers()
    _one(s)
    colours = _colours(polymer, weights)
    system, beam = image_system(
        eye, s, pupil_diameter_mm=pupil_diameter_mm, cornea_zernike_4_0_um=cornea_zernike_4_0_um, at_pupil_mm=at_pupil_mm,
        front_conic=front_conic, back_conic=back_conic, polymer=polymer, wavelength_nm=None if colours is None else colours[0],
    )  # fmt: skip
    lit: dict[str, Any] = {"wavelength_nm": WAVELENGTH_IN_USE_NM} if colours is None else {"wavelength_nm": colours[0], "weights": colours[1]}
    found = mtf(system, beam, frequency_per_mm=frequency_per_mm, focus=focus, **lit)
    per_mm = np.asarray(frequency_per_mm, dtype=np.float64)[()]
    degree = float(image_size_mm_per_radian(eye, s)) * pi / 180.0
    words = f"{WAVELENGTH_IN_USE_NM:g} nm"
    if colours is not None:
        nm, _ = colours
        words = f"{nm[0]:g} nm" if len(nm) == 1 else f"{len(nm)} wavelengths, {nm[0]:g} to {nm[-1]:g} nm, weighted"
    return EyeMtf(found.mtf, found.diffraction_mtf, per_mm, per_mm * degree, found.beam, words)


def image_system(
    eye: PublishedEye,
    s: Implanted,
    *,
    pupil_diameter_mm: float = 3.0,
    cornea_zernike_4_0_um: float = 0.0,
    at_pupil_mm: float = AT_PUPIL_MM,
    front_conic: float = 0.0,
    back_conic: float = 0.0,
    polymer: HasIndex | None = None,
    wavelength_nm: Any = None,
) -> tuple[System, Beam]:
    """The implant, and the beam that the corrected cornea sends it, for every function of `lenscalc.light`; parameters as for `eye_mtf`.

    >>> from lenscalc.eye import implanted, published_eye
    >>> from lenscalc.light import paraxial_image
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)
    >>> system, beam = image_system(eye, made, cornea_zernike_4_0_um=0.27)
    >>> beam.in_words()
    'in the model eye: converging by 48.1514 D onto the lens, 3 mm wide there, with Zernike (4, 0) 0.0310029 µm in its wavefront'
    >>> round(float(paraxial_image(system, vergence_D=beam.vergence_D).image_distance_mm), 5), round(eye.axial_length_mm - 4.5 - 0.9, 5)
    (18.79655, 18.79655)
    """
    checked(pupil_diameter_mm=pupil_diameter_mm)
    s = s.in_numbers()
    cornea_zernike_4_0_um, at_pupil_mm = single_numbers(cornea_zernike_4_0_um=cornea_zernike_4_0_um, at_pupil_mm=at_pupil_mm)
    path = implant_path(eye, s)
    names = list(path.names)
    cornea, front = 1, next(i for i, name in enumerate(names) if "implant" in name)
    narrower = pupil_diameter_mm * path.heights[cornea] / path.heights[front] / at_pupil_mm
    added = {4: cornea_zernike_4_0_um * narrower**4} if _stated(cornea_zernike_4_0_um, at_pupil_mm, narrower) else {}
    coloured, lit = (eye, s) if polymer is None or wavelength_nm is None else in_colour(eye, s, polymer, wavelength_nm)
    way = far_light_of(planes_with_implant(coloured, lit), path.refraction_D)
    system = lens_system(
        s.front_radius_mm, back_radius_mm=s.back_radius_mm, center_thickness_mm=s.center_thickness_mm, n_lens=lit.n_lens,
        n_medium=lit.n_aqueous, n_medium_behind=lit.n_vitreous, front_conic=front_conic, back_conic=back_conic,
    )  # fmt: skip
    return system, Beam(pupil_diameter_mm, way.before_D[front], added)


def _one(s: Implanted) -> None:
    if any(np.ndim(value) for value in s):
        raise InputError("the image is worked out for one implant: this one holds arrays", quantity="implant")
    if not s.center_thickness_mm > 0:
        raise InputError(
            f"center_thickness_mm = {s.center_thickness_mm:g} mm: an image needs a lens that could be made, with a thickness; a thin one has a power "
            "and no shape",
            quantity="center_thickness_mm", value=s.center_thickness_mm, unit="mm",
        )  # fmt: skip


def _stated(coefficient_um: float, at_pupil_mm: float, narrower: float) -> bool:
    """Whether there is an aberration to add; refused where it was stated for a smaller pupil than is used."""
    if not abs(coefficient_um) <= LARGEST_UM:
        raise InputError(
            f"cornea_zernike_4_0_um = {coefficient_um:g} µm: must be -{LARGEST_UM:g} to {LARGEST_UM:g} µm; is it in nm? write it in µm",
            quantity="cornea_zernike_4_0_um", value=coefficient_um, limits=(-LARGEST_UM, LARGEST_UM), unit="µm",
        )  # fmt: skip
    if not 1.0 <= at_pupil_mm <= 12.0:
        raise InputError(
            f"at_pupil_mm = {at_pupil_mm:g} mm: must be 1 to 12 mm", quantity="at_pupil_mm", value=at_pupil_mm, limits=(1.0, 12.0), unit="mm"
        )
    if coefficient_um and narrower > 1.0 + 1e-9:
        raise InputError(
            f"at_pupil_mm = {at_pupil_mm:g} mm: the beam is {narrower * at_pupil_mm:.2f} mm wide on the cornea, and nothing is known of the "
            "aberration beyond the pupil it was stated for; make the pupil smaller, or state it for a larger one",
            quantity="at_pupil_mm", value=at_pupil_mm, unit="mm",
        )  # fmt: skip
    return bool(coefficient_um)


def _colours(polymer: HasIndex | None, weights: Mapping[float, float] | None) -> tuple[Any, Any] | None:
    if weights is None:
        return None
    if polymer is None:
        raise InputError("weights are given, so the implant needs its dispersion: give the polymer", quantity="polymer")
    if not weights:
        raise InputError("weights is empty: give at least one wavelength", quantity="weights")
    nm = np.array(sorted(weights), dtype=np.float64)
    return nm, np.array([weights[x] for x in sorted(weights)], dtype=np.float64)
