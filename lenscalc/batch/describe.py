"""The columns of a table: what may stand in it, what comes out, and a table to fill in."""

from __future__ import annotations

import io
from pathlib import Path
from typing import NamedTuple

from lenscalc.chain.table import CHOICES, INPUT_COLUMNS, LABELS
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.decision import REQUIRED_PROBABILITY
from lenscalc.errors import FileError
from lenscalc.own_file import write_whole
from lenscalc.quantities import RESULTS, quantity

# what a workshop has at hand for a first table; every other column may be added
TEMPLATE = (
    "candidate", "lot", "front_radius_mm", "u_front_radius_mm", "back_radius_mm", "u_back_radius_mm", "center_thickness_mm", "u_center_thickness_mm",
    "optic_diameter_mm", "n_lens", "u_n_lens", "n_reading", "u_n_reading", "u_calibration", "reading_wavelength_nm", "reading_temperature_degC",
    "index_state", "index_basis", "abbe_d", "u_abbe_d", "dn_dt_per_K", "u_dn_dt_per_K", "labelled_power_D", "tolerance_D", "note_remark",
)  # fmt: skip
_NEEDED = {
    **dict.fromkeys(("front_radius_mm", "back_radius_mm", "center_thickness_mm"), "needed"),
    "n_lens": "needed, or n_reading with its conditions",
    "n_medium": f"{N_MEDIUM_IN_USE} if missing",
    "n_medium_behind": "n_medium if missing",
    "required_probability": f"{REQUIRED_PROBABILITY:g} if missing",
    "tolerance_D": "from the tolerance table if missing",
    "front_conic": "0 if missing",
    "back_conic": "0 if missing",
}


class Described(NamedTuple):
    """One column: unit, what may stand in it, what happens where it is missing, and what it means."""

    name: str
    unit: str
    allowed: str
    missing: str
    meaning: str


def input_columns() -> list[Described]:
    """Every column that a table may have, from the registry."""
    return [_described(name) for name in INPUT_COLUMNS] + [
        Described(name, "", "text", "", "a label, carried along") for name in (*LABELS, "note_…")
    ]


def result_columns() -> list[Described]:
    """The columns that come out, from the registry; `u_` before some of them is their standard uncertainty."""
    own = [quantity("power_D"), quantity("u_power_D"), *RESULTS]
    return [Described(q.name, q.unit, "", "", q.meaning) for q in own] + [
        Described("problem", "", "", "", "what is wrong with the row; empty for a good one"),
        Described("warning", "", "", "", "what is possible but unusual, or why the row is not decided"),
    ]


def _described(name: str) -> Described:
    if name in CHOICES:
        return Described(name, "", " or ".join(CHOICES[name]), "", "a word")
    q = quantity(name)
    return Described(name, q.unit, q.limits_text, _NEEDED.get(name, ""), q.meaning)


def write_template(path: str) -> None:
    """A table to fill in: the first line of a .csv, or a workbook whose second sheet says what each column means.

    Raises
    ------
    FileError
        for another ending, or a file that is there already.
    """
    if Path(path).exists():
        raise FileError(f"{path}: is there already, and may have been filled in; give another name")
    if path.lower().endswith(".csv"):
        write_whole(path, ",".join(TEMPLATE) + "\n")
    elif path.lower().endswith(".xlsx"):
        _workbook(path)
    else:
        raise FileError(f"{path}: a table to fill in is a .csv or an .xlsx")


def _workbook(path: str) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "lenses"
    sheet.append(list(TEMPLATE))
    sheet.freeze_panes = "A2"
    meanings = book.create_sheet("columns")
    meanings.append(["column", "unit", "allowed", "where it is missing", "meaning"])
    for column in input_columns():
        meanings.append(list(column))
    content = io.BytesIO()
    book.save(content)
    write_whole(path, content.getvalue())
