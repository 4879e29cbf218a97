"""A file of candidates on its way through the chain: no page here, so that it can be tested by itself."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from lenscalc.chain import evaluate
from lenscalc.errors import InputError
from lenscalc.web.figures import figure, probability

if TYPE_CHECKING:
    import pandas as pd

# powers and refractions do not stand side by side in a table
LEFT_OUT = ("refraction_shift_D", "u_refraction_shift_D")
NAMES = ("candidate", "name", "id", "material", "lot", "specimen")


def evaluated(data: bytes) -> pd.DataFrame:
    """Every row of a CSV file, evaluated; without the columns that speak of refraction.

    Raises
    ------
    InputError
        for a file that cannot be read as a table.
    """
    import pandas as pd  # only where there is a table

    try:
        given = pd.read_csv(io.BytesIO(data), dtype=str, keep_default_na=False)
    except (UnicodeDecodeError, ValueError) as error:
        raise InputError(f"not a table of comma-separated values: {error}") from None
    computed = evaluate(given).frame()
    return pd.concat([given[[c for c in given.columns if c not in computed.columns]], computed], axis=1).drop(columns=list(LEFT_OUT), errors="ignore")


def in_short(frame: pd.DataFrame) -> pd.DataFrame:
    """The few columns that a reader wants first, as text."""
    import pandas as pd  # only where there is a table

    named = next((name for name in NAMES if name in frame.columns), None)
    rows = []
    for i, (_, row) in enumerate(frame.iterrows()):
        bad = bool(row["problem"])
        p = row.get("conformance_probability")
        rows.append({
            "candidate": str(row[named]) if named else f"row {i + 1}",
            "power with u": "" if bad else figure(float(row["power_D"]), float(row["u_power_D"]), "D"),
            "probability": "" if bad or p is None or p != p else probability(float(p)),
            "verdict": str(row.get("verdict", "")),
            "problem or remark": str(row["problem"] or row["warning"]),
        })  # fmt: skip
    return pd.DataFrame(rows).set_index("candidate")
