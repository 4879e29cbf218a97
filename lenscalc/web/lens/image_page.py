"""The page of the image that one lens makes: how sharp it is in one beam, in a sentence, and one picture of the reader's choice."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.conditions import N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens.geometry import why_not
from lenscalc.lens.image_quality import (
    CRITERION_FREQUENCY_PER_MM,
    CRITERION_PUPIL_MM,
    MODEL_EYE_VERGENCE_D,
    lens_system,
)
from lenscalc.light import System, trace
from lenscalc.quantities import complaint, impossible, quantity, remark
from lenscalc.uncertainty.rounding import fixed
from lenscalc.web.fields.beside import tell, told
from lenscalc.web.fields.choice_field import choice_field, switch_field
from lenscalc.web.fields.kept_inputs import keep_inputs, take_inputs
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.typed import as_arguments, as_options
from lenscalc.web.lens.image_pictures import ONE_PICTURE, InOneBeam
from lenscalc.web.lens.image_words import in_short
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.note import note

START = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "front_conic": 0.0, "back_conic": 0.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0,
    "n_lens": 1.49, "n_medium": N_MEDIUM_IN_USE, "pupil_diameter_mm": CRITERION_PUPIL_MM, "wavelength_nm": WAVELENGTH_IN_USE_NM,
    "frequency_per_mm": CRITERION_FREQUENCY_PER_MM,
}  # fmt: skip
BEAMS = {"In the model eye, behind a cornea free of aberration": MODEL_EYE_VERGENCE_D, "Collimated, onto the bare lens": 0.0}


def image_page() -> None:
    """Draw the page."""
    st.title("How sharp is its image?", anchor=False)
    answers, form = answers_and_inputs()
    with answers:
        st.markdown("What do exact rays and diffraction make of a point of light behind this lens?")
        top = st.container()
        asked = choice_field("What would you like to see?", tuple(ONE_PICTURE), key="picture")
    with form:
        lens, beam, optic_diameter_mm = _form()
    try:
        optic_diameter_mm = _whole(lens, beam, optic_diameter_mm)
        found = InOneBeam(lens, beam, optic_diameter_mm)
    except InputError as error:
        with top:
            tell(error)
            caution()
        return
    with top:
        st.markdown(in_short(found))
        for name, value in {**lens, **beam, "optic_diameter_mm": optic_diameter_mm}.items():
            if value is not None and (text := remark(quantity(name), value)):
                st.info(told(text), icon=":material/info:")
    with answers:
        try:
            ONE_PICTURE[asked](found)
        except InputError as error:
            tell(error)
        caution()
    _computed(lens, beam, optic_diameter_mm, found)


def _form() -> tuple[dict[str, Any], dict[str, Any], float | None]:
    lens: dict[str, Any] = {}
    for side in ("front", "back"):
        if switch_field(f"The {side} is plano", key=f"{side}_plano"):
            lens[f"{side}_radius_mm"] = np.inf
        else:
            left, right = st.columns(2, vertical_alignment="top")
            with left:
                lens[f"{side}_radius_mm"] = _asked(f"{side}_radius_mm")
            with right:
                lens[f"{side}_conic"] = _asked(f"{side}_conic")
    left, right = st.columns(2, vertical_alignment="top")
    with left:
        lens["center_thickness_mm"] = _asked("center_thickness_mm")
        lens["n_lens"] = _asked("n_lens")
    with right:
        optic_diameter_mm = _asked("optic_diameter_mm")
        lens["n_medium"] = _asked("n_medium")
    beam: dict[str, Any] = {"vergence_D": BEAMS[choice_field("In which light?", tuple(BEAMS), key="beam")]}
    left, right = st.columns(2)
    with left:
        beam["pupil_diameter_mm"] = _asked("pupil_diameter_mm")
        beam["frequency_per_mm"] = _asked("frequency_per_mm")
    with right:
        beam["wavelength_nm"] = _asked("wavelength_nm")
    note("Conic constant: 0 is a sphere. Both indices must be those at this wavelength: another wavelength does not change them by itself. "
         "The address of this page carries the lens.")  # fmt: skip
    given = {name: value for name, value in {**lens, "optic_diameter_mm": optic_diameter_mm, **beam}.items() if value is not None}
    keep_inputs(given, name="image.csv", compute=("best_focus_shift_mm", "rms_spot_best_focus_mm", "mtf"))
    take_inputs(tuple(START), key="take_image", switches={"front_radius_mm": "front_plano", "back_radius_mm": "back_plano"},
                beside={"vergence_D": _choose_beam})  # fmt: skip
    return lens, beam, optic_diameter_mm


def _choose_beam(vergence_D: float) -> None:
    """The light of a loaded file, where it is one of those that the page offers."""
    offered = {round(L, 6): name for name, L in BEAMS.items()}
    if round(vergence_D, 6) not in offered:
        raise InputError(f"vergence_D = {vergence_D:g} D: this page knows {' and '.join(f'{L:g}' for L in offered)} D; for others take the command")
    st.session_state["beam"] = offered[round(vergence_D, 6)]


def _asked(name: str) -> float | None:
    return number_field(name, value=START[name], in_address=True)


def _whole(lens: dict[str, Any], beam: dict[str, Any], optic_diameter_mm: float | None) -> float:
    """The optic diameter; refuses an empty field, a value outside its limits, a lens that cannot exist, and a pupil wider than it."""
    for name, value in {**lens, **beam, "optic_diameter_mm": optic_diameter_mm}.items():
        q = quantity(name)
        if value is None:
            raise InputError(f"{name} is missing: give the {q.label}", quantity=name)
        if impossible(q, np.array([value])).any():
            raise InputError(str(complaint(q, value)), quantity=name, value=value)
    assert optic_diameter_mm is not None
    dimensions = [lens[name] for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")]
    conics = {name: lens.get(name, 0.0) for name in ("front_conic", "back_conic")}
    if sentence := why_not(dimensions[0], dimensions[1], dimensions[2], optic_diameter_mm, **conics):
        raise InputError(sentence, quantity="optic_diameter_mm", value=optic_diameter_mm)
    if beam["pupil_diameter_mm"] > optic_diameter_mm:
        raise InputError(
            f"pupil_diameter_mm = {beam['pupil_diameter_mm']:g} mm: the optic is only {optic_diameter_mm:g} mm wide; make the pupil smaller",
            quantity="pupil_diameter_mm", value=beam["pupil_diameter_mm"],
        )  # fmt: skip
    for side, height_mm in zip(("front", "back"), _outermost_mm(lens, beam), strict=True):
        if height_mm > optic_diameter_mm / 2 * (1 + 1e-9):
            raise InputError(
                f"pupil_diameter_mm = {beam['pupil_diameter_mm']:g} mm: its outermost rays meet the {side} surface {height_mm:.2f} mm off the axis, "
                f"beyond the edge of an optic {optic_diameter_mm:g} mm wide; make the pupil smaller",
                quantity="pupil_diameter_mm", value=beam["pupil_diameter_mm"],
            )  # fmt: skip
    return optic_diameter_mm


def _outermost_mm(lens: dict[str, Any], beam: dict[str, Any]) -> tuple[float, float]:
    """Heights at which the outermost ray meets the front and the back surface; nan where it is lost."""
    whole = lens_system(**lens)
    first = System(whole.surfaces[:1], whole.indices[:2])
    front, back = (trace(s, x_mm=beam["pupil_diameter_mm"] / 2, vergence_D=beam["vergence_D"]) for s in (first, whole))
    return float(front.x_mm), float(back.x_mm)


def _computed(lens: dict[str, Any], beam: dict[str, Any], optic_diameter_mm: float, found: InOneBeam) -> None:
    given = {name: value for name, value in {**lens, **beam}.items() if value is not None}
    spot_mm, shift_mm = float(found.focus.rms_spot_mm), float(found.focus.shift_mm)
    how_computed(
        words="Rays are traced exactly, surface by surface, with Snell's law. The best focus is the plane in which their heights over the pupil have "
        "the least mean square. The contrast is the overlap of the wavefront, with its errors, with itself moved sideways; that is diffraction "
        "and aberration together.",
        equations=(
            r"n_1 \sin\theta_1 = n_2 \sin\theta_2",
            rf"\min_z \sqrt{{\langle r^2(z) \rangle}} = {1000 * spot_mm:.3f}\ \mathrm{{µm}},\quad "
            rf"z - z_\mathrm{{paraxial}} = {fixed(shift_mm, 4, '+')}\ \mathrm{{mm}}",
            r"\mathrm{MTF}(\nu) = \left|\frac{1}{A}\int P\,P^*_\nu\; e^{\,2\pi i\,(W - W_\nu)/\lambda}\,\mathrm{d}A\right|"
            rf",\quad \mathrm{{MTF}}({found.frequency_per_mm:g}/\mathrm{{mm}}) = {float(found.image.mtf):.4f}",
        ),
        functions=("trace", "paraxial_image", "longitudinal_spherical_aberration_mm", "wavefront_um", "mtf", "diffraction_mtf"),
        command=f"lenscalc image {as_options(given)}",
        python="from math import inf\n\nfrom lenscalc.lens.image_quality import image_quality\n\n"
        f"found = image_quality({as_arguments(given)})\nfloat(found.rms_spot_best_focus_mm), float(found.best_focus_shift_mm), float(found.mtf)",
    )  # fmt: skip
