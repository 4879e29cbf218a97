"""The picture of the answer: the powers of a table's candidates on the tolerances of their labels."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from lenscalc.charts import Drawing
from lenscalc.charts.powers_about_labels import MOST, powers_about_labels
from lenscalc.charts.signs import legend
from lenscalc.charts.style import Ground
from lenscalc.uncertainty import coverage_factor
from lenscalc.web.shown.picture import ground, picture
from lenscalc.web.table.batch_results import KINDS, columns_of, names_and_kinds, rows_of

DRAWN = ("power_D", "u_power_D", "dof_power", "labelled_power_D", "lower_limit_D", "upper_limit_D")


def which_conform(result: Path) -> None:
    """Draw it, with its legend; nothing where no row has a verdict."""
    if not {*DRAWN, "verdict"} <= set(columns_of(result)):
        return
    decided = rows_with_a_verdict(result)
    if decided.size:
        which = f" Of {decided.size:,} rows with a verdict the {MOST} whose powers lie nearest to a limit, in u." if decided.size > MOST else ""
        told = f"{legend(KINDS)}. Band: the tolerance of the label; line: the 95 % interval of the power.{which}"
        picture(powers_on_tolerances(result, decided, ground()), told)


def rows_with_a_verdict(result: Path) -> Any:
    """Their places in the file."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    has_one = pc.not_equal(pq.read_table(result, columns=["verdict"])["verdict"], "")  # in the file's own texts: no Python object a row
    return np.flatnonzero(pc.fill_null(has_one, False).to_numpy())


def powers_on_tolerances(result: Path, decided: Any, on: Ground) -> Drawing:
    """Of the rows with a verdict (by their places in the file) all, or of many those whose powers lie nearest to a limit."""
    of = rows_of(result, DRAWN, decided)
    chosen = nearest_to_a_limit(of)
    of = {name: column[chosen] for name, column in of.items()}
    names, kinds, _ = names_and_kinds(result, decided[chosen])
    return powers_about_labels.drawing(
        [name[:24] for name in names], of["power_D"], coverage_factor(0.95, of["dof_power"]) * of["u_power_D"], of["labelled_power_D"],
        of["lower_limit_D"], of["upper_limit_D"], kinds, all_kinds=KINDS, ground=on,
    )  # fmt: skip


def nearest_to_a_limit(columns: dict[str, Any]) -> Any:
    """Places of the few rows whose powers lie nearest to a limit, in u of them; in their old order.

    >>> ends = {"lower_limit_D": np.full(14, 19.6), "upper_limit_D": np.full(14, 20.4)}
    >>> nearest_to_a_limit({"power_D": np.linspace(20, 21.3, 14), "u_power_D": np.full(14, 0.1), **ends}).tolist()
    [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]
    """
    inside_D = np.minimum(columns["power_D"] - columns["lower_limit_D"], columns["upper_limit_D"] - columns["power_D"])
    return np.sort(np.argsort(np.abs(inside_D) / columns["u_power_D"], kind="stable")[:MOST])
