"""The page of what an eye notices: an index that is off, or an implant out of its place, in a schematic eye."""

from __future__ import annotations

import streamlit as st

from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.eye import DEPTH_FROM, WhatIf, published_eyes, schematic_eyes, what_if
from lenscalc.quantities import Quantity
from lenscalc.uncertainty.rounding import fixed
from lenscalc.web.eye.eye_pictures import COLOURS, ONE_PICTURE, Asked, cause
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.typed import as_arguments, as_options
from lenscalc.web.questions.eye_notices import noticed
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed, with_sign
from lenscalc.web.shown.note import note

INDEX, PLACE = "the index of the lens", "the place of the implant"
INDEX_CHANGE = Quantity(
    "index_change", "Δn", "", "change of the index (− lower, + higher)", "the index of the lens minus what it was taken for", -0.1, 0.1, -0.01,
    0.01, 4, "lot", 0.0005,
)  # fmt: skip
POSITION_SHIFT = Quantity(
    "position_shift_mm", "Δd", "mm", "shift of the implant (− shallower, + deeper)", "where the implant stands minus where it was meant to", -2.0,
    2.0, -0.5, 0.5, 2, "lens", 0.05,
)  # fmt: skip


def eye_page() -> None:
    """Draw the page."""
    st.title("What would the eye notice?", anchor=False)
    answers, form = answers_and_inputs()
    with answers:
        top = st.container()
        picture = choice_field("Show", tuple(ONE_PICTURE), key="eye_picture", horizontal=True)
    try:
        with form:
            asked = _form(colours=picture == COLOURS)
        found = _answer(asked)
    except InputError as error:
        with top:
            tell(error)
            caution()
        return
    with top:
        st.markdown(f"In short: {_in_short(asked, found)}.\n\n{noticed(found.refraction_shift_D)}")
        st.markdown(_how_much(asked, found))
    with answers:
        ONE_PICTURE[picture](asked, found)
        caution()
        note(
            f"{found.eye[0].upper()}{found.eye[1:]}. A schematic eye, nobody's, and nothing about a person is decided here: what comes out is a "
            "difference, all but the change taken as exact. "
            f"Depth of focus: {DEPTH_FROM}. It depends on pupil, light and what is looked at. The step of 0.25 D: common practice, no source."
        )
        _computed(asked, found)


def _form(*, colours: bool) -> Asked:
    off = choice_field("What is off?", (INDEX, PLACE), key="what_is_off")
    by_index = off == INDEX
    amount = _field(INDEX_CHANGE if by_index else POSITION_SHIFT, 0.001 if by_index else 0.1)
    power_D = _field("labelled_power_D", 20.0)
    n_lens = _field("n_lens", 1.49, label="index of the lens, as meant")
    eye = choice_field("In which schematic eye?", schematic_eyes(), key="schematic_eye", among="list", shown=_name)
    abbe_d, other = 58.0, 40.0
    if colours:
        abbe_d, other = _field("abbe_d", abbe_d), _field("abbe_d", other, key="eye_other_abbe_d", label="Abbe number to compare with")
    note("A link to this page keeps what stands here.")
    return Asked(power_D, n_lens, amount if by_index else 0.0, 0.0 if by_index else amount, eye, by_index, abbe_d, other)


def _field(of: str | Quantity, value: float, *, key: str | None = None, label: str | None = None) -> float:
    name = of if isinstance(of, str) else of.name
    given = number_field(of, key=key or f"eye_{name}", value=value, label=label, in_address=True)
    if given is None:
        raise InputError(f"{name} is missing: give a number", quantity=name)
    return given


def _name(key: str) -> str:
    return "a teaching eye with a thin cornea" if key == "teaching" else published_eyes()[key].name


def _answer(asked: Asked) -> WhatIf:
    if not abs(asked.index_change) <= INDEX_CHANGE.upper:
        raise InputError(f"index_change = {asked.index_change:g}: must be -0.1 to 0.1; an error of an index, not an index", quantity="index_change")
    if asked.n_lens <= N_MEDIUM_IN_USE:
        raise InputError(f"n_lens = {asked.n_lens:g}: must be above {N_MEDIUM_IN_USE:g}, the medium's own index", quantity="n_lens")
    return what_if(asked.labelled_power_D, asked.power_D, eye=asked.eye, position_shift_mm=asked.position_shift_mm, n_lens=asked.n_lens)


def _shift(found: WhatIf) -> str:
    shift_D = found.refraction_shift_D
    return with_sign(shift_D, 2 if abs(shift_D) >= 0.02 else 3)


