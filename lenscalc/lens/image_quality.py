"""A lens in a beam: its spherical aberration, focus, wavefront and MTF by exact rays. The lens itself ends here; light/ knows surfaces only."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from lenscalc.light import (
    Beam,
    Surface,
    System,
    best_focus,
    longitudinal_spherical_aberration_mm,
    mtf,
    strehl_ratio,
    zernike_coefficients,
)

# the converging beam of the standard's model eye: a cornea free of aberration whose focus in 1.336 lies 27 to 28 mm behind the front vertex
# of the lens (ISO 11979-2, from memory, to be confirmed against the text)
MODEL_EYE_VERGENCE_D: Final = 1336.0 / 27.5

# MTF that corresponds to 60 % of the Rayleigh cut-off in air, at this frequency in the model eye (ring test of 8 laboratories, J Cataract Refract
# Surg 1998, abstract read); pupil and wavelength from memory, to be confirmed against ISO 11979-2. It holds in no other beam.
CRITERION_MTF: Final = 0.43
CRITERION_FREQUENCY_PER_MM: Final = 100.0
CRITERION_PUPIL_MM: Final = 3.0
CRITERION_WAVELENGTHS_NM: Final = (546.0, 546.1)


class ImageQuality(NamedTuple):
    """Numbers or arrays over the lenses; lengths in mm, wavefront in µm; planes from the paraxial focus; `beam` in words."""

    longitudinal_spherical_aberration_mm: Any
    best_focus_shift_mm: Any
    rms_spot_best_focus_mm: Any
    zernike_4_0_um: Any
    rms_wavefront_um: Any
    strehl_ratio: Any
    mtf: Any
    diffraction_mtf: Any
    cut_off_per_mm: Any
    beam: str


def lens_system(
    front_radius_mm: Any,
    *,
    back_radius_mm: Any,
    center_thickness_mm: Any,
    n_lens: Any,
    n_medium: Any = 1.336,
    n_medium_behind: Any = None,
    front_conic: Any = 0.0,
    back_conic: Any = 0.0,
) -> System:
    """The lens as a row of two surfaces.

    >>> len(lens_system(15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49).surfaces)
    2
    """
    surfaces = [Surface(front_radius_mm, front_conic), Surface(back_radius_mm, back_conic)]
    behind = n_medium if n_medium_behind is None else n_medium_behind
    return System(surfaces, [n_medium, n_lens, behind], [center_thickness_mm])


def image_quality(
    front_radius_mm: Any,
    *,
    back_radius_mm: Any,
    center_thickness_mm: Any,
    n_lens: Any,
    n_medium: Any = 1.336,
    n_medium_behind: Any = None,
    front_conic: Any = 0.0,
    back_conic: Any = 0.0,
    pupil_diameter_mm: Any = 3.0,
    wavelength_nm: Any = 546.07,
    frequency_per_mm: Any = 100.0,
    vergence_D: Any = 0.0,
) -> ImageQuality:
    """What exact rays and diffraction make of a lens on the axis of a beam, in the plane of the least RMS spot.

    A collimated beam on the bare lens and the converging one of a model eye (`MODEL_EYE_VERGENCE_D`) give very different values; the imaging
    criterion holds in the latter alone. Not for diffractive, gradient-index, multifocal or toric lenses.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm : float or array [mm]
        as in `thick_lens`.
    n_lens, n_medium, n_medium_behind : float or array
        indices at the wavelength, on one basis.
    front_conic, back_conic : float or array
        conic constants, 0 a sphere.
    pupil_diameter_mm : float or array [mm]
        of the beam at the front vertex.
    wavelength_nm : float or array [nm]
        in air.
    frequency_per_mm : float or array [1/mm]
        in the image; an array adds an axis behind the lenses.
    vergence_D : float or array [D]
        of the beam at the front vertex; 0 collimated, positive converging.

    Returns
    -------
    ImageQuality

    Raises
    ------
    InputError
        for values outside the hard limits, lost rays, or a beam that has no real image behind the lens.

    Examples
    --------
    >>> q = image_quality(15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    >>> round(q.best_focus_shift_mm / q.longitudinal_spherical_aberration_mm, 3), round(q.mtf, 3)
    (0.667, 0.043)
    >>> lens = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    >>> round(image_quality(15.0, **lens, vergence_D=MODEL_EYE_VERGENCE_D).mtf, 3)
    0.618
    """
    system = lens_system(
        front_radius_mm, back_radius_mm=back_radius_mm, center_thickness_mm=center_thickness_mm, n_lens=n_lens, n_medium=n_medium,
        n_medium_behind=n_medium_behind, front_conic=front_conic, back_conic=back_conic,
    )  # fmt: skip
    beam = Beam(pupil_diameter_mm, vergence_D)
    image = mtf(system, beam, frequency_per_mm=frequency_per_mm, wavelength_nm=wavelength_nm)
    focus = best_focus(system, beam)
    wavefront = zernike_coefficients(system, beam)
    return ImageQuality(
        longitudinal_spherical_aberration_mm(system, beam), focus.shift_mm, focus.rms_spot_mm, wavefront.zernike_4_0_um, wavefront.rms_wavefront_um,
        strehl_ratio(system, beam, wavelength_nm=wavelength_nm), image.mtf, image.diffraction_mtf, image.cut_off_per_mm, image.beam,
    )  # fmt: skip


def criterion_applies(*, pupil_diameter_mm: float, wavelength_nm: float, frequency_per_mm: float, vergence_D: float) -> bool:
    """Whether the imaging criterion may be asked in this beam: the model eye's, its pupil, its line and its frequency.

    >>> criterion_applies(pupil_diameter_mm=3.0, wavelength_nm=546.07, frequency_per_mm=100.0, vergence_D=0.0)
    False
    """
    return (
        vergence_D == MODEL_EYE_VERGENCE_D
        and pupil_diameter_mm == CRITERION_PUPIL_MM
        and CRITERION_WAVELENGTHS_NM[0] <= wavelength_nm <= CRITERION_WAVELENGTHS_NM[1]
        and frequency_per_mm == CRITERION_FREQUENCY_PER_MM
    )
