"""The fields of a sweep: which quantities, and for each how it varies."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal
from math import inf
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import streamlit as st

from lenscalc.batch import read_sweep
from lenscalc.batch.sweep import LARGEST_HYPERCUBE
from lenscalc.chain.table import INPUT_COLUMNS, LABELS
from lenscalc.errors import FileError, InputError
from lenscalc.quantities import IMAGE_INPUTS, Quantity, is_quantity, quantity
from lenscalc.web.fields.beside import note_drawn, place_below
from lenscalc.web.fields.choice_field import choice_field, several_field
from lenscalc.web.fields.number_field import help_of, number_field
from lenscalc.web.fields.text_field import text_field
from lenscalc.web.fields.whole_field import count_of, whole_field
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.note import note
from lenscalc.web.sweep.sweep_design import CUBE, HOWS, LIST, ONE, POINTS, STEPS, fields_of
from lenscalc.web.table.column_words import column_title, column_words

NAMES, UPLOAD, REFUSED = "sweep_of", "upload_sweep", "sweep_refused"
START: dict[str, dict[str, Any]] = {
    "front_radius_mm": {"how": STEPS, "from": 12.0, "to": 20.0, "step": 0.5},
    "n_lens": {"how": LIST, "values": "1.46; 1.49; 1.52; 1.55"},
    "back_radius_mm": {"how": ONE, "values": "-15"},
    "center_thickness_mm": {"how": ONE, "values": "0.9"},
    "optic_diameter_mm": {"how": ONE, "values": "6"},
}
POINTS_START, SEED_START = 200, 1
KEY = {ONE: "value", LIST: "values"}
_POINTS = count_of("sweep_points", "points of the hypercube", "how many points a hypercube lays down", 1, LARGEST_HYPERCUBE, 100)
_SEED = count_of("sweep_seed", "seed of the hypercube", "the same seed lays down the same points", 0, 2**53)


def ask_for_design() -> tuple[dict[str, dict[str, Any]], float | None, float | None]:
    """Draw the fields and read them: the quantities' fields, the hypercube's points and seed."""
    st.file_uploader("Load a design (TOML)", type="toml", key=UPLOAD, on_change=_uploaded, max_upload_size=1)
    if st.session_state.get(REFUSED):
        st.error(as_text(st.session_state[REFUSED]), icon=":material/error:")
    held = st.session_state.get(NAMES) or []
    names = list(dict.fromkeys([*INPUT_COLUMNS, *(q.name for q in IMAGE_INPUTS), *LABELS, *held]))
    chosen = several_field("What the design is made of", names, key=NAMES, first=list(START), shown=column_title)
    note_drawn("sweep_points", "sweep_seed")
    fields = {name: _field(name) for name in chosen}
    points: float | None = POINTS_START
    seed: float | None = SEED_START
    if any(f["how"] == CUBE for f in fields.values()):
        left, right = st.columns(2)
        with left:
            points = whole_field(_POINTS, key=_POINTS.name, value=POINTS_START)
        with right:
            seed = whole_field(_SEED, key=_SEED.name, value=SEED_START)
        note("The points stand at every combination of what varies in steps or as a list.")
    return fields, points, seed


def _field(name: str) -> dict[str, Any]:
    start = START.get(name, {"how": ONE})
    note_drawn(*(f"{key}_{name}" for key in (*KEY.values(), "from", "to", "step", "points")))
    hows = HOWS if is_quantity(name) else (ONE, LIST)
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        how = choice_field(column_title(name), hows, key=f"how_{name}", among="list", first=start["how"])
    if how in (ONE, LIST):
        text = str(start.get("values", "")) if how == start["how"] else ""
        told = help_of(quantity(name)) if is_quantity(name) else None
        words = f"{'value' if how == ONE else 'values'} of the {column_words(name)}"
        with right:
            typed = text_field(words, value=text, key=f"{KEY[how]}_{name}", told=told, placeholder="1.46; 1.49; 1.52" if how == LIST else None)
        place_below(name, f"{KEY[how]}_{name}")
        return {"how": how, "values": typed}
    keys = ("from", "to", *(("step",) if how == STEPS else ("points",) if how == POINTS else ()))
    field: dict[str, Any] = {"how": how}
    for column, key in zip((*st.columns(2), st.container()), keys, strict=False):  # three beside each other would cut their numbers
        with column:
            if key == "points":
                points = count_of(f"points_{name}", "points", f"how many values of the {column_words(name)}", 2, LARGEST_HYPERCUBE)
                field[key] = whole_field(points, key=points.name, value=11)
            else:
                of = _step_of(name) if key == "step" else name
                field[key] = number_field(of, key=f"{key}_{name}", label=key, value=start.get(key), in_address=True)
    place_below(name, f"from_{name}", column_title(name).partition(", ")[0])
    return field


def _step_of(name: str) -> Quantity:
    """A step of a quantity has its unit, and none of its limits."""
    return replace(
        quantity(name), name=f"step of {name}", meaning="width of a step; a minus leads downwards", lower=-1e7, upper=1e7, usual_upper=inf,
        by_magnitude=False, infinite=False, mistakes=(),
    )  # fmt: skip


def _uploaded() -> None:
    file = st.session_state.get(UPLOAD)
    if file is None:
        st.session_state[REFUSED] = ""
        return
    try:
        check_design(file.getvalue(), file.name)
    except (FileError, InputError) as error:
        st.session_state[REFUSED] = str(error)
        return
    st.session_state[REFUSED] = ""
    put_design(tomllib.loads(file.getvalue().decode(), parse_float=Decimal))


def check_design(data: bytes, name: str) -> None:
    """Whether a file is a design.

    Raises
    ------
    FileError, InputError
        in the words of `read_sweep`.
    """
    with TemporaryDirectory(prefix="lenscalc-") as folder:
        path = Path(folder) / Path(name).name
        path.write_bytes(data)
        try:
            read_sweep(path)
        except FileError as error:
            raise FileError(str(error).replace(f"{folder}/", "")) from None
        except InputError as error:
            raise InputError(str(error).replace(f"{folder}/", ""), quantity=error.quantity) from None


def put_design(design: dict[str, Any]) -> None:
    """Fill the fields from a design; they show it at the next drawing.

    The address follows a field that is on the page by itself; for one that comes with this design it gets the value here.
    """
    fields, points, seed = fields_of(design)
    st.session_state[NAMES] = list(fields)
    values: dict[str, Any] = {"sweep_points": float(points), "sweep_seed": float(seed)}
    for name, field in fields.items():
        for key, value in field.items():
            values[f"{KEY[field['how']] if key == 'values' else key}_{name}"] = float(value) if key == "points" else value
    for key, value in values.items():
        if key not in st.session_state:
            st.query_params[key] = str(value)
        st.session_state[key] = value
