"""What the page of an image says of a lens in a beam."""

from __future__ import annotations

from lenscalc.conditions import N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.lens.image_quality import CRITERION_FREQUENCY_PER_MM, CRITERION_MTF, CRITERION_PUPIL_MM
from lenscalc.web.lens.image_pictures import InOneBeam
from lenscalc.web.shown.figures import signed


def in_short(lens: InOneBeam) -> str:
    """The answer in two sentences; it names its light."""
    shift, image, frequency = float(lens.focus.shift_mm), lens.image, lens.frequency_per_mm
    light = "in the model eye" if lens.beam.vergence_D else "in collimated light on the bare lens"
    spot_um = 1000.0 * float(lens.focus.rms_spot_mm)
    where = f"{signed(float(lens.focus.distance_mm), 2)} mm behind the back vertex"
    off = f"{signed(abs(shift), 3)} mm {'in front of' if shift < 0 else 'behind'} the paraxial one" if round(abs(shift), 3) else "the paraxial one"
    detail = (
        f"**{_contrast(image.mtf)}** is left of the contrast of {frequency:g} line pairs per mm, where diffraction alone would leave "
        f"{_contrast(image.diffraction_mtf)}."
        if frequency < image.cut_off_per_mm else
        f"nothing is left of {frequency:g} line pairs per mm: diffraction ends all detail at {image.cut_off_per_mm:.0f} per mm."
    )  # fmt: skip
    return (
        f"In short, with everything taken as exact: {light} the best focus lies **{where}** ({off}). There a point's rays spread over "
        f"**{spot_um:.{2 if spot_um < 10 else 0}f} µm** (RMS radius), and {detail} {_criterion(lens)}"
    )


def _contrast(value: float) -> str:
    return f"{value:.2f}" if value >= 0.1 else f"{value:.3f}"


def _criterion(lens: InOneBeam) -> str:
    if lens.is_asked_the_criterion:
        reached = lens.image.mtf >= CRITERION_MTF
        return (
            f"{'✔ That reaches' if reached else '✘ That does not reach'} the imaging criterion, {CRITERION_MTF:g} or more "
            "(ring test of eight laboratories, 1998)."
        )
    return (
        f"The imaging criterion is not asked here: it holds in the model eye alone, with {CRITERION_PUPIL_MM:g} mm, {WAVELENGTH_IN_USE_NM:g} nm, "
        f"{CRITERION_FREQUENCY_PER_MM:g} per mm and a medium of {N_MEDIUM_IN_USE:g}."
    )
