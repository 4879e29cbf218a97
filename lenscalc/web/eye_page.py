"""The page of what an eye notices: an index that is off, or an implant out of its place, in a schematic eye."""

from __future__ import annotations

from typing import NamedTuple

import streamlit as st

from lenscalc.charts import light_path_drawing, proportion_bars
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.eye import WhatIf, in_proportion, light_way, published_eyes, schematic_eyes, what_if
from lenscalc.quantities import Quantity
from lenscalc.web.caution import caution
from lenscalc.web.figures import signed
from lenscalc.web.note import note
from lenscalc.web.number_field import number_field
from lenscalc.web.picture import ground, picture

INDEX, PLACE = "the index of the lens", "the place of the implant"
WAY, PROPORTION = "the light's way through the eye", "the error in proportion"
INDEX_CHANGE = Quantity(
    "index_change", "Δn", "", "index higher by", "the index of the lens minus what it was taken for; below 0: lower", -0.1, 0.1, -0.01, 0.01, 4,
    "lot", 0.0005,
)  # fmt: skip
POSITION_SHIFT = Quantity(
    "position_shift_mm", "Δd", "mm", "implant deeper by", "where the implant stands minus where it was meant to; below 0: shallower", -2.0, 2.0, -0.5,
    0.5, 2, "lens", 0.05,
)  # fmt: skip


class Asked(NamedTuple):
    """What the page was asked: the implant's label and index, what is off and by how much, and the eye."""

    labelled_power_D: float
    n_lens: float
    index_change: float
    position_shift_mm: float
    eye: str
    by_index: bool

    @property
    def power_D(self) -> float:
        """What the label's power has become, by the thin-lens rule."""
        return self.labelled_power_D * (1.0 + self.index_change / (self.n_lens - N_MEDIUM_IN_USE))


def eye_page() -> None:
    """Draw the page."""
    st.title("What would the eye notice?")
    st.markdown("The index of a lens is off, or the implant stands elsewhere than was meant: how far does the refraction of a schematic eye move?")
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    try:
        with form:
            asked = _form()
        found = _answer(asked)
    except InputError as error:
        top.error(str(error), icon=":material/error:")
        return
    with top:
        st.markdown(_in_short(asked, found))
        caution()
    with answers:
        _proof(asked, found)
        _picture(asked, found)


def _form() -> Asked:
    off = st.radio("What is off?", (INDEX, PLACE), key="what_is_off", bind="query-params", persist_state="session")
    by_index = off == INDEX
    amount = _field(INDEX_CHANGE if by_index else POSITION_SHIFT, 0.001 if by_index else 0.1)
    eye = st.selectbox(
        "In which schematic eye?", schematic_eyes(), format_func=_name, key="schematic_eye", bind="query-params", persist_state="session"
    )
    power_D = _field("labelled_power_D", 20.0)
    n_lens = _field("n_lens", 1.49)
    note("Published eyes, nobody's. What comes out is a difference of refraction, with everything but the change taken as exact.")
    return Asked(power_D, n_lens, amount if by_index else 0.0, 0.0 if by_index else amount, eye, by_index)


def _field(of: str | Quantity, value: float) -> float:
    name = of if isinstance(of, str) else of.name
    given = number_field(of, key=f"eye_{name}", value=value, in_address=True)
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


def _cause(asked: Asked) -> str:
    if asked.by_index:
        return f"{abs(asked.index_change):g} {'less' if asked.index_change < 0 else 'more'} in the index"
    return f"{abs(asked.position_shift_mm):g} mm {'shallower' if asked.position_shift_mm < 0 else 'deeper'}"


def _in_short(asked: Asked, found: WhatIf) -> str:
    shift_D = found.refraction_shift_D
    if round(shift_D, 3) == 0:
        return f"In short: {_cause(asked)} would leave the refraction **where it is**."
    side = "more myopic" if shift_D < 0 else "more hyperopic"
    change = f"{'+' if shift_D > 0 else ''}{signed(shift_D, 2 if abs(shift_D) >= 0.02 else 3)}"
    whose = "An error of the index is that of the whole lot" if asked.by_index else "A shift is that of one implant"
    return f"In short: {_cause(asked)} would move the refraction by **{change} D**, {side}. {whose}."


def _proof(asked: Asked, found: WhatIf) -> None:
    st.header("How much is too much?")
    slope = found.d_refraction_d_position_mm
    if asked.by_index:
        slope = found.d_refraction_d_power * asked.labelled_power_D / (asked.n_lens - N_MEDIUM_IN_USE)
    takes = "A quarter of a dioptre at the spectacles takes"
    if abs(slope) < 1e-6:
        st.markdown("A lens without power moves no refraction, whatever its index and place.")
    elif asked.by_index:
        st.markdown(f"{takes} **{0.25 / abs(slope):.2g}** of index, for a lens of this power and index.")
    else:
        st.markdown(f"{takes} **{0.25 / abs(slope):.2g} mm** of shift, near this place.")
    note(f"{found.eye[0].upper()}{found.eye[1:]}.")


def _picture(asked: Asked, found: WhatIf) -> None:
    st.header("What does it look like?")
    choice = st.radio("Show", (WAY, PROPORTION), key="eye_picture", horizontal=True, bind="query-params", persist_state="session")
    if choice == WAY:
        way = light_way(asked.labelled_power_D, asked.power_D, eye=asked.eye, position_shift_mm=asked.position_shift_mm, n_lens=asked.n_lens)
        picture(
            light_path_drawing.drawing(way, ground=ground()),
            "Light from far away with the labelled power where it was meant to be: vergence before → behind every plane, and what the change makes "
            "of it. To scale along the axis. The retina is not in it.",
        )  # fmt: skip
        return
    seen = in_proportion(lot_bias_D=found.refraction_shift_D if asked.by_index else 0.0)
    name = f"{_cause(asked)}, in {'every' if asked.by_index else 'this'} eye"
    scatter = "Blue: standard deviations of what scatters the refraction after surgery (Norrby 2008, abstract), with the measurements of its day."
    picture(
        proportion_bars.drawing(seen.lines, found.refraction_shift_D, name, ground=ground()),
        f"{scatter} Orange: the change above." + (f" {seen.sentence}".replace("-", "−") if asked.by_index else ""),
    )  # fmt: skip
