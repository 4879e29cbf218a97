"""The page of one lens in air, in water and in the eye: why it is so much weaker there."""

from __future__ import annotations

import numpy as np
import streamlit as st

from lenscalc.charts.lens_in_media import lens_in_media, lens_in_media_data, reach_of
from lenscalc.charts.power_against_medium import power_against_medium, power_against_medium_data
from lenscalc.conditions import N_MEDIUM_IN_USE, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens import Powers, thick_lens
from lenscalc.material import water_index
from lenscalc.quantities import plain
from lenscalc.uncertainty.rounding import fixed
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.choice_field import switch_field
from lenscalc.web.fields.kept_inputs import keep_inputs
from lenscalc.web.fields.lens_fields import lens_fields, whole_lens
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.live_picture import live_picture
from lenscalc.web.shown.note import note

DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens")
Media = list[tuple[str, float]]


def three_media_page() -> None:
    """Draw the page."""
    st.title("In air, in water, in the eye", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        given = lens_fields()
        note(
            "Everything is taken as exact here, and light as coming from far away. The index that stands here at first is a round number: the same "
            "radii have another power on the page of a reading, whose index was read. The address of this page carries the lens."
        )
    with answers:
        st.markdown("The same lens in three media: where does the light meet, and why is the lens so much weaker in the eye?")
        media = _media()
        try:
            _answers(whole_lens(given), media)
        except InputError as error:
            tell(error)
            caution()


def _answers(lens: dict[str, float], media: Media) -> None:
    found = thick_lens(**{name: lens[name] for name in DIMENSIONS}, n_medium=np.array([index for _, index in media]))
    st.markdown(_in_short(found, lens["n_lens"]))
    _where(lens, media, found)
    caution()
    _why(lens, media, found)
    _thin_or_thick(lens, media, found)
    keep_inputs(*(lens | {"n_medium": index, "note_medium": name} for name, index in media), name="three_media.csv")
    _computed(lens, media, found)


def _media() -> Media:
    water = float(water_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC))
    media = [("air", 1.0), ("water", water), ("the eye", N_MEDIUM_IN_USE)]
    if switch_field("And in a medium of my choice", key="with_other_medium"):
        other = slider_field(
            "n_medium", lower=1.0, upper=1.7, value=1.45, step=0.005, key="n_other_medium", label="index of the medium of my choice"
        )
        media.append(("my medium", other))
    return media


def _in_short(found: Powers, n_lens: float) -> str:
    air, water, eye = (float(found.power_D[i]) for i in range(3))
    if round(air, 2) == 0:
        return "In short: this lens has no power, in whatever medium."
    told = f"In short, for a lens of index {n_lens:g}: **{signed(air, 1)} D in air, {signed(water, 1)} D in water, {signed(eye, 1)} D in the eye**"
    if 0.0 < eye / air < 1.0:
        told += f", {_left(eye / air)} of what it has in air"
    return f"{told}. The lens is the same; what surrounds it is not."


def _left(part: float) -> str:
    """What is left of the power, in words that stand without the numbers.

    >>> _left(0.316), _left(0.02), _left(0.61)
    ('less than a third', 'less than a tenth', 'more than a half')
    """
    return next((f"less than {name}" for most, name in ((0.1, "a tenth"), (0.25, "a quarter"), (1 / 3, "a third"), (0.5, "a half")) if part < most),
                "more than a half")  # fmt: skip


def _where(lens: dict[str, float], media: Media, found: Powers) -> None:
    st.header("Where does the light meet?", anchor=False)
    focus = np.asarray(found.back_focal_length_mm)
    reach = reach_of(focus[:3])
    data = lens_in_media_data(
        *(lens[name] for name in DIMENSIONS), optic_diameter_mm=lens["optic_diameter_mm"], media=media, reach_mm=reach
    )  # fmt: skip
    said = " ".join(_focus(name, f, f > reach) for (name, _), f in zip(media, focus, strict=True))
    live_picture(
        lens_in_media, data,
        "To scale, rays traced exactly. ● the focus of light near the axis; ◇ where it would be for a lens without thickness.",
        moving=said, media=len(media), reach_mm=reach, optic_diameter_mm=lens["optic_diameter_mm"],
        whole_thickness_mm=float(np.ceil(lens["center_thickness_mm"])),
    )  # fmt: skip


def _focus(name: str, focus_mm: float, beyond: bool) -> str:
    if not np.isfinite(focus_mm) or abs(focus_mm) > 1e5:
        return f"In {name} the light goes on as it came."
    if focus_mm < 0:
        return f"In {name} the light spreads, as if it came from {signed(-focus_mm, 1)} mm before the back of the lens."
    return f"In {name} it meets {signed(focus_mm, 1)} mm behind the back of the lens{', beyond the picture' if beyond else ''}."


