"""How strong is a lens of it?"""

from __future__ import annotations

import streamlit as st

from lenscalc.chain import Followed, lens_in_words
from lenscalc.charts import lens_drawing
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.uncertainty import budget
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.figures import figure, first, signed
from lenscalc.web.shown.picture import ground, picture


def how_strong(followed: Followed) -> None:
    """The power of the lens, its drawing, the equation with its numbers, the power in a measured medium."""
    row, result = dict(followed.row), followed.evaluation
    power_D, u_D = first(result.columns["power_D"]), first(result.columns["u_power_D"])
    st.header("How strong is a lens of it?")
    largest = budget(result.estimates["power_D"])[:1]
    cause = f" Most of its u comes from: {as_text(largest[0].source)}." if largest else ""
    dimensions = lens_in_words(row | {name: round(row[name], 3) for name in DIMENSIONS}).replace("-", "−")
    n = figure(first(followed.index.n.value), first(followed.index.n.u)).partition(",")[0]
    st.markdown(
        f"**{figure(power_D, u_D, 'D')}** with the index found above, {n}, in the eye's medium of {N_MEDIUM_IN_USE}, if it were cut to {dimensions}."
        f"{cause}"
    )
    picture(
        lens_drawing.drawing(
            row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], row["optic_diameter_mm"],
            front_principal_plane_mm=result.only("front_principal_plane_mm"), back_principal_plane_mm=result.only("back_principal_plane_mm"),
            ground=ground(),
        ),
        f"The lens hydrated at 35 °C, to scale. Edge {signed(first(result.columns['edge_thickness_mm']), 2)} mm thick. "
        "H and H′: its principal planes.",
        width="content",
    )  # fmt: skip
    there = result.only("power_in_measured_medium_D")
    if there is not None:
        name = as_text((followed.sheet.medium or {}).get("name", "the measured medium"))
        st.markdown(
            f"**Another number, not to be mixed up with it:** in the medium that was measured ({name}; index {row['n_measured_medium']:g}) the same "
            f"lens would have {figure(there, first(result.columns['u_power_in_measured_medium_D']), 'D')}. No label is ever decided on this one."
        )
