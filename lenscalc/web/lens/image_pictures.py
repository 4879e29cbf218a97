"""The pictures of a lens in a beam, of which the page shows the one that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numpy as np
import streamlit as st

from lenscalc.charts import lens_with_rays, mtf_curve, point_spread_picture, through_focus
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.lens.image_quality import CRITERION_FREQUENCY_PER_MM, CRITERION_MTF, criterion_applies, lens_system
from lenscalc.light import (
    Beam,
    best_focus,
    defocus_D,
    longitudinal_spherical_aberration_mm,
    mtf,
    paraxial_image,
    point_spread,
    through_focus_mtf,
)
from lenscalc.web.fields.choice_field import switch_field
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture

PLANES = 81
FREQUENCIES = 61
TILES = 51
MOST_BLURRED = 6.0  # times the first dark ring
FIRST_DARK_RING = 0.6098  # of a round pupil: radius over wavelength/(n' sin θ'), half the first zero of J1 over π (textbook)


class InOneBeam:
    """A lens, the beam it stands in, and what exact rays and the wave make of them at one frequency.

    Raises
    ------
    InputError
        for lost rays, no real image, or a wavefront with hundreds of waves.
    """

    def __init__(self, lens: dict[str, Any], beam: dict[str, Any], optic_diameter_mm: float) -> None:
        self.system = lens_system(**lens)
        self.beam = Beam(beam["pupil_diameter_mm"], beam["vergence_D"])
        self.wavelength_nm: float = beam["wavelength_nm"]
        self.frequency_per_mm: float = beam["frequency_per_mm"]
        self.optic_diameter_mm = optic_diameter_mm
        self.n_image: float = lens["n_medium"]
        self.paraxial = paraxial_image(self.system, vergence_D=self.beam.vergence_D)
        self.image = mtf(self.system, self.beam, frequency_per_mm=self.frequency_per_mm, wavelength_nm=self.wavelength_nm)
        self.focus = best_focus(self.system, self.beam)
        self.has_criterion = lens["n_medium"] == N_MEDIUM_IN_USE and criterion_applies(**beam | {"frequency_per_mm": CRITERION_FREQUENCY_PER_MM})
        self.is_asked_the_criterion = self.has_criterion and self.frequency_per_mm == CRITERION_FREQUENCY_PER_MM

    @property
    def dark_ring_mm(self) -> float:
        """Radius of the first dark ring of diffraction alone: 1.2197·λ/(2 n' sin θ'), and the cut-off is 2 n' sin θ'/λ."""
        return 2.0 * FIRST_DARK_RING / float(self.image.cut_off_per_mm)


def _rays(lens: InOneBeam) -> None:
    aberration_mm = float(longitudinal_spherical_aberration_mm(lens.system, lens.beam))
    picture(
        lens_with_rays.drawing(
            lens.system, lens.beam, optic_diameter_mm=lens.optic_diameter_mm, focus_mm=float(lens.focus.distance_mm), ground=ground()
        ),
        f"To scale. The outermost rays cross the axis {_off(aberration_mm)}.",
    )


def _off(shift_mm: float) -> str:
    if round(abs(shift_mm), 3) == 0:
        return "where those near the axis do, to a thousandth of a millimetre"
    return f"{signed(abs(shift_mm), 3)} mm {'in front of' if shift_mm < 0 else 'behind'} where those near the axis do"


def _detail(lens: InOneBeam) -> None:
    # a lens that blurs much has lost everything long before the cut-off, and the wave would need very many points there
    cut, lost = float(lens.image.cut_off_per_mm), 3.0 / max(float(lens.focus.rms_spot_mm), 1e-6)
    end = cut if lost > cut / 2.0 else max(lost, min(cut, 1.25 * CRITERION_FREQUENCY_PER_MM)) if lens.has_criterion else lost
    frequency = np.linspace(0.0, end, FREQUENCIES)
    image = mtf(lens.system, lens.beam, frequency_per_mm=frequency, wavelength_nm=lens.wavelength_nm)
    criterion = {"criterion_frequency_per_mm": CRITERION_FREQUENCY_PER_MM, "criterion_mtf": CRITERION_MTF} if lens.has_criterion else {}
    picture(
        mtf_curve.drawing(frequency, image, wavelength_nm=lens.wavelength_nm, **criterion, ground=ground()),
        "MTF 1: the lines are imaged with all their contrast; 0: they are lost. In the plane of the least RMS spot. "
        + (f"Drawn to {end:.0f} per mm; diffraction ends all detail at {cut:.0f} per mm. " if end < cut else "")
        + ("The curve should pass above the criterion's point." if criterion else "The imaging criterion is not asked of this light."),
    )


def _focus(lens: InOneBeam) -> None:
    cut = float(lens.image.cut_off_per_mm)
    if lens.frequency_per_mm >= cut:
        st.markdown(f"Diffraction ends all detail at {cut:.0f} per mm: in no plane is {lens.frequency_per_mm:g} per mm imaged. Ask for a lower one.")
        return
    if lens.frequency_per_mm == 0:
        st.markdown("At 0 per mm there is no detail, and every plane shows all of it. Ask for a higher frequency.")
        return
    middle, distance = float(lens.focus.shift_mm), float(lens.paraxial.image_distance_mm)
    # where the disc of blur is a period wide and a half, the contrast is gone; near the cut-off it takes more to lose what is left
    width_per_mm = float(lens.paraxial.convergence_D) * lens.beam.pupil_diameter_mm / (1000.0 * lens.n_image)
    out = 1.5 / (width_per_mm * lens.frequency_per_mm * max(1.0 - lens.frequency_per_mm / cut, 0.15))
    half = min(max(out, 2.0 * abs(middle)), 0.9 * (distance + middle))
    shift = np.linspace(middle - half, middle + half, PLANES)
    values = through_focus_mtf(
        lens.system, lens.beam, focus_shift_mm=shift, frequency_per_mm=lens.frequency_per_mm, wavelength_nm=lens.wavelength_nm
    )
    dioptres = switch_field("Count the focus in dioptres", key="focus_in_D")

    def counted(mm: Any) -> Any:
        return defocus_D(mm, convergence_D=float(lens.paraxial.convergence_D), n_image=lens.n_image) if dioptres else mm

    picture(
        through_focus.drawing(
            counted(shift), values, frequency_per_mm=lens.frequency_per_mm, wavelength_nm=lens.wavelength_nm, beam=lens.beam.in_words(),
            unit="D" if dioptres else "mm", diffraction_mtf=float(lens.image.diffraction_mtf), least_spot=float(counted(middle)), ground=ground(),
        ),
        f"The contrast that is left of {lens.frequency_per_mm:g} line pairs per mm when the image is caught in another plane. The plane of the least "
        "RMS spot need not be the one of the most contrast.",
    )  # fmt: skip


def _point(lens: InOneBeam) -> None:
    logarithmic = switch_field("Shades by the logarithm, to see the faint rings", key="logarithmic")
    times = float(lens.focus.rms_spot_mm) / lens.dark_ring_mm
    if times > MOST_BLURRED:
        st.markdown(
            f"The rays alone spread {times:.0f} times as far as the first dark ring of diffraction: too far for a picture of the wave. "
            "Ask for a smaller pupil."
        )
        return
    half = 3.0 * max(lens.dark_ring_mm, float(lens.focus.rms_spot_mm))
    image = point_spread(lens.system, lens.beam, wavelength_nm=lens.wavelength_nm, half_width_mm=half, points=TILES)
    picture(
        point_spread_picture.drawing(
            image, wavelength_nm=lens.wavelength_nm, scale="logarithmic" if logarithmic else "linear", first_dark_ring_mm=lens.dark_ring_mm,
            ground=ground(),
        ),
        f"In the plane of the least RMS spot. In its middle stands {image.strehl_ratio:.2f} of the light that a lens without aberration would put "
        "there (Strehl ratio).",
        width="content",
    )  # fmt: skip
    note("Computed from the wave, with diffraction; the RMS radius above counts rays alone.")


ONE_PICTURE: Final[dict[str, Callable[[InOneBeam], None]]] = {
    "Where do the rays go?": _rays,
    "How much contrast is left of finer and finer detail?": _detail,
    "How exactly must the plane of the image be met?": _focus,
    "What becomes of a point?": _point,
}
