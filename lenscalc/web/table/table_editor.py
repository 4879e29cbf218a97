"""A table that is written or pasted on the page: every cell a text, as in a CSV file, so that nothing is lost or read wrongly on the way."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np
import streamlit as st

from lenscalc.batch import csv_text
from lenscalc.batch.legend import PART, legend
from lenscalc.chain.table import CHOICES, INPUT_COLUMNS, LABELS
from lenscalc.errors import FileError
from lenscalc.quantities import impossible, is_quantity, quantity, unusual
from lenscalc.web.fields.number_field import help_of
from lenscalc.web.fields.printed_minus import with_hyphen
from lenscalc.web.table.column_words import column_title, in_a_file

if TYPE_CHECKING:
    import pandas as pd

_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+([eE][+-]?[0-9]+)?")
_MAYBE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


def frame_of(text: str) -> pd.DataFrame:
    """The cells of a CSV text as they stand there."""
    import pandas as pd  # only where there is a table

    names, *rows = list(csv.reader(io.StringIO(text, newline="")))
    return pd.DataFrame(rows, columns=names, dtype=object)


def text_of(frame: pd.DataFrame) -> str:
    """The table as the CSV that the command takes: points for decimal commas, no row that is empty, no cell that a spreadsheet takes for a formula.

    Raises
    ------
    FileError
        for a table without a row.

    >>> import pandas as pd
    >>> text_of(pd.DataFrame({"candidate": ["A", None], "n_lens": ["1,49", None]}))
    'candidate,n_lens\\nA,1.49\\n'
    """
    names = [str(n) for n in frame.columns]
    rows = [[cell_text(n, value) for n, value in zip(names, row, strict=True)] for row in frame.itertuples(index=False, name=None)]
    rows = [row for row in rows if any(row)]
    if not rows:
        raise FileError("the table is empty: write a row, or paste some from a spreadsheet")
    return csv_text({n: np.array(column, dtype=object) for n, column in zip(names, zip(*rows, strict=True), strict=True)})


def cell_text(name: str, value: Any) -> str:
    """A cell as it goes into a file: nothing where nothing stands, and a number with a point."""
    if value is None or value != value:
        return ""
    text = str(value).strip()
    of = name.removeprefix(PART)
    return with_point(of, text) if is_quantity(of) else text


def with_point(name: str, text: str) -> str:
    """A number with a decimal comma, with a point, its minus sign a hyphen; one that may have a comma between thousands stays, for the row's message.

    >>> with_point("front_radius_mm", "-15,02"), with_point("n_lens", "1,490"), with_point("density_kg_per_m3", "1,190"), with_point("n_lens", "−1")
    ('-15.02', '1.490', '1,190', '-1')
    """
    text = with_hyphen(text)
    if not _COMMA.fullmatch(text):
        return text
    if _MAYBE_THOUSANDS.fullmatch(text):
        q, thousands = quantity(name), np.array([float(text.replace(",", ""))])
        if not (impossible(q, thousands) | unusual(q, thousands)).any():
            return text
    return text.replace(",", ".")


def editor(frame: pd.DataFrame, key: str) -> pd.DataFrame:
    """The table to write in; what is in it when the reader has left a cell."""
    edited: pd.DataFrame = st.data_editor(
        frame, key=key, num_rows="dynamic", hide_index=True, width="stretch", column_config=heads([str(n) for n in frame.columns])
    )
    return edited


def heads(names: Iterable[str]) -> dict[str, Any]:
    """The head of each column, in words; what it may hold, and its name in a file, in its help."""
    return {n: _column(n) for n in names}


def further_columns(frame: pd.DataFrame) -> list[str]:
    """The columns that the table might have and has not."""
    return [n for n in (*INPUT_COLUMNS, f"{PART}abbe_d", *LABELS, "note_remark") if n not in frame.columns]


def _column(name: str) -> Any:
    if name in CHOICES:
        told = f"{' or '.join(CHOICES[name])}; {in_a_file(name)}"
        return st.column_config.SelectboxColumn(column_title(name), options=list(CHOICES[name]), help=told)
    if is_quantity(name):
        return st.column_config.TextColumn(column_title(name), help=f"{help_of(quantity(name)).removesuffix('.')}; {in_a_file(name)}")
    if name.startswith(PART) and is_quantity(name.removeprefix(PART)):
        meaning = legend([name])[0].meaning
        told = f"{meaning[0].upper()}{meaning[1:]}; a ranking takes it; {in_a_file(name)}"
        return st.column_config.TextColumn(column_title(name), help=told)
    return st.column_config.TextColumn(name, help="Carried along; it takes no part.")