def _in_short(asked: Asked, found: WhatIf) -> str:
    if round(found.refraction_shift_D, 3) == 0:
        return f"{cause(asked)} leaves the refraction **where it is**"
    side = "more myopic" if found.refraction_shift_D < 0 else "more hyperopic"
    if asked.by_index:
        lens = f"with {cause(asked)} the lens has {signed(asked.power_D, 2)} D in place of {signed(asked.labelled_power_D, 2)} D"
        return f"{lens}; in a schematic eye the refraction at the spectacles moves by **{_shift(found)} D**, {side}"
    return f"with the implant {cause(asked)}, in a schematic eye, the refraction at the spectacles moves by **{_shift(found)} D**, {side}"


def _how_much(asked: Asked, found: WhatIf) -> str:
    whose = "Every lens that is made of the lot carries the same error of the index: over many lenses it does not average out."
    if not asked.by_index:
        whose = "A shift is that of one implant: as far as it falls at random, it averages out over many."
    slope = found.d_refraction_d_position_mm
    if asked.by_index:
        as_labelled = what_if(asked.labelled_power_D, asked.labelled_power_D, eye=asked.eye, n_lens=asked.n_lens)  # whatever change is looked at
        slope = as_labelled.d_refraction_d_power * asked.labelled_power_D / (asked.n_lens - N_MEDIUM_IN_USE)
    if abs(slope) < 1e-6:
        return f"A lens without power moves no refraction, whatever its index and place. {whose}"
    takes = "A quarter of a dioptre at the spectacles takes"
    if asked.by_index:
        return f"{takes} **{0.25 / abs(slope):#.3g}** of index, for a lens of this power and index. {whose}"
    return f"{takes} **{0.25 / abs(slope):#.2g} mm** of shift, near this place. {whose}"


def _computed(asked: Asked, found: WhatIf) -> None:
    command = {"labelled_power_D": asked.labelled_power_D, "n_lens": asked.n_lens, "index_change": asked.index_change}
    if not asked.by_index:
        command = {"labelled_power_D": asked.labelled_power_D, "position_shift_mm": asked.position_shift_mm}
    arguments = {"eye": asked.eye, "position_shift_mm": asked.position_shift_mm, "n_lens": asked.n_lens}
    how_computed(
        words="From the retina outwards, plane by plane: each adds its power to the vergence, each way changes it. Once with the implant that the "
        "label promises, once with the changed one; the difference of what is left in front of the cornea, seen at the spectacles, is the answer. "
        f"The slope at the changed lens gives about the same; in full it is {with_sign(found.refraction_shift_D, 4)} D.",
        equations=(r"L' = L + F", r"L_\mathrm{next} = \frac{L'}{1 - \frac{d}{n} L'}", *_with_numbers(asked, found)),
        functions=("refraction_shift", "spectacle_refraction", "vergence_downstream", "refraction_change", "eye_sensitivities"),
        command=f"lenscalc eye {as_options(command)} --schematic-eye {asked.eye} --light-path",
        python=f"from lenscalc.eye import what_if\n\nlabel = {asked.labelled_power_D:.12g}\n"
        f"power = label{f' * (1 + {asked.index_change:.12g} / ({asked.n_lens:.12g} - 1.336))' if asked.by_index else ''}\n"
        f"what_if(label, power, {as_arguments(arguments)}).refraction_shift_D",
    )


def _with_numbers(asked: Asked, found: WhatIf) -> tuple[str, ...]:
    """The linear law with this page's numbers put in."""
    change_D, slope = asked.power_D - asked.labelled_power_D, found.d_refraction_d_power
    if asked.by_index:
        return (
            rf"\Delta F = F\,\frac{{\Delta n}}{{n - 1.336}} = {asked.labelled_power_D:g}\cdot\frac{{{asked.index_change:g}}}"
            rf"{{{asked.n_lens:g} - 1.336}} = {fixed(change_D, 4, '+')}\ \mathrm{{D}}",
            rf"\Delta R \approx \frac{{\partial R}}{{\partial F}}\,\Delta F = {fixed(slope, 4)}\cdot({fixed(change_D, 4, '+')}) = "
            rf"{fixed(slope * change_D, 4, '+')}\ \mathrm{{D}}",
        )
    slope, shift_mm = found.d_refraction_d_position_mm, asked.position_shift_mm
    return (
        rf"\Delta R \approx \frac{{\partial R}}{{\partial d}}\,\Delta d = {fixed(slope, 4)}\cdot({shift_mm:+g}) = "
        rf"{fixed(slope * shift_mm, 4, '+')}\ \mathrm{{D}}",
    )
