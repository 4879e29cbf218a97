"""Reference values in short: the least good agreement of each source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import pandas as pd


def worst_agreement(records: Iterable[Any]) -> tuple[pd.DataFrame, int, int]:
    """A table with one row a source, how many values agree, and how many there are.

    The least good agreement is a value that does not agree, if there is one; else the one with the largest relative difference.
    """
    import pandas as pd  # only where there is a table

    by_source: dict[str, list[Any]] = {}
    for record in records:
        by_source.setdefault(str(record.source), []).append(record)
    rows = []
    for source, of_source in by_source.items():
        worst = max(of_source, key=lambda r: (not r.agrees, _apart(r)))
        rows.append({
            "source": source, "values": str(len(of_source)), "least good": f"{worst.subject}: {worst.case}",
            "expected": _text(worst.expected), "computed": _text(worst.computed), "agrees": "yes" if worst.agrees else "NO",
        })  # fmt: skip
    every = [r for of_source in by_source.values() for r in of_source]
    return pd.DataFrame(rows).set_index("source"), sum(bool(r.agrees) for r in every), len(every)


def _apart(record: Any) -> float:
    try:
        expected, computed = float(record.expected), float(record.computed)
    except (TypeError, ValueError):
        return 0.0
    apart = abs(computed - expected) / abs(expected) if expected else abs(computed)
    return apart if np.isfinite(apart) else 0.0


def _text(value: Any) -> str:
    return f"{value:.9g}" if isinstance(value, float) else str(value)
