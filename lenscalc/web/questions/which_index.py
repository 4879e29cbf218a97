"""Which index will the lens have in the eye?"""

from __future__ import annotations

import pandas as pd
import streamlit as st

from lenscalc.chain import Followed
from lenscalc.charts import budget_bars
from lenscalc.uncertainty import budget
from lenscalc.web.figures import figure, first
from lenscalc.web.picture import ground, picture


def which_index(followed: Followed) -> None:
    """The index in use, the steps to it, and where its uncertainty comes from."""
    index = followed.index
    n, u = first(index.n.value), first(index.n.u)
    st.subheader("Which index will the lens have in the eye?")
    st.markdown(
        f"**{figure(n, u)}** at {index.wavelength_nm:g} nm and {index.temperature_degC:g} °C, wet, {index.basis}. "
        f"The refractometer showed {followed.row['n_reading']:.5f} on the mean; the lens in the eye is lit, warm and wet as below."
    )
    steps = [(step.name, figure(first(step.n.value), first(step.n.u), decimals_if_exact=5), step.note) for step in index.steps]
    st.table(pd.DataFrame(steps, columns=["step", "index after it", "by"]).set_index("step"))
    lines = budget(index.n)
    if lines:
        picture(
            budget_bars(lines, ground=ground()),
            f"Share of each source in u² of the index. To know the index better, work on the largest first: {lines[0].source}.",
        )
