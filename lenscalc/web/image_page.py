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
    CRITERION_MTF,
    CRITERION_PUPIL_MM,
    MODEL_EYE_VERGENCE_D,
    lens_system,
)
from lenscalc.light import System, trace
from lenscalc.quantities import complaint, impossible, quantity, remark
from lenscalc.web.caution import caution
from lenscalc.web.figures import signed
from lenscalc.web.image_pictures import ONE_PICTURE, InOneBeam
from lenscalc.web.note import note
from lenscalc.web.number_field import number_field

START = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "front_conic": 0.0, "back_conic": 0.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0,
    "n_lens": 1.49, "n_medium": N_MEDIUM_IN_USE, "pupil_diameter_mm": CRITERION_PUPIL_MM, "wavelength_nm": WAVELENGTH_IN_USE_NM,
    "frequency_per_mm": CRITERION_FREQUENCY_PER_MM,
}  # fmt: skip
BEAMS = {"In the model eye, behind a cornea free of aberration": MODEL_EYE_VERGENCE_D, "Collimated, onto the bare lens": 0.0}


def image_page() -> None:
    """Draw the page."""
    st.title("How sharp is its image?")
    st.markdown("What do exact rays and diffraction make of a point of light behind this lens? The address of this page carries the lens.")
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    with form:
        lens, beam, optic_diameter_mm = _form()
    try:
        optic_diameter_mm = _whole(lens, beam, optic_diameter_mm)
        found = InOneBeam(lens, beam, optic_diameter_mm)
    except InputError as error:
        top.error(str(error), icon=":material/error:")
        return
    with top:
        st.markdown(_in_short(found))
        caution()
        for name, value in {**lens, **beam, "optic_diameter_mm": optic_diameter_mm}.items():
            if value is not None and (text := remark(quantity(name), value)):
                st.info(text, icon=":material/info:")
    with answers:
        _one_picture(found)


def _form() -> tuple[dict[str, Any], dict[str, Any], float | None]:
    lens: dict[str, Any] = {}
    for side in ("front", "back"):
        if st.checkbox(f"The {side} is plano", key=f"{side}_plano", bind="query-params", persist_state="session"):
            lens[f"{side}_radius_mm"] = np.inf
        else:
            left, right = st.columns(2, vertical_alignment="bottom")
            with left:
                lens[f"{side}_radius_mm"] = _asked(f"{side}_radius_mm")
            with right:
                lens[f"{side}_conic"] = _asked(f"{side}_conic")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        lens["center_thickness_mm"] = _asked("center_thickness_mm")
        lens["n_lens"] = _asked("n_lens")
    with right:
        optic_diameter_mm = _asked("optic_diameter_mm")
        lens["n_medium"] = _asked("n_medium")
    beam: dict[str, Any] = {}
    chosen = st.radio("In which light?", list(BEAMS), key="beam", bind="query-params", persist_state="session")
    beam["vergence_D"] = BEAMS[chosen or next(iter(BEAMS))]
    left, right = st.columns(2)
    with left:
        beam["pupil_diameter_mm"] = _asked("pupil_diameter_mm")
        beam["frequency_per_mm"] = _asked("frequency_per_mm")
    with right:
        beam["wavelength_nm"] = _asked("wavelength_nm")
    note("Conic constant: 0 is a sphere. Both indices must be those at this wavelength: another wavelength does not change them by itself.")
    return lens, beam, optic_diameter_mm


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


def _in_short(lens: InOneBeam) -> str:
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


def _one_picture(lens: InOneBeam) -> None:
    asked = st.radio("What would you like to see?", list(ONE_PICTURE), key="picture", bind="query-params", persist_state="session")
    try:
        ONE_PICTURE[asked or next(iter(ONE_PICTURE))](lens)
    except InputError as error:
        st.error(str(error), icon=":material/error:")
