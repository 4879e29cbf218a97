"""How an error of the index undoes what a lens was figured for."""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.lens.image_quality import lens_system
from lenscalc.light import Beam, System, best_focus, mtf, paraxial_image, zernike_coefficients
from lenscalc.quantities import as_number, numbers, quantity, within


class MovedIndex(NamedTuple):
    """Zernike (4,0) [µm] and MTF with the index it was figured for, and with the moved one; `beam` in words.

    `mtf_after` is in the best plane of the moved lens, `mtf_in_old_plane` in the plane that was best before, as where the retina stays. The two part
    what the index does to the figure from what it does to the focus; `focus_moved_mm` is the way between the planes, along +z.
    """

    zernike_4_0_um: Any
    zernike_4_0_after_um: Any
    mtf: Any
    mtf_after: Any
    mtf_in_old_plane: Any
    focus_moved_mm: Any
    beam: str


def image_with_moved_index(
    front_radius_mm: Any, *, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, index_error: Any, pupil_diameter_mm: Any,
    wavelength_nm: Any = 546.07, frequency_per_mm: Any = 100.0, n_medium: Any = 1.336, n_medium_behind: Any = None, front_conic: Any = 0.0,
    back_conic: Any = 0.0, vergence_D: Any = 0.0,
) -> MovedIndex:  # fmt: skip
    """Aberration and MTF of a lens before and after its index moves by `index_error`, radii and conics as they are.

    A conic constant that nulls the aberration does so for one index; but an error of the index takes the image out of its plane long before it
    brings the aberration back.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind, front_conic, back_conic
        as in `image_quality`.
    index_error : float or array
        index as it is, less `n_lens`.
    pupil_diameter_mm, wavelength_nm, frequency_per_mm, vergence_D
        the beam and the question, as in `image_quality`.

    Raises
    ------
    InputError
        for values outside the hard limits, lost rays, a beam without a real image.

    Examples
    --------
    >>> lens = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "pupil_diameter_mm": 3.0}
    >>> from lenscalc.lens import conic_for_exact_aberration
    >>> k = conic_for_exact_aberration(15.0, **lens, surface="front")
    >>> moved = image_with_moved_index(15.0, **lens, index_error=0.005, front_conic=k, frequency_per_mm=50.0)
    >>> abs(moved.zernike_4_0_um) < 1e-10, round(moved.zernike_4_0_after_um, 6)         # a hundredth of what the spheres had
    (True, 5.3e-05)
    >>> [round(x, 2) for x in (moved.mtf, moved.mtf_after, moved.mtf_in_old_plane, moved.focus_moved_mm)]
    [0.45, 0.47, 0.03, -2.05]
    """
    n, error = numbers(n_lens=as_number("n_lens", n_lens), index_error=within(quantity("index_error"), index_error))
    lens = {
        "back_radius_mm": back_radius_mm, "center_thickness_mm": center_thickness_mm, "n_medium": n_medium, "n_medium_behind": n_medium_behind,
        "front_conic": front_conic, "back_conic": back_conic,
    }  # fmt: skip
    before = lens_system(front_radius_mm, n_lens=n_lens, **lens)
    after = lens_system(front_radius_mm, n_lens=n + error, **lens)
    beam = Beam(pupil_diameter_mm, vergence_D)
    asked = {"frequency_per_mm": frequency_per_mm, "wavelength_nm": wavelength_nm}
    there = best_focus(before, beam).distance_mm
    off = there - paraxial_image(after, vergence_D=vergence_D).image_distance_mm

    def of(system: System, focus: Any = "least_spot") -> Any:
        return mtf(system, beam, **asked, focus=focus)

    first = of(before)
    return MovedIndex(
        zernike_coefficients(before, beam).zernike_4_0_um, zernike_coefficients(after, beam).zernike_4_0_um, first.mtf, of(after).mtf,
        of(after, off).mtf, best_focus(after, beam).distance_mm - there, first.beam,
    )  # fmt: skip
