"""A file of candidates on its way through the chain: no page here, so that it can be tested by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lenscalc.batch import evaluate_block, read_csv_text
from lenscalc.errors import FileError
from lenscalc.uncertainty import probability_text
from lenscalc.web.figures import figure

if TYPE_CHECKING:
    import pandas as pd

NAMES = ("candidate", "name", "id", "material", "lot", "specimen")


def evaluated(data: bytes, name: str = "table") -> dict[str, Any]:
    """Every row of a CSV file, evaluated, as columns.

    Raises
    ------
    FileError, InputError
        for a file that cannot be read as a table; a bad row is kept with its problem instead.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{name}: not UTF-8 text; save the table as CSV in UTF-8") from None
    return evaluate_block(read_csv_text(text, name))


def in_short(columns: dict[str, Any]) -> pd.DataFrame:
    """The few columns that a reader wants first, as text."""
    import pandas as pd  # only where there is a table

    named = next((name for name in NAMES if name in columns), None)
    rows = []
    for i, problem in enumerate(columns["problem"]):
        p = float(columns["conformance_probability"][i]) if "conformance_probability" in columns and not problem else float("nan")
        rows.append({
            "candidate": str(columns[named][i]) if named else f"row {i + 1}",
            "power with u": "" if problem else figure(float(columns["power_D"][i]), float(columns["u_power_D"][i]), "D"),
            "probability": "" if p != p else probability_text(p),
            "verdict": str(columns["verdict"][i]) if "verdict" in columns else "",
            "problem or remark": str(problem or columns["warning"][i]),
        })  # fmt: skip
    return pd.DataFrame(rows, columns=["candidate", "power with u", "probability", "verdict", "problem or remark"]).set_index("candidate")
