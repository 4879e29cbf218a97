"""The page of shape: a lens is bent while its power stays, and its spherical aberration goes through a least."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
import streamlit as st

from lenscalc.charts.bending_curve import FURTHEST, SHOWN, bending_curve, bending_curve_data
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.lens import LeastAberration, Recut, least_aberration_shape, least_aberration_shape_factor, recut, third_order_aberration, why_not
from lenscalc.lens.image_quality import lens_system
from lenscalc.light import Beam, best_focus, zernike_coefficients
from lenscalc.quantities import Quantity, plain
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.kept_inputs import keep_inputs
from lenscalc.web.fields.lens_fields import START, field, whole
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed, with_sign
from lenscalc.web.shown.live_picture import live_picture
from lenscalc.web.shown.note import note
from lenscalc.web.shown.save_numbers import save_numbers

OPTIC_mm, POINTS = 6.0, 34
MEDIA = {"the eye's medium": N_MEDIUM_IN_USE, "air": 1.0}
SHAPE = Quantity(
    "shape_factor", "X", "", "shape factor", "(R2 + R1)/(R2 − R1): 0 equi-convex, +1 with a flat back, −1 with a flat front; beyond these a meniscus",
    -1000.0, 1000.0, -2.0, 2.0, 2, "lens",
)  # fmt: skip


class Asked(NamedTuple):
    """A power that is held, what it is made of, its medium and the beam."""

    power_D: float
    n_lens: float
    center_thickness_mm: float
    pupil_diameter_mm: float
    n_medium: float


class Bent(NamedTuple):
    """What does not change while the lens is bent: the curves and the best shape."""

    shape: Any
    exact_um: Any
    third_um: Any
    best: LeastAberration


def best_shape_page() -> None:
    """Draw the page."""
    st.title("Which shape blurs least?", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        given, medium = _form()
    with answers:
        st.markdown("A lens of one power can be bent: flat in front, equal on both sides, flat behind, a meniscus. Its power stays, not its blur.")
        X = slider_field(SHAPE, lower=-2.0, upper=2.0, value=0.0, step=0.05, key="show_shape_factor")
        try:
            asked = _asked(given, medium)
            bent, drawn = _bent(asked), _cut(asked, [*SHOWN, X])
            _possible(drawn)
            um, blur_um = _at(asked, [X, float(bent.best.shape_factor)])
        except InputError as error:
            tell(error)
            caution()
            return
        st.markdown(_in_short(X, bent, blur_um))
        _picture(X, asked, bent, drawn, float(um[0]))
        caution()
        _why(asked, bent)
        _computed(X, asked, drawn, float(um[0]))


def _form() -> tuple[dict[str, float | None], float]:
    chosen = choice_field("In which medium?", list(MEDIA), key="shape_medium")
    power_D = number_field("power_D", key="shape_power_D", value=20.0, label="power in that medium", in_address=True)
    given: dict[str, float | None] = {"power_D": power_D}
    for name, value in (("n_lens", START["n_lens"]), ("center_thickness_mm", START["center_thickness_mm"]), ("pupil_diameter_mm", 3.0)):
        given[name] = field(name, value)
    note("Light from far away onto the bare lens of spheres, one wavelength, everything exact.")
    return given, MEDIA[chosen]


def _asked(given: dict[str, float | None], medium: float) -> Asked:
    asked = Asked(**whole(given), n_medium=medium)
    if asked.pupil_diameter_mm > OPTIC_mm:
        raise InputError(
            f"pupil_diameter_mm = {asked.pupil_diameter_mm:g} mm: the lens is only {OPTIC_mm:g} mm wide; make the pupil smaller",
            quantity="pupil_diameter_mm", value=asked.pupil_diameter_mm,
        )  # fmt: skip
    return asked


def _cut(asked: Asked, X: Any) -> Recut:
    return recut(asked.power_D, asked.n_lens, n_medium=asked.n_medium, center_thickness_mm=asked.center_thickness_mm, shape_factor=np.asarray(X))


def _possible(drawn: Recut) -> None:
    for R1, R2, t in zip(drawn.front_radius_mm, drawn.back_radius_mm, drawn.center_thickness_mm, strict=True):
        if sentence := why_not(float(R1), float(R2), float(t), OPTIC_mm):
            raise InputError(f"bent to radii {R1:.1f} and {R2:.1f} mm: {sentence}", quantity="center_thickness_mm")


@lru_cache(maxsize=128)
def _bent(asked: Asked) -> Bent:
    if asked.power_D <= 0:
        raise InputError(f"power_D = {asked.power_D:g} D: must be above 0 here; a lens that spreads light has no focus to blur", quantity="power_D")
    shape = np.linspace(-FURTHEST, FURTHEST, POINTS)
    cut = _cut(asked, shape)
    third = third_order_aberration(
        cut.front_radius_mm, cut.back_radius_mm, cut.center_thickness_mm, asked.n_lens, pupil_diameter_mm=asked.pupil_diameter_mm,
        n_medium=asked.n_medium,
    )  # fmt: skip
    best = least_aberration_shape(
        asked.power_D, asked.n_lens, center_thickness_mm=asked.center_thickness_mm, pupil_diameter_mm=asked.pupil_diameter_mm, n_medium=asked.n_medium
    )
    return Bent(shape, _at(asked, shape)[0], third.zernike_4_0_um, best)


def _at(asked: Asked, X: Any) -> tuple[Any, Any]:
    """Zernike (4,0) and RMS spot radius at best focus [µm] by exact rays, of lenses of these shapes."""
    cut = _cut(asked, X)
    system = lens_system(
        cut.front_radius_mm, back_radius_mm=cut.back_radius_mm, center_thickness_mm=asked.center_thickness_mm, n_lens=asked.n_lens,
        n_medium=asked.n_medium,
    )  # fmt: skip
    beam = Beam(asked.pupil_diameter_mm)
    return np.asarray(zernike_coefficients(system, beam).zernike_4_0_um), 1000.0 * np.asarray(best_focus(system, beam).rms_spot_mm)


def _in_short(X: float, bent: Bent, blur_um: Any) -> str:
    best = with_sign(float(bent.best.shape_factor), 2)
    times = blur_um[0] / blur_um[1]
    least = f"The least of all, {_steeper(bent.best)}, at **{best}**, is {_um(blur_um[1])}{f': {times:.1f} times less' if times > 1.05 else ''}."
    return f"In short: bent like this, the lens spreads a point over **{_um(blur_um[0])}** (RMS radius). {least}"


def _steeper(best: LeastAberration) -> str:
    """The best shape in words."""
    front, back = (abs(1.0 / float(R)) for R in (best.front_radius_mm, best.back_radius_mm))
    if abs(front - back) < 0.05 * (front + back):
        return "with both sides alike"
    side = "front" if front > back else "back"
    return f"with the {side} {'a little' if abs(front - back) < 0.4 * (front + back) else 'much'} steeper"


def _um(value: float) -> str:
    return f"{value:.{2 if value < 10 else 1}f} µm"


def _picture(X: float, asked: Asked, bent: Bent, drawn: Recut, um: float) -> None:
    st.header("What does bending do?", anchor=False)
    data = bending_curve_data(
        bent.shape, bent.exact_um, bent.third_um, drawn, best_shape=float(bent.best.shape_factor), best_um=float(bent.best.zernike_4_0_um),
        here_shape=X, here_um=um, optic_diameter_mm=OPTIC_mm,
    )  # fmt: skip
    R1, R2 = (_radius(float(R[-1])) for R in (drawn.front_radius_mm, drawn.back_radius_mm))
    live_picture(
        bending_curve, data,
        "Light comes from the left. The curve is the spherical aberration of the wavefront (Zernike 4,0) by exact rays; dashed: in third order.",
        moving=f"All lenses have {asked.power_D:g} D; orange: yours, radii {R1} and {R2} mm.",
        optic_diameter_mm=OPTIC_mm,
    )  # fmt: skip
    numbers = {"shape_factor": bent.shape, "zernike_4_0_um": bent.exact_um, "zernike_4_0_um_third_order": bent.third_um}
    save_numbers(numbers, "bending.csv")
    lens = {
        "front_radius_mm": float(drawn.front_radius_mm[-1]), "back_radius_mm": float(drawn.back_radius_mm[-1]),
        "center_thickness_mm": asked.center_thickness_mm, "optic_diameter_mm": OPTIC_mm, "n_lens": asked.n_lens, "n_medium": asked.n_medium,
        "vergence_D": 0.0, "pupil_diameter_mm": asked.pupil_diameter_mm,
    }  # fmt: skip
    keep_inputs(lens, name="bent_lens.csv", compute=("zernike_4_0_um", "rms_spot_best_focus_mm"))


def _radius(mm: float) -> str:
    return "plano" if np.isinf(mm) else signed(mm, 1)


def _why(asked: Asked, bent: Bent) -> None:
    st.header("Why there?", anchor=False)
    air, eye = (float(least_aberration_shape_factor(asked.n_lens, n_medium=m)) for m in (1.0, N_MEDIUM_IN_USE))
    st.markdown(
        "The outer rays are bent too much. The blur is least where both surfaces share the bending evenly. In air that is a lens with its "
        f"flatter side towards the focus, near {signed(air, 2)} for this index; in the eye's medium, where the step of the index is small, it is "
        f"nearly equal on both sides, near {signed(eye, 2)} (thin lens, third order). Radii of the best one here: "
        f"**{_radius(float(bent.best.front_radius_mm))} and {_radius(float(bent.best.back_radius_mm))} mm**. For light from far away no bending of "
        "spheres takes all of the blur away; an asphere does."
    )


def _computed(X: float, asked: Asked, drawn: Recut, um: float) -> None:
    R1, R2 = (f"{float(R[-1])!r}" if np.isfinite(R[-1]) else "plano" for R in (drawn.front_radius_mm, drawn.back_radius_mm))
    power, n, t, pupil, m = (plain(value) for value in asked)
    how_computed(
        words="The radii for a shape follow from the thick lens's equation; rays are traced exactly, and the path differences over the pupil give "
        "Zernike (4,0). The best shape is found by Newton's method on exact rays, from the thin lens of third order.",
        equations=(
            r"X = \frac{R_2+R_1}{R_2-R_1},\qquad X_{\mathrm{best}} \approx \frac{2(N^2-1)}{N+2},\quad N = \frac{n}{m}",
            rf"X_{{\mathrm{{best}}}} \approx {float(least_aberration_shape_factor(asked.n_lens, n_medium=asked.n_medium)):.4f},\qquad "
            rf"c_{{40}}(X={X:g}) = {um:.5f}\ \mathrm{{µm}}",
        ),
        functions=("least_aberration_shape", "least_aberration_shape_factor", "third_order_aberration", "zernike_coefficients", "recut"),
        command=f"lenscalc recut --power-D {power} --n-lens {n} --n-medium {m} --center-thickness-mm {t} --shape-factor {X:g}\n"
        f"lenscalc image --front-radius-mm {R1} --back-radius-mm {R2} --center-thickness-mm {t} --n-lens {n} --n-medium {m} "
        f"--pupil-diameter-mm {pupil}",
        python=f"from lenscalc.lens import least_aberration_shape\n\nleast_aberration_shape({power}, {n}, center_thickness_mm={t}, "
        f"pupil_diameter_mm={pupil}, n_medium={m})",
    )
