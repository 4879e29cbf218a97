"""One question, one answer: what would another power or another place of the implant do to the refraction of a schematic eye?"""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.eye.change import eye_sensitivities
from lenscalc.eye.implant import DEEPER_MM, DEPTH_MM, implant_path, thin_implanted
from lenscalc.eye.published import published_eye, published_eyes
from lenscalc.eye.refraction import refraction
from lenscalc.eye.schematic import TEACHING_EYE, in_words
from lenscalc.quantities import single_numbers


class WhatIf(NamedTuple):
    """Shift of the refraction [D], its slopes [D per dioptre of the implant, per mm deeper, per mm longer], and the eye in one sentence."""

    refraction_shift_D: float
    d_refraction_d_power: float
    d_refraction_d_position_mm: float
    d_refraction_d_length_mm: float
    eye: str


def schematic_eyes() -> tuple[str, ...]:
    """The eyes that can be named: "teaching", and the keys of the published ones.

    >>> schematic_eyes()[0], "le_grand_full" in schematic_eyes()
    ('teaching', True)
    """
    return ("teaching", *published_eyes())


def what_if(labelled_power_D: float, power_D: float, *, eye: str = "teaching", position_shift_mm: float = 0.0, n_lens: float = 1.49) -> WhatIf:
    """Refraction with a thin implant of `power_D`, moved, minus with one of the labelled power where it was meant to be.

    Never for a person: the eye is a schematic one of this package.

    Parameters
    ----------
    labelled_power_D, power_D : float [D]
        in a medium of 1.336.
    eye : str
        "teaching" or the key of a published eye.
    position_shift_mm : float [mm]
        deeper than meant; at most 2 either way.
    n_lens : float
        counts only where the eye's media are not 1.336, and little.

    Returns
    -------
    WhatIf

    Raises
    ------
    InputError
        for a power too strong for the eye, a shift too large; UnknownNameError for an eye that nobody knows.

    Examples
    --------
    >>> round(what_if(20.5, 21.0).refraction_shift_D, 2), round(what_if(20.5, 20.5, eye="le_grand_full", position_shift_mm=0.1).refraction_shift_D, 2)
    (-0.35, 0.14)
    """
    if eye not in schematic_eyes():
        raise UnknownNameError(str(eye), schematic_eyes(), what="schematic eye")
    position_shift_mm, n_lens = single_numbers(position_shift_mm=position_shift_mm, n_lens=n_lens)
    if not abs(position_shift_mm) <= DEEPER_MM:
        raise InputError(
            f"position_shift_mm = {position_shift_mm:g} mm: must be -{DEEPER_MM:g} to {DEEPER_MM:g} mm; a shift of the implant, not its depth",
            quantity="position_shift_mm", value=position_shift_mm, limits=(-DEEPER_MM, DEEPER_MM), unit="mm",
        )  # fmt: skip
    if eye == "teaching":
        return _in_teaching_eye(labelled_power_D, power_D, position_shift_mm)
    published = published_eye(eye)
    meant = thin_implanted(published, labelled_power_D, n_lens=n_lens)
    found = thin_implanted(published, power_D, n_lens=n_lens, deeper_mm=position_shift_mm)
    by = eye_sensitivities(published, found)
    # its dioptres in these media, per dioptre on the label
    in_place = (2.0 * n_lens - found.n_aqueous - found.n_vitreous) / (2.0 * (n_lens - N_MEDIUM_IN_USE))
    words = (
        f"schematic eye: {published.name}, its lens replaced by a thin implant at {DEPTH_MM:g} mm, "
        f"spectacles at {found.vertex_distance_mm:g} mm ({published.source})"
    )
    return WhatIf(
        float(implant_path(published, found).refraction_D - implant_path(published, meant).refraction_D), by.per_dioptre * in_place,
        10.0 * by.per_tenth_mm_of_position, 10.0 * by.per_tenth_mm_of_length, words,
    )  # fmt: skip


def _in_teaching_eye(labelled_power_D: float, power_D: float, shift_mm: float) -> WhatIf:
    moved = TEACHING_EYE._replace(implant_depth_mm=TEACHING_EYE.implant_depth_mm + shift_mm)
    seen = refraction(power_D, eye=moved)
    # the implant's plane on which the light ends: −dR/dP is the square of the ray's height there; a step in a medium of n changes a vergence by L²/n
    height2, n = -seen.d_refraction_d_power, 1000.0 * moved.n_medium

    def square(x: Any) -> float:
        return float(x * x)

    return WhatIf(
        float(seen.refraction_D - refraction(labelled_power_D, eye=TEACHING_EYE).refraction_D), float(seen.d_refraction_d_power),
        float(height2 * (square(seen.behind_implant_D) - square(seen.before_implant_D)) / n), float(-height2 * square(seen.behind_implant_D) / n),
        in_words(TEACHING_EYE),
    )  # fmt: skip
