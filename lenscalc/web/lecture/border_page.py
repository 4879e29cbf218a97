"""The page of the border that a critical-angle refractometer reads: light at a boundary, as a picture that moves."""

from __future__ import annotations

import numpy as np
import streamlit as st

from lenscalc.charts.border_animation import CSS, HIGHEST, HTML, LOWEST, border_animation, border_file, in_words, script
from lenscalc.errors import InputError
from lenscalc.quantities import complaint, impossible, plain
from lenscalc.refractometer import border, border_brightness
from lenscalc.refractometer.border import PRISM, SPECIMEN, Light
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground
from lenscalc.web.shown.save_numbers import save_numbers

LIGHTS: dict[str, Light] = {"through the specimen into the prism": "through", "in the prism, reflected at the specimen": "reflected"}
BEFORE_deg = (0.1, 1.0, 5.0)  # how far from the border the field is told
moving_picture = st.components.v2.component("lenscalc.border", html=HTML, css=CSS, js=script())


def border_page() -> None:
    """Draw the page."""
    st.title("The border in a refractometer", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        N, light = _form()
    with answers:
        st.markdown("A specimen lies on a prism of higher index. Why is part of the field dark, and what has the border to do with the index?")
        n = slider_field(SPECIMEN, lower=LOWEST, upper=HIGHEST, value=1.49, step=0.001, key="n_specimen")
        try:
            if N is None or impossible(PRISM, np.array([N])).any():
                raise InputError(str(complaint(PRISM, np.nan if N is None else N)), quantity="n_prism", value=N)
            at = border(n, N)
        except InputError as error:
            tell(error)
            caution()
            return
        st.markdown(f"In short: with this specimen the border stands at **{at.angle_deg:.2f}°** in the prism. {_moves(at.movement_deg_per_index)}")
        _picture(n, N, light)
        caution()
        _why(n, N, light, at.angle_deg)
        _read(n, N, at.angle_deg, at.movement_deg_per_index)
        _computed(n, N, light, at.angle_deg)


def _form() -> tuple[float | None, Light]:
    N = number_field(PRISM, value=1.75, in_address=True)
    chosen = choice_field("Where does the light come from?", list(LIGHTS), key="border_light")
    note("One wavelength, relative to air. The prism is half round, so that light leaves it straight; what an instrument has behind it is left out.")
    return N, LIGHTS[chosen]


def _moves(per_index: float) -> str:
    return f"0.001 more index moves it **{per_index / 1000:.3f}°** towards the face, {60 * per_index / 1000:.1f} minutes of arc."


def _picture(n: float, N: float, light: Light) -> None:
    st.header("What does the prism see?", anchor=False)
    moving_picture(data=border_animation(n, N, light=light, ground=ground()), key="moving_border")
    note(f"{in_words(n, N, light=light)} Play moves the index through its range; the lines are rays, as bright as Fresnel's equations leave them.")
    st.download_button(
        "Save the moving picture as a file", data=lambda: border_file(n, N, light=light, ground=ground()), file_name="border.html", mime="text/html",
        on_click="ignore", key="save border",
    )  # fmt: skip
    angle_deg = np.linspace(0.0, 90.0, 901)[:-1]  # light along the face reaches nothing
    save_numbers({"angle_in_prism_deg": angle_deg, "brightness": border_brightness(n, N, angle_deg, light=light)}, "border.csv")


def _why(n: float, N: float, light: Light, border_deg: float) -> None:
    st.header("Why is there a border?", anchor=False)
    inside = [d for d in BEFORE_deg if d < border_deg]
    bright = [float(b) for b in np.atleast_1d(border_brightness(n, N, border_deg - np.array(inside), light=light))]
    steps = ", ".join(f"{100 * b:.0f} % at {d:g}°" for d, b in zip(inside, bright, strict=True))
    if light == "through":
        st.markdown(
            f"Light that just grazes the face goes into the prism at asin({n:g}/{N:g}) = {border_deg:.2f}°: the flattest it can come. Nothing can go "
            f"beyond, so there it is dark. Close to the border the face already lets much through: {steps} from the border."
        )
        return
    st.markdown(
        f"Light that meets the face flatter than asin({n:g}/{N:g}) = {border_deg:.2f}° finds no way out, and all of it is reflected. Steeper light "
        f"leaves through the specimen, and the less comes back the steeper it is: {steps} from the border. It is the field of light through the "
        "specimen, with dark and bright exchanged."
    )


def _read(n: float, N: float, border_deg: float, per_index: float) -> None:
    st.header("How well must the border be seen?", anchor=False)
    st.markdown(
        f"The angle is turned back into the index: n = {N:g}·sin({border_deg:.4f}°) = **{signed(float(N * np.sin(np.deg2rad(border_deg))), 4)}**. "
        f"For 0.0001 in the index the border must be found to {3600 * per_index / 10000:.0f} seconds of arc. An error of the prism's own index goes "
        f"into the reading too, as {n / N:.2f} of itself: 0.0001 there is {n / N * 0.0001:.5f} in the specimen."
    )


def _computed(n: float, N: float, light: Light, border_deg: float) -> None:
    how_computed(
        words="Snell's law at the face gives the border; Fresnel's equations for unpolarised light give what each ray keeps, and the field.",
        equations=(
            r"N\sin\theta_c = n,\qquad \frac{d\theta_c}{dn} = \frac{1}{\sqrt{N^2-n^2}}",
            rf"\theta_c = \arcsin\frac{{{n:g}}}{{{N:g}}} = {border_deg:.4f}^\circ",
            r"R = \frac{1}{2}\left[\left(\frac{N\cos\theta-n\cos\theta'}{N\cos\theta+n\cos\theta'}\right)^2+"
            r"\left(\frac{n\cos\theta-N\cos\theta'}{n\cos\theta+N\cos\theta'}\right)^2\right],\qquad T = 1-R",
        ),
        functions=("border", "border_brightness", "critical_angle_index", "snell_deg", "fresnel"),
        command=f"lenscalc border --n-reading {plain(n)} --n-prism {plain(N)}{' --reflected' if light == 'reflected' else ''} --save border.html",
        python=f"from lenscalc.refractometer import border, border_brightness\n\nangle_deg = border({plain(n)}, {plain(N)}).angle_deg\n"
        f'border_brightness({plain(n)}, {plain(N)}, angle_deg - 1.0, light="{light}")',
    )
