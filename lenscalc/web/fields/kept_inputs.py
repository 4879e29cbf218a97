"""The inputs of a page into a file that the command takes, and back from it into the fields."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from lenscalc.errors import FileError, InputError
from lenscalc.quantities import as_number
from lenscalc.web.fields.typed import as_table
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.shown.as_text import as_text

MOST_BYTES = 100_000


def keep_inputs(*rows: Mapping[str, Any], name: str, compute: Sequence[str] = ()) -> None:
    """A button that saves the inputs as a CSV of a row or more; `compute` names what the command has to be asked for."""
    asked = "".join(f" --compute {result}" for result in compute)
    st.download_button(
        f"Save these inputs ({name})", data=as_table(*rows), file_name=name, mime="text/csv", on_click="ignore", key=f"keep {name}",
        help=f"A table of {'one row' if len(rows) == 1 else f'{len(rows)} rows'}, as `lenscalc batch {name} results.csv{asked}` takes it.",
    )  # fmt: skip


def take_inputs(
    names: Sequence[str], *, key: str, switches: Mapping[str, str], opens: Mapping[str, str] | None = None,
    beside: Mapping[str, Callable[[float], None]] | None = None,
) -> None:  # fmt: skip
    """A place for such a file; its first row goes into the fields.

    Parameters
    ----------
    names : sequence of str
        the quantities that the page has fields for; other columns are refused.
    key : str
        of the upload in the session.
    switches : mapping
        a radius to the switch that says plano.
    opens : mapping, optional
        a quantity to the switch that opens its field.
    beside : mapping, optional
        a column that the page asks for in another way, to what takes it.
    """
    told = f"{key} told"

    def take() -> None:
        file = st.session_state.get(key)
        st.session_state[told] = ""
        if file is None:
            return
        try:
            row = row_of(file.getvalue(), uploaded_name(file.name), (*names, *(beside or ())))
            for name, choose in (beside or {}).items():
                if name in row:
                    choose(row[name])
        except (InputError, FileError) as error:
            st.session_state[told] = str(error)
            return
        for name in names:
            if name in switches:
                st.session_state[switches[name]] = row.get(name) == float("inf")
            if opens and name in opens:
                st.session_state[opens[name]] = name in row
            if row.get(name) != float("inf"):
                st.session_state[name] = row.get(name)

    with st.expander("Load inputs again"):
        st.file_uploader("A table of one row (CSV)", type="csv", key=key, on_change=take)
    if st.session_state.get(told):
        st.error(as_text(st.session_state[told]), icon=":material/error:")


def row_of(data: bytes, file_name: str, names: Sequence[str]) -> dict[str, float]:
    """The first row of a table as numbers.

    >>> row_of(b"front_radius_mm,back_radius_mm\\n15,plano\\n", "lens.csv", ["front_radius_mm", "back_radius_mm"])
    {'front_radius_mm': 15.0, 'back_radius_mm': inf}
    >>> row_of(b"radius\\n15\\n", "lens.csv", ["front_radius_mm"])
    Traceback (most recent call last):
    lenscalc.errors.FileError: lens.csv: a column 'radius', for which this page has no field; it has front_radius_mm

    Raises
    ------
    FileError
        for a file that is no such table; InputError for what is no number.
    """
    try:
        rows = list(csv.reader(io.StringIO(data[:MOST_BYTES].decode("utf-8-sig"))))
    except UnicodeDecodeError:
        raise FileError(f"{file_name}: not UTF-8 text; save the table as UTF-8") from None
    if len(rows) < 2 or len(rows[0]) != len(rows[1]):
        raise FileError(f"{file_name}: a line of names and a line of as many values are needed")
    for column in rows[0]:
        if column not in names:
            raise FileError(f"{file_name}: a column {column!r}, for which this page has no field; it has {', '.join(names)}")
    return {name: float(as_number(name, text)) for name, text in zip(rows[0], rows[1], strict=True) if text.strip()}
