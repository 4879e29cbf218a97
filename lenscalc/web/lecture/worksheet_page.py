"""The page of the worksheet: the numbers of the moment as exercises to print."""

from __future__ import annotations

import numpy as np
import streamlit as st

from lenscalc.charts.power_by_index_change import FURTHEST
from lenscalc.errors import InputError
from lenscalc.quantities import complaint, impossible, plain
from lenscalc.refractometer.border import PRISM
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.lens_fields import lens_fields, whole_lens
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.lecture.index_change_page import CHANGE
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.note import note
from lenscalc.worksheet import Exercise, Lesson, exercises, worksheet_html


def worksheet_page() -> None:
    """Draw the page."""
    st.title("A worksheet to print", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        given = lens_fields()
        change = slider_field(CHANGE, lower=-FURTHEST, upper=FURTHEST, value=0.001, step=0.0001, key="index_change")
        N = number_field(PRISM, value=1.75, in_address=True)
        note("The prism is that of the refractometer in the last exercises. The lens of the other pages goes along; change what you like.")
    with answers:
        st.markdown("Which numbers can a class work out with pencil and paper?")
        try:
            lesson = _lesson(given, change, N)
            asked = exercises(lesson)
            text = worksheet_html(lesson)
        except InputError as error:
            tell(error)
            caution()
            return
        st.markdown(f"In short: **{len(asked)} exercises** about this lens on one page of A4, the answers with their working on another.")
        st.download_button("Save the worksheet", data=text, file_name="worksheet.html", mime="text/html", on_click="ignore", key="save worksheet")
        note("Open the file in a browser and print it; it fetches nothing. The same numbers always give the same sheet.")
        st.header("What does the class see?", anchor=False)
        st.iframe(text, alt="The worksheet: exercises with blanks and a picture, then the answers")
        caution()
        _computed(lesson, asked)


def _lesson(given: dict[str, float | None], change: float, N: float | None) -> Lesson:
    lens = whole_lens(given)
    if N is None or impossible(PRISM, np.array([N])).any():
        raise InputError(str(complaint(PRISM, np.nan if N is None else N)), quantity="n_prism", value=N)
    return Lesson(**lens, index_change=change, n_prism=N)


def _computed(lesson: Lesson, asked: list[Exercise]) -> None:
    written = {name: "plano" if np.isinf(value) else plain(value) for name, value in lesson._asdict().items()}
    options = " ".join(f"--{name.replace('_', '-')} {value}" for name, value in written.items())
    arguments = ", ".join(f"{name}={'inf' if value == 'plano' else value}" for name, value in written.items())
    how_computed(
        words=f"The answers to the {len(asked)} exercises are the core's own: the thick lens's equation in three media, its derivative, and Snell's "
        "law for the border. The picture is traced exactly.",
        functions=("thick_lens", "power_sensitivity", "water_index", "border", "trace"),
        command=f"lenscalc worksheet {options} --save worksheet.html",
        python=f"from math import inf\n\nfrom lenscalc.worksheet import Lesson, worksheet_html\n\nworksheet_html(Lesson({arguments}))",
    )
