"""Reference values in short: the least good agreement of each source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from lenscalc.verify import Line, worst_by_source

if TYPE_CHECKING:
    import pandas as pd


def worst_agreement(lines: Iterable[Line]) -> pd.DataFrame:
    """A table with one row a source."""
    import pandas as pd  # only where there is a table

    rows = [
        {"source": w.source, "values": str(w.values), "agree": str(w.agree), "least good, of its tolerance": f"{w.worst:.2f}"}
        for w in worst_by_source(lines)
    ]
    return pd.DataFrame(rows).set_index("source")
