"""Which index will the lens have in the eye?"""

from __future__ import annotations

from itertools import pairwise

import pandas as pd
import streamlit as st

from lenscalc.chain import Followed
from lenscalc.charts import budget_bars, index_waterfall
from lenscalc.quantities import counted
from lenscalc.refractometer import Step
from lenscalc.uncertainty import budget
from lenscalc.web.shown.as_text import as_text, plain_table
from lenscalc.web.shown.figures import figure, first
from lenscalc.web.shown.picture import ground, picture

STEPS = "steps as a table"  # key of the panel: whether it stands open
WITHOUT_NOTE = {"hydrated": "the measured shift on hydration", "relative to air": "from the basis of the reading"}


def which_index(followed: Followed) -> None:
    """The index in use, the steps to it, and where its uncertainty comes from."""
    index = followed.index
    n, u = first(index.n.value), first(index.n.u)
    st.header("Which index will the lens have in the eye?")
    st.markdown(
        f"**{figure(n, u)}** at {index.wavelength_nm:g} nm and {index.temperature_degC:g} °C, hydrated, {index.basis}. "
        f"The refractometer showed {first(index.steps[0].n.value):.5f} on the mean{_of_how_many(followed)}; the steps lead from the one to the other."
    )
    most = max(zip(index.shares(), index.steps, strict=True), key=lambda pair: pair[0])[1]
    picture(
        index_waterfall.drawing(index, ground=ground()),
        f"Each bar is what a step moves, each whisker the u that enters with it. Most of the doubt enters at the step “{as_text(most.name)}”.",
    )
    ways = [(None, index.steps[0]), *pairwise(index.steps)]
    panel = st.expander("The same as a table", key=STEPS, on_change="rerun")
    if panel.open:
        steps = [
            (step.name, figure(first(step.n.value), first(step.n.u), decimals_if_exact=5), f"{share:.0%}", _by(before, step))
            for (before, step), share in zip(ways, index.shares(), strict=True)
        ]
        panel.table(plain_table(pd.DataFrame(steps, columns=["step", "index after it", "of u² at the end", "by"]).set_index("step")))
    lines = budget(index.n)
    if lines:
        picture(
            budget_bars.drawing(lines, ground=ground()),
            f"Share of each source in u² of the index. To know the index better, work on the largest first: {as_text(lines[0].source)}.",
        )


def _of_how_many(followed: Followed) -> str:
    """How many readings the mean is of, and how far they reach: who pasted over some of them only sees that others are left."""
    lists = followed.sheet.readings
    n = [value for reading in lists for value in reading.n]
    told = f" of {counted(len(n), 'reading')}" if len(n) > 1 else ""
    return f"{told}, {min(n):.5f} to {max(n):.5f}" if told and len(lists) == 1 else told


def _by(before: Step | None, step: Step) -> str:
    """What a step was done by; that it was not needed where it left the index alone."""
    if before is None:
        return "the mean of what the refractometer showed"
    if first(before.n.value) == first(step.n.value) and first(before.n.u) == first(step.n.u):
        return "nothing to change"
    return step.note or WITHOUT_NOTE.get(step.name, "")
