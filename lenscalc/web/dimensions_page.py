"""The page of one lens by its dimensions: what its power is, and what it answers to."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.chain import Evaluation, evaluate
from lenscalc.charts import lens_drawing, power_against_index
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.web.caution import caution
from lenscalc.web.computed import how_computed
from lenscalc.web.figures import figure, first, signed
from lenscalc.web.note import note
from lenscalc.web.number_field import number_field
from lenscalc.web.picture import ground, picture
from lenscalc.web.questions.how_strong import worked
from lenscalc.web.questions.index_off import in_words
from lenscalc.web.questions.would_it_conform import limits_and_verdict

START = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "optic_diameter_mm": 6.0, "n_lens": 1.49,
    "n_medium": N_MEDIUM_IN_USE, "u_front_radius_mm": 0.02, "u_back_radius_mm": 0.02, "u_center_thickness_mm": 0.01, "u_n_lens": 0.0003,
}  # fmt: skip
SENTENCES = (
    ("d_power_d_front_radius_mm", 0.01, "0.01 mm more front radius makes it {} D {}."),
    ("d_power_d_back_radius_mm", 0.01, "0.01 mm more back radius (towards +) makes it {} D {}."),
    ("d_power_d_center_thickness_mm", 0.01, "0.01 mm more thickness makes it {} D {}."),
    ("d_power_d_n_medium", 0.001, "0.001 more in the medium (in front, where there are two) makes it {} D {}."),
    ("d_power_d_n_medium_behind", 0.001, "0.001 more in the medium behind makes it {} D {}."),
)


def dimensions_page() -> None:
    """Draw the page."""
    st.title("A lens by its dimensions")
    st.markdown("What power has a lens of these dimensions, and what does the power answer to? The address of this page carries the lens.")
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    with form:
        row = _form()
    try:
        result = evaluate({name: [value] for name, value in row.items()})
        if result.problems[0]:
            raise InputError(str(result.problems[0]))
    except InputError as error:
        top.error(str(error), icon=":material/error:")
        return
    with top:
        st.markdown(f"In short: **{figure(first(result.columns['power_D']), first(result.columns['u_power_D']), 'D')}**.")
        caution()
        for sentence in result.warnings_of():
            st.info(sentence, icon=":material/info:")
    with answers:
        _power(row, result)
        _answers_to(row, result)
        if "labelled_power_D" in row:
            st.header("Would it conform?")
            limits_and_verdict(row, result)
        _computed(row)


def _computed(row: dict[str, Any]) -> None:
    given = {name: value for name, value in row.items() if not (name.startswith("u_") and value == 0)}
    options = " ".join(f"--{name.replace('_', '-')} {'plano' if value == np.inf else f'{value:g}'}" for name, value in given.items())
    columns = ", ".join(f"{name}={'inf' if value == np.inf else f'{value:g}'}" for name, value in given.items())
    how_computed(
        words="The thick lens's equation for the power; its partial derivatives, each multiplied by its u, added in squares for the u of the power.",
        equations=(r"F = F_1 + F_2 - \frac{t}{n}F_1F_2", r"u^2(F) = \sum_i \left(\frac{\partial F}{\partial x_i}\right)^2 u^2(x_i)"),
        functions=("thick_lens", "power_sensitivity"),
        command=f"lenscalc power {options}",
        python=f'from math import inf\n\nfrom lenscalc import evaluate\n\nevaluate(dict({columns})).columns["power_D"]',
    )


def _form() -> dict[str, Any]:
    row: dict[str, Any] = {}
    for side in ("front", "back"):
        if st.checkbox(f"The {side} is plano", key=f"{side}_plano", bind="query-params", persist_state="session"):
            row[f"{side}_radius_mm"] = np.inf
            _put(row, f"u_{side}_curvature_per_mm")
        else:
            _pair(row, f"{side}_radius_mm")
    _pair(row, "center_thickness_mm")
    _put(row, "optic_diameter_mm")
    _pair(row, "n_lens")
    _put(row, "n_medium")
    if st.checkbox("Another medium behind", key="other_medium_behind", bind="query-params", persist_state="session"):
        _put(row, "n_medium_behind")
    _put(row, "labelled_power_D")
    note("u is a standard uncertainty; with 0 the value is taken as exact. The label may be left empty.")
    return row


def _put(row: dict[str, Any], name: str) -> None:
    value = number_field(name, value=START.get(name), in_address=True)
    if value is not None:
        row[name] = value


def _pair(row: dict[str, Any], name: str) -> None:
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        _put(row, name)
    with right:
        _put(row, f"u_{name}")


def _power(row: dict[str, Any], result: Evaluation) -> None:
    power_D, u_D = first(result.columns["power_D"]), first(result.columns["u_power_D"])
    behind = row.get("n_medium_behind", row.get("n_medium", N_MEDIUM_IN_USE))
    front = row.get("n_medium", N_MEDIUM_IN_USE)
    st.header("What power has it?")
    where = f"in a medium of {front:g}" if front == behind else f"with {front:g} in front and {behind:g} behind"
    st.markdown(f"**{figure(power_D, u_D, 'D')}**, {where}.")
    focus = result.only("back_focal_length_mm")
    far = "Parallel light leaves it parallel." if focus is None else f"Parallel light comes to a focus {signed(focus, 2)} mm behind its back vertex."
    if focus is not None and focus < 0:
        far = f"Parallel light spreads as if it came from {signed(-focus, 2)} mm before its back vertex."
    st.markdown(
        f"{far} Back vertex power {signed(first(result.columns['back_vertex_power_D']), 3)} D, "
        f"front vertex power {signed(first(result.columns['front_vertex_power_D']), 3)} D."
    )
    if "optic_diameter_mm" in row:
        picture(
            lens_drawing.drawing(
                row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["optic_diameter_mm"],
                front_principal_plane_mm=result.only("front_principal_plane_mm"), back_principal_plane_mm=result.only("back_principal_plane_mm"),
                ground=ground(),
            ),
            f"To scale. Edge {signed(first(result.columns['edge_thickness_mm']), 2)} mm thick. H and H′: its principal planes.",
            width="content",
        )  # fmt: skip
    worked(
        row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["n_lens"], front, behind,
        first(result.columns["front_surface_power_D"]), first(result.columns["back_surface_power_D"]), power_D,
    )  # fmt: skip


def _answers_to(row: dict[str, Any], result: Evaluation) -> None:
    st.header("What does the power answer to?")
    slope = first(result.columns["d_power_d_n_lens"])
    sentences = [in_words(slope)] + [
        text.format(f"{abs(change):.2g}", "stronger (more +)" if change > 0 else "weaker (more −)")
        for name, step, text in SENTENCES
        if (change := (result.only(name) or 0.0) * step)
    ]
    st.markdown("\n".join(f"- {sentence}" for sentence in sentences))
    lower, upper = result.only("lower_limit_D"), result.only("upper_limit_D")
    picture(
        power_against_index.drawing(
            row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["n_lens"],
            n_medium=row.get("n_medium", N_MEDIUM_IN_USE), n_medium_behind=row.get("n_medium_behind"), u_n_lens=row.get("u_n_lens", 0.0),
            u_power_D=first(result.columns["u_power_D"]), labelled_power_D=row.get("labelled_power_D"), lower_limit_D=lower, upper_limit_D=upper,
            ground=ground(),
        ),
        "The power of this lens with other indices." + (" The band is the tolerance about the label." if lower is not None else ""),
    )  # fmt: skip
