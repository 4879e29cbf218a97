"""The columns of a table: what may stand in it, what comes out, and a table to fill in."""

from __future__ import annotations

import io
from typing import NamedTuple

from lenscalc.batch.evaluating import REFRACTION
from lenscalc.batch.legend import TEXTS
from lenscalc.chain.by_trials import BY_TRIALS
from lenscalc.chain.decision_columns import ON_REQUEST
from lenscalc.chain.image import BY_DIFFRACTION, IMAGE
from lenscalc.chain.power_columns import RECUT
from lenscalc.chain.table import CHOICES, INPUT_COLUMNS, LABELS
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.decision import REQUIRED_PROBABILITY
from lenscalc.errors import FileError
from lenscalc.own_file import path_of, write_whole
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
# what comes out only where --compute names it, and the columns that it needs
ON_DEMAND = {
    **dict.fromkeys(ON_REQUEST, "labelled_power_D"),
    **dict.fromkeys(RECUT, "labelled_power_D"),
    "chromatic_difference_D": "abbe_d",
    **dict.fromkeys(BY_TRIALS, "an uncertainty of the index and of each dimension"),
    "conformance_probability_by_trials": "an uncertainty of the index and of each dimension, labelled_power_D",
    **dict.fromkeys(IMAGE, "pupil_diameter_mm; beam or vergence_D"),
    **dict.fromkeys(BY_DIFFRACTION, "pupil_diameter_mm; beam or vergence_D; wavelength_nm, frequency_per_mm"),
    **dict.fromkeys(REFRACTION, "labelled_power_D"),
}
# known to the registry, but a single lens's: no row of a table has them
_OF_ONE_LENS = (
    "refraction_D", "yield_quantile", "yield_below_probability", "all_off_probability", "none_off_probability", "double_reflectance_growth",
    "measurement_capability", "uncertainty_ratio",
)  # fmt: skip


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
    """The columns that come out by themselves, where the table has what they need, from the registry."""
    first = [quantity(name) for name in ("n_lens", "u_n_lens", "power_D", "u_power_D", "u_power_in_measured_medium_D")]
    own = [*first, *(q for q in RESULTS if q.name not in ON_DEMAND and q.name not in _OF_ONE_LENS)]
    return [Described(q.name, q.unit, "", "", q.meaning) for q in own] + [Described(name, "", "", "", meaning) for name, meaning in TEXTS.items()]


def results_on_demand() -> list[Described]:
    """What can be asked of a row besides, by its name; `missing` says which columns it needs."""
    return [Described(name, quantity(name).unit, "", f"needs {needed}", quantity(name).meaning) for name, needed in ON_DEMAND.items()]


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
    if path_of(path).exists():
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
