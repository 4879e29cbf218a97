"""The page of one lens by its dimensions: what its power is, and what it answers to."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.chain import Evaluation, evaluate
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.web.fields.beside import tell, told
from lenscalc.web.fields.choice_field import switch_field
from lenscalc.web.fields.kept_inputs import keep_inputs, take_inputs
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.typed import as_arguments, as_options
from lenscalc.web.lens.dimensions_answers import answers_to, its_drawing, its_power, power_with_index, still_drawn
from lenscalc.web.questions.would_it_conform import limits_and_verdict
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import first
from lenscalc.web.shown.note import note
from lenscalc.web.shown.thick_lens_lines import thick_lens_lines

START = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0, "n_lens": 1.49,
    "n_medium": N_MEDIUM_IN_USE, "u_front_radius_mm": 0.02, "u_back_radius_mm": 0.02, "u_center_thickness_mm": 0.01, "u_n_lens": 0.0003,
}  # fmt: skip
MAY_BE_TAKEN = (
    *START, "n_medium_behind", "labelled_power_D", "u_front_curvature_per_mm", "u_back_curvature_per_mm",
)  # fmt: skip


def dimensions_page() -> None:
    """Draw the page."""
    st.title("A lens by its dimensions", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        row = _form()
    with answers:
        st.markdown("What power has a lens of these dimensions, and what does the power answer to?")
        try:
            result = evaluate({name: [value] for name, value in row.items()})
            if result.problems[0]:
                raise InputError(str(result.problems[0]))
        except InputError as error:
            tell(error)
            still_drawn(row)
            caution()
            return
        _answers(row, result)
    _computed(row, result)


def _answers(row: dict[str, Any], result: Evaluation) -> None:
    its_power(row, result)
    left, right = st.columns([4, 6], gap="medium", vertical_alignment="bottom")
    with left:
        its_drawing(row, result)
    with right:
        power_with_index(row, result)
    for sentence in result.warnings_of():
        st.info(told(sentence), icon=":material/info:")
    if "labelled_power_D" in row:
        st.header("Would it conform?", anchor=False)
        limits_and_verdict(row, result)
    caution()
    answers_to(result)


def _form() -> dict[str, Any]:
    row: dict[str, Any] = {}
    for side in ("front", "back"):
        if switch_field(f"The {side} is plano", key=f"{side}_plano"):
            row[f"{side}_radius_mm"] = np.inf
            _put(row, f"u_{side}_curvature_per_mm")
        else:
            _pair(row, f"{side}_radius_mm")
    _pair(row, "center_thickness_mm")
    _put(row, "optic_diameter_mm")
    _pair(row, "n_lens")
    _put(row, "n_medium")
    if switch_field("Another medium behind", key="other_medium_behind"):
        _put(row, "n_medium_behind")
    _put(row, "labelled_power_D")
    note("u is a standard uncertainty; with 0 the value is taken as exact. The label may be left empty. The address of this page carries the lens.")
    keep_inputs(row, name="lens.csv")
    take_inputs(MAY_BE_TAKEN, key="take_lens", switches={"front_radius_mm": "front_plano", "back_radius_mm": "back_plano"},
                opens={"n_medium_behind": "other_medium_behind"})  # fmt: skip
    return row


def _put(row: dict[str, Any], name: str) -> None:
    value = number_field(name, value=START.get(name), in_address=True)
    if value is not None:
        row[name] = value


def _pair(row: dict[str, Any], name: str) -> None:
    left, right = st.columns(2, vertical_alignment="top")
    with left:
        _put(row, name)
    with right:
        _put(row, f"u_{name}")


def _computed(row: dict[str, Any], result: Evaluation) -> None:
    front = row.get("n_medium", N_MEDIUM_IN_USE)
    powers = (first(result.columns[name]) for name in ("front_surface_power_D", "back_surface_power_D", "power_D"))
    given = {name: value for name, value in row.items() if not (name.startswith("u_") and value == 0)}
    how_computed(
        words="Surface powers from the radii in metres, then both together; *t* is the thickness in the centre. Then the equation's partial "
        "derivatives, each multiplied by the u of its input, added in squares: the u of the power.",
        equations=(
            *thick_lens_lines(row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["n_lens"], front,
                              row.get("n_medium_behind", front), *powers),
            r"u^2(F) = \sum_i \left(\frac{\partial F}{\partial x_i}\right)^2 u^2(x_i)",
            *_u_lines(row, result),
        ),
        functions=("thick_lens", "power_sensitivity"),
        command=f"lenscalc power {as_options({k: v for k, v in given.items() if k != 'labelled_power_D'})}",
        python=f"from math import inf\n\nfrom lenscalc import evaluate\n\nlens = dict({as_arguments(given)})\n"
        "columns = evaluate({name: [value] for name, value in lens.items()}).columns\n"
        'float(columns["power_D"][0]), float(columns["u_power_D"][0])',
    )  # fmt: skip


def _u_lines(row: dict[str, Any], result: Evaluation) -> list[str]:
    """The sum with its numbers put in; nothing where everything is exact."""
    u_D = first(result.columns["u_power_D"])
    terms = []
    for name, u in row.items():
        slope = result.only(f"d_power_d_{name.removeprefix('u_')}") if name.startswith("u_") and u else None
        if slope:
            terms.append(rf"({slope:.4g}\cdot {u:g})^2")
    return [rf"u(F) = \sqrt{{{' + '.join(terms)}}} = {u_D:.4f}\ \mathrm{{D}}"] if terms else []