def _why(lens: dict[str, float], media: Media, found: Powers) -> None:
    n, air, eye = lens["n_lens"], float(found.power_D[0]), float(found.power_D[2])
    st.header("Why is it weaker there?", anchor=False)
    sentence = (
        f"A surface bends light by the **step** of the index across it. From air into this lens the step is {n:g} − 1 = {signed(n - 1, 3)}; "
        f"from the eye's medium it is {n:g} − {N_MEDIUM_IN_USE:g} = {signed(n - N_MEDIUM_IN_USE, 3)}"
    )
    if n > 1 and round(air, 2):
        sentence += f", which is {signed(100 * (n - N_MEDIUM_IN_USE) / (n - 1), 1)} % of it. The power falls to {signed(100 * eye / air, 1)} %"
    st.markdown(
        f"{sentence}. Water is so near the eye's medium that a bench in water comes close, but not close enough: "
        f"there the lens has {signed(float(found.power_D[1]) - eye, 2)} D more than in the eye."
    )
    data = power_against_medium_data(*(lens[name] for name in DIMENSIONS), media=media)
    live_picture(
        power_against_medium, data,
        "The power falls nearly in a straight line as the medium grows denser. It ends where the medium is as dense as the lens; in a denser one the "
        "lens spreads light.",
    )  # fmt: skip


def _thin_or_thick(lens: dict[str, float], media: Media, found: Powers) -> None:
    st.header("Does the thickness matter?", anchor=False)
    R1, R2, _, n = (lens[name] for name in DIMENSIONS)
    thin = thick_lens(R1, R2, 0.0, n, np.array([index for _, index in media]))
    change = np.asarray(thin.power_D) - np.asarray(found.power_D)
    st.markdown(
        f"The same surfaces without thickness between them would have **{signed(float(change[0]), 2)} D** more in air and "
        f"**{signed(float(change[2]), 2)} D** more in the eye: light that the front has bent meets the back nearer to the axis. Make it thicker to "
        "see it grow."
    )
    st.table(
        {
            "medium": [f"{name}, {index:.4f}" for name, index in media],
            "as it is": [f"{signed(float(F), 2)} D" for F in found.power_D],
            "without thickness": [f"{signed(float(F), 2)} D" for F in thin.power_D],
            "focus behind its back": [_length(float(f)) for f in np.asarray(found.back_focal_length_mm)],
        }
    )


def _length(mm: float) -> str:
    return f"{signed(mm, 2)} mm" if np.isfinite(mm) and abs(mm) < 1e5 else "none"


def _computed(lens: dict[str, float], media: Media, found: Powers) -> None:
    n, eye = lens["n_lens"], N_MEDIUM_IN_USE
    F1, F2 = (float(F[2]) for F in (found.front_surface_power_D, found.back_surface_power_D))
    t = lens["center_thickness_mm"]
    dimensions = {name: "inf" if np.isinf(lens[name]) else plain(lens[name]) for name in DIMENSIONS}
    options = " ".join(f"--{name.replace('_', '-')} {'plano' if value == 'inf' else value}" for name, value in dimensions.items())
    arguments = ", ".join(f"{name}={value}" for name, value in dimensions.items())
    others = "".join(f", {plain(index)}" for _, index in media[3:])
    how_computed(
        words=f"The thick lens's equation with each medium's index m. Water: {media[1][1]:.5f}, pure, at {WAVELENGTH_IN_USE_NM:g} nm and "
        f"{TEMPERATURE_IN_USE_DEGC:g} °C, relative to air. The eye: {eye:g} by convention. Rays by Snell's law at both spheres.",
        equations=(
            r"F = F_1 + F_2 - \frac{t}{n}F_1F_2,\quad F_1 = \frac{n-m}{R_1},\quad F_2 = \frac{m-n}{R_2}",
            rf"F_{{\mathrm{{eye}}}} = {fixed(F1, 4)} + ({fixed(F2, 4)}) - \frac{{{t / 1000:g}}}{{{n:g}}}\cdot {fixed(F1, 4)}\cdot ({fixed(F2, 4)}) "
            rf"= {fixed(float(found.power_D[2]), 4)}\ \mathrm{{D}}",
        ),
        functions=("thick_lens", "water_index", "trace"),
        command="\n".join(f"lenscalc power {options} --n-medium {plain(index)}" for _, index in media),
        python=f"from math import inf\n\nimport lenscalc\n\nmedia = [1.0, lenscalc.water_index({WAVELENGTH_IN_USE_NM:g}, "
        f"{TEMPERATURE_IN_USE_DEGC:g}), {eye:g}{others}]\nlenscalc.thick_lens({arguments}, n_medium=media).power_D",
    )
