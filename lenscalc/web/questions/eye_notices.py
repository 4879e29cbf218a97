"""What would the eye notice?"""

from __future__ import annotations

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.eye import DEPTH_FROM, TEACHING_EYE, in_words, would_be_noticed
from lenscalc.web.shown.figures import figure, first
from lenscalc.web.shown.note import note


def noticed(shift_D: float, u_D: float = 0.0) -> str:
    """Whether a change of the refraction would be noticed, the answer itself in bold."""
    answer, colon, why = would_be_noticed(shift_D, u_D=u_D).partition(":")
    return f"Would it be noticed? **{answer}**{colon}{why}"


def eye_notices(followed: Followed) -> None:
    """How far the refraction moves from what the label promises, in a schematic eye."""
    result = followed.evaluation
    st.header("What would the eye notice?")
    shift_D = result.only("refraction_shift_D")
    if shift_D is None:
        st.markdown("Without a label there is no power to compare with, and so no shift of the refraction.")
        return
    u_D = first(result.columns["u_refraction_shift_D"])
    side = "more myopic" if shift_D < 0 else "more hyperopic"
    about = f", to the {side} side" if abs(shift_D) > u_D else ", which is no more than its uncertainty"
    st.markdown(
        f"Against a lens that has its labelled power exactly, the spectacle refraction would move by **{figure(shift_D, u_D, 'D')}**{about}."
    )
    st.markdown(noticed(shift_D, u_D))
    note(f"In a {in_words(TEACHING_EYE)}. For teaching and for judging an error; nobody's eye. Depth of focus: {DEPTH_FROM}.")
