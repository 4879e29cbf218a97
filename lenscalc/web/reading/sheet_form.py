"""The form of a reading sheet: sections in the order in which somebody at the bench would tell it, what is needed first open, the rest folded."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from lenscalc.errors import InputError
from lenscalc.web.fields.beside import said_of
from lenscalc.web.reading.bench_form import calibration_form, refractometer_form
from lenscalc.web.reading.folded import folded
from lenscalc.web.reading.lens_form import lens_form
from lenscalc.web.reading.readings_form import readings_form
from lenscalc.web.reading.sheet_fields import field, side_by_side
from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, MEDIUM, READ, REFRACTOMETER, SECTIONS, SPECIMEN, TO_THE_EYE, section_of
from lenscalc.web.reading.sheet_told import sheet_told
from lenscalc.web.reading.to_the_eye_form import medium_form, to_the_eye_form

OPEN = (READ, LENS)
_FOLDED = ("tolerance_D", "required_probability")  # fields of an open section that are out of sight


class SheetForm:
    """The drawn form: a place for a refusal above every section, and whether one of them has been used."""

    def __init__(self) -> None:
        self.refused: list[tuple[str, str]] = []  # section, and the sentence as the page shows it
        self._places: dict[str, Any] = {}
        for section in SECTIONS:
            self._places[section] = st.container()
            try:
                folded(section, _DRAWN[section], unfolded=section in OPEN)
            except InputError as error:
                self._tell(section, error)

    def refuse(self, error: InputError) -> None:
        """Show a refusal of the whole sheet beside the input that it concerns."""
        self._tell(section_of(error), error)

    def _tell(self, section: str, error: InputError) -> None:
        sentence = sheet_told(str(error))
        self.refused.append((section, sentence))
        name = said_of(str(error))
        if section in OPEN and name is not None and name not in _FOLDED:
            return  # it stands below its field, in sight
        self._places[section].error(f"{section}: {sentence}", icon=":material/error:")


def _specimen_form() -> None:
    side_by_side(("specimen", "material"), ("date",))
    side_by_side(("specimen", "lot"), ("specimen", "u_specimen_to_lens"))
    field("title")
    field("provenance")
    field("specimen", "preparation")
    side_by_side(("specimen", "equilibration_liquid"), ("specimen", "equilibration_h"))


_DRAWN: dict[str, Callable[[], None]] = {
    READ: readings_form, LENS: lens_form, TO_THE_EYE: to_the_eye_form, REFRACTOMETER: refractometer_form, CALIBRATION: calibration_form,
    MEDIUM: medium_form, SPECIMEN: _specimen_form,
}  # fmt: skip
