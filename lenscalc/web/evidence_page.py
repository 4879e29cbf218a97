"""The page that says how the numbers are known: agreement with published sources, and the conventions."""

from __future__ import annotations

import streamlit as st

from lenscalc.charts.agreement_bars import agreement_bars
from lenscalc.conditions import N_MEDIUM_IN_USE, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.decision import RULE, TOLERANCE_EDITION
from lenscalc.eye import TEACHING_EYE, in_words
from lenscalc.verify import Line, part_of_tolerance, run
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.picture import ground, picture
from lenscalc.web.shown.worst_agreement import worst_agreement


@st.cache_data(max_entries=1, show_spinner="Every reference case is computed afresh: some ten seconds, once")
def reference_lines() -> list[Line]:
    """Every reference value, computed once a process: the cases do not change while it runs."""
    return run()


def evidence_page() -> None:
    """Draw the page."""
    st.title("How do we know?", anchor=False)
    st.header("Does it agree with what others have printed?", anchor=False)
    lines = reference_lines()
    agree = sum(line.agrees for line in lines)
    sources = worst_agreement(lines)
    told = f"**All {agree:,}**" if agree == len(lines) else f"**{agree:,} of {len(lines):,}**, not all,"
    st.markdown(f"{told} reference values agree, of {len(sources)} sources: published tables, worked examples, other programs.")
    picture(
        agreement_bars.drawing([part_of_tolerance(line) for line in lines], ground=ground()),
        "The tolerance is half a unit of the last printed digit, unless the case says otherwise and why. So even exact values are spread between the "
        "dashed lines: the print is rounded.",
    )
    caution()
    with st.expander(f"Each of the {len(sources)} sources, with its least good value"):
        st.table(sources)
    st.header("By which conventions?", anchor=False)
    st.markdown(
        "- **Sign.** Light travels from left to right, along +z. A radius is positive when its centre lies behind the surface: "
        "biconvex is front > 0, back < 0. A flat surface is plano.\n"
        "- **Basis of an index.** Relative to air, as refractometers read; a value relative to vacuum is converted, an unknown basis is counted "
        "as an uncertainty.\n"
        f"- **Conditions in use.** {WAVELENGTH_IN_USE_NM:g} nm, {TEMPERATURE_IN_USE_DEGC:g} °C, hydrated, in a medium of {N_MEDIUM_IN_USE}: "
        "from memory of the standard, to be confirmed against its text.\n"
        "- **Power.** Equivalent power of the thick lens, paraxial, in its medium.\n"
        "- **Uncertainty.** Standard uncertainty u, carried source by source through the linear law; what two numbers share cancels or adds.\n"
        f"- **Decision.** {RULE[0].upper()}{RULE[1:]}.\n"
        f"- **Tolerance.** {TOLERANCE_EDITION}.\n"
        f"- **Eye.** A {in_words(TEACHING_EYE)}. For teaching; nobody's eye."
    )
