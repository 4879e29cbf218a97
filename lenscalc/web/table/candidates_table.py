"""The few columns of a result that a reader wants first, as text: no page here, so that it can be tested by itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lenscalc.batch.ranked import NAMES
from lenscalc.batch.ranked_told import label_text
from lenscalc.decision.decide import in_few_words
from lenscalc.uncertainty import probability_text
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.shown.figures import figure, kept_together
from lenscalc.web.table.column_words import column_title

if TYPE_CHECKING:
    import pandas as pd

SHORT = ("power_D", "u_power_D", "labelled_power_D", "lower_limit_D", "upper_limit_D", "conformance_probability", "verdict", "problem", "warning")
LIMITS = "label, and limits about it"


def in_short(columns: dict[str, Any], said: Sequence[str] = ()) -> pd.DataFrame:
    """The few columns that a reader wants first, as text; the name of a row may be `row_name`, where the file has none.

    What is `said` of every row is not said again in each.
    """
    import pandas as pd  # only where there is a table

    named = next((name for name in (*NAMES, "row_name") if name in columns), None)
    rows = []
    for i, problem in enumerate(columns["problem"]):
        p = float(columns["conformance_probability"][i]) if "conformance_probability" in columns and not problem else float("nan")
        rows.append({
            "candidate": str(columns[named][i]) if named else f"row {i + 1}",
            "verdict": in_few_words(str(columns["verdict"][i])) if "verdict" in columns else "",
            "power with u": "" if problem else kept_together(figure(float(columns["power_D"][i]), float(columns["u_power_D"][i]), "D")),
            LIMITS: "" if problem else _limits(columns, i),
            "probability": "" if p != p else probability_text(p),
            "problem or remark": in_page_words(_but(str(problem or columns["warning"][i]), said)),
        })  # fmt: skip
    order = ["candidate", "verdict", "power with u", LIMITS, "probability", "problem or remark"]  # the verdict is in sight on a narrow page too
    frame = pd.DataFrame(rows, columns=order).set_index("candidate")
    return frame[[c for c in frame.columns if c == "power with u" or frame[c].ne("").any()]]


def _but(sentence: str, said: Sequence[str]) -> str:
    """What is left of a row's sentence; that it is as in every row, where nothing is."""
    left = "; ".join(part for part in sentence.split("; ") if part not in said) if said else sentence
    return left or ("as in every row" if said else "")


def asked_besides(columns: dict[str, Any], asked: Sequence[str]) -> pd.DataFrame:
    """What was computed on request alone, as text: nothing that the short table shows, and empty where a row has it not.

    >>> asked_besides({"candidate": ["A", "B"], "mtf": [0.61234, float("nan")]}, ["*", "mtf"]).to_dict("list")
    {'MTF': ['0.6123', '']}
    """
    import pandas as pd  # only where there is a table

    named = next(name for name in (*NAMES, "row_name") if name in columns)
    shown = {column_title(name): [_number(x) for x in columns[name]] for name in asked if name in columns and name not in (*SHORT, named)}
    return pd.DataFrame(shown, index=pd.Index([str(x) for x in columns[named]], name="candidate"))


def _number(x: Any) -> str:
    if isinstance(x, str):
        return x
    return "" if x != x else f"{float(x):#.4g}".removesuffix(".").replace("-", "−")


def _limits(columns: dict[str, Any], i: int) -> str:
    """The row's label, and between which powers it would conform: its own, for the labels of a table need not be one."""
    names = ("labelled_power_D", "lower_limit_D", "upper_limit_D")
    label, low, high = (float(columns[name][i]) if name in columns else float("nan") for name in names)
    return "" if low != low or high != high or label != label else f"{label_text(label)}\u00a0D: {low:.2f} to {high:.2f}\u00a0D"
