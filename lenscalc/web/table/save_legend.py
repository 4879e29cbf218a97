"""What the columns of a result mean, to take away beside the result."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import streamlit as st

from lenscalc.batch import csv_text
from lenscalc.batch.legend import HEADING, LAST, Explained, legend
from lenscalc.web.shown.note import note

LEGEND = "columns.csv"


def save_legend(names: Sequence[str], key: str, explained: Sequence[Explained] = ()) -> None:
    """A button for the legend of these columns, and where else it stands."""
    st.download_button(
        "Save what the columns mean (CSV)", lambda: legend_csv(names, explained).encode(), LEGEND, mime="text/csv", on_click="ignore",
        key=f"save legend {key}",
    )  # fmt: skip
    note(
        "The Excel file has this legend on its second sheet. CSV and Parquet hold names alone, with the unit at their end: take the legend beside "
        "them, or ask for it by lenscalc batch --describe."
    )


def legend_csv(names: Sequence[str], explained: Sequence[Explained] = ()) -> str:
    """The legend as CSV, with what is explained besides below it, and the caution as its last line.

    >>> print(legend_csv(["power_D"]).splitlines()[1])
    power_D,power,D,equivalent power of the lens in its medium
    """
    lines = [*legend(names), *explained, LAST]
    return csv_text({title: np.array(column, dtype=object) for title, column in zip(HEADING, zip(*lines, strict=True), strict=True)})
