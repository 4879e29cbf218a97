"""The answers of the page of one lens: its power in a sentence, its two pictures, what it answers to."""

from __future__ import annotations

from typing import Any

import streamlit as st

from lenscalc.chain import Evaluation
from lenscalc.charts import lens_drawing, power_against_index
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.quantities import quantity, within
from lenscalc.web.questions.index_off import in_words
from lenscalc.web.shown.figures import figure, first, signed
from lenscalc.web.shown.picture import ground, picture

SENTENCES = (
    ("d_power_d_front_radius_mm", 0.01, "0.01 mm more front radius makes it {} D {}."),
    ("d_power_d_back_radius_mm", 0.01, "0.01 mm more back radius (towards +) makes it {} D {}."),
    ("d_power_d_center_thickness_mm", 0.01, "0.01 mm more thickness makes it {} D {}."),
    ("d_power_d_n_medium", 0.001, "0.001 more in the medium (in front, where there are two) makes it {} D {}."),
    ("d_power_d_n_medium_behind", 0.001, "0.001 more in the medium behind makes it {} D {}."),
)


def its_power(row: dict[str, Any], result: Evaluation) -> None:
    """The power with its u, where the light goes, the vertex powers."""
    front = row.get("n_medium", N_MEDIUM_IN_USE)
    behind = row.get("n_medium_behind", front)
    where = f"in a medium of {front:g}" if front == behind else f"with {front:g} in front and {behind:g} behind"
    power_D, u_D = (first(result.columns[name]) for name in ("power_D", "u_power_D"))
    does = "It gathers light" if round(power_D, 3) > 0 else "It spreads light" if round(power_D, 3) < 0 else "It has no power"
    st.header(f"{does}: {figure(power_D, u_D, 'D')}, {where}", anchor=False)
    focus = result.only("back_focal_length_mm")
    far = "Parallel light leaves it parallel." if focus is None else f"Parallel light comes to a focus {signed(focus, 2)} mm behind its back vertex."
    if focus is not None and focus < 0:
        far = f"Parallel light spreads as if it came from {signed(-focus, 2)} mm before its back vertex."
    st.markdown(
        f"{far} Back vertex power {signed(first(result.columns['back_vertex_power_D']), 3)} D, "
        f"front vertex power {signed(first(result.columns['front_vertex_power_D']), 3)} D. "
        f"**{in_words(first(result.columns['d_power_d_n_lens']))}**{_most_of_u(row, result)}"
    )


def _most_of_u(row: dict[str, Any], result: Evaluation) -> str:
    """Which input holds most of the power's u."""
    of_u = {name.removeprefix("u_"): u for name, u in row.items() if name.startswith("u_")}
    shares = {name: (u * (result.only(f"d_power_d_{name}") or 0.0)) ** 2 for name, u in of_u.items()}
    most = max(shares, key=lambda name: shares[name], default="")
    return f" Most of its u comes from the {quantity(most).label}." if most and shares[most] > 0.5 * sum(shares.values()) else ""


def its_drawing(row: dict[str, Any], result: Evaluation) -> None:
    """The lens to scale, where its diameter is known."""
    if "optic_diameter_mm" not in row:
        st.markdown("With an optic diameter the lens can be drawn.")
        return
    picture(
        lens_drawing.drawing(
            row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["optic_diameter_mm"],
            front_principal_plane_mm=result.only("front_principal_plane_mm"), back_principal_plane_mm=result.only("back_principal_plane_mm"),
            ground=ground(),
        ),
        f"To scale. Edge {signed(first(result.columns['edge_thickness_mm']), 2)} mm thick. H and H′: its principal planes.",
        width="content",
    )  # fmt: skip


def still_drawn(row: dict[str, Any]) -> None:
    """The lens alone, where something else is wrong than its dimensions."""
    names = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm")
    try:
        drawn = lens_drawing.drawing(*(float(within(quantity(name), row[name])) for name in names), ground=ground())
    except (InputError, KeyError):
        return  # the page has said what is wrong with them, or that one is missing
    picture(drawn, "The lens to scale; what stands above keeps its power from being said.", width="content")


def power_with_index(row: dict[str, Any], result: Evaluation) -> None:
    """How the power follows the index."""
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


def answers_to(result: Evaluation) -> None:
    """What each of the other dimensions does to the power."""
    st.header("What else does the power answer to?", anchor=False)
    sentences = [
        text.format(f"{abs(change):.2g}", "stronger (more +)" if change > 0 else "weaker (more −)")
        for name, step, text in SENTENCES
        if (change := (result.only(name) or 0.0) * step)
    ]
    st.markdown("\n".join(f"- {sentence}" for sentence in sentences) or "To nothing.")
