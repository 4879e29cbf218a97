"""Some rows of a result with all of their columns: heads and problems in words, a column's name in a file in its head's help."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import streamlit as st

from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.table.batch_results import rows_of
from lenscalc.web.table.column_words import column_title, in_a_file

_SENTENCES = ("problem", "warning")


def all_columns(path: Path, names: Sequence[str], rows: Any) -> None:
    """The rows of these places in the file, under their numbers from 1."""
    import pandas as pd

    found = rows_of(path, names, rows)
    told = {n: np.array([in_page_words(str(text)) for text in found[n]], dtype=object) for n in _SENTENCES if n in found}
    heads = {n: st.column_config.Column(column_title(n), help=in_a_file(n)) for n in found}
    st.dataframe(pd.DataFrame(found | told, index=pd.Index(rows + 1, name="row")), column_config=heads)
