"""The page of a table of candidates."""

from __future__ import annotations

import streamlit as st

from lenscalc.batch import csv_text
from lenscalc.decision import TOLERANCE_EDITION
from lenscalc.demo import demo_text
from lenscalc.errors import FileError, InputError
from lenscalc.web.candidates_table import evaluated, in_short
from lenscalc.web.caution import caution
from lenscalc.web.note import note

DEMO = "candidates.csv"
SHOWN = 200


def candidates_page() -> None:
    """Draw the page."""
    st.title("A table of candidates")
    st.markdown("Which of several polymers would give a lens that conforms? One row a candidate, one column a quantity; a bad row keeps its place.")
    file = st.file_uploader("Load a table (CSV)", type="csv", key="upload_candidates")
    data = file.getvalue() if file is not None else demo_text(DEMO).encode()
    if file is None:
        st.markdown("Shown are six candidates of a small polymer workshop, **invented for the demo**.")
        st.download_button("Save the demo table, to start from", data=data, file_name=DEMO, mime="text/csv", on_click="ignore")
    try:
        columns = evaluated(data, file.name if file is not None else DEMO)
        short = in_short(columns)
    except (InputError, FileError) as error:
        st.error(str(error), icon=":material/error:")
        return
    good = int((columns["problem"] == "").sum())
    would = int(short["verdict"].str.startswith("would conform").sum())
    st.header("Which of them would conform?")
    decided = "none has a label, so nothing is decided" if "verdict" not in columns else f"{would} would conform if cut to the dimensions given"
    st.markdown(f"Of {len(short)} rows {good} could be computed; **{decided}**.")
    caution()
    st.table(short.head(SHOWN))
    if len(short) > SHOWN:
        st.markdown(f"The first {SHOWN} rows are shown; the file holds them all.")
    st.download_button(
        "Save all results (CSV)", lambda: csv_text(columns).encode(), "candidates_evaluated.csv", mime="text/csv", on_click="ignore"
    )
    note(f"Tolerance: {TOLERANCE_EDITION}. Errors that all rows share, such as the refractometer's calibration, do not set candidates apart.")
