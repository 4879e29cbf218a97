"""The numbers of a picture, to take away for a picture of one's own."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

import numpy as np
import streamlit as st


def save_numbers(columns: Mapping[str, Any], name: str) -> None:
    """A button that saves columns as CSV, each named with its unit; the file is written when somebody asks for it."""
    st.download_button(
        "Save these numbers (CSV)", lambda: numbers_csv(columns).encode(), name, mime="text/csv", on_click="ignore", key=f"save numbers {name}"
    )


def numbers_csv(columns: Mapping[str, Any]) -> str:
    """Columns as CSV, whole: what is rounded on the page is not rounded here.

    >>> numbers_csv({"candidate": ["A", "B"], "power_D": np.array([20.419372, 19.5])})
    'candidate,power_D\\nA,20.419372\\nB,19.5\\n'
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(zip(*(np.asarray(column).tolist() for column in columns.values()), strict=True))
    return out.getvalue()
