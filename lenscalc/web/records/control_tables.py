"""The tables of a control chart: no page here, so that they can be tested by themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lenscalc.control import GROUPED, ControlChart
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import decimals_for
from lenscalc.web.shown.as_text import as_text, plain_table
from lenscalc.web.shown.figures import signed

if TYPE_CHECKING:
    import pandas as pd


def signals_table(chart: ControlChart, most: int) -> pd.DataFrame:
    """Where and which rule, and what to look at, told once for each kind of signal."""
    import pandas as pd

    told: set[str] = set()
    rows = []
    for signal in chart.signals[:most]:
        where, _, rule = signal.sentence.partition(": ")
        rows.append({"where": as_text(where), "rule": rule, "look at": signal.look_at if signal.look_at not in told else "as above"})
        told.add(signal.look_at)
    return pd.DataFrame(rows, columns=["where", "rule", "look at"]).set_index("where")


def limits_table(chart: ControlChart) -> pd.DataFrame:
    """Centre, sigma, limits, and the baseline, as text."""
    import pandas as pd

    limits, d = chart.limits, decimals_for(chart.limits.sigma)
    known_to = f", known to {100 * limits.u_sigma_relative:.0f} %" if limits.u_sigma_relative else ""
    of = "sigma of one reading" if limits.kind in GROUPED else "sigma of one point"
    rows = {"centre": signed(limits.centre, d), of: f"{limits.sigma:.{d}f}{known_to}"}
    for part in (chart.level, chart.spread):
        if part is not None:
            last = " (at the last point)" if part.upper[0] != part.upper[-1] else ""
            rows[f"limits of the {part.name}"] = f"{signed(float(part.lower[-1]), d)} to {signed(float(part.upper[-1]), d)}{last}"
    rows |= {"baseline": f"{counted(limits.points, 'point')}, {limits.first} to {limits.last}", "computed by": limits.made_by}
    return plain_table(pd.DataFrame({"": list(rows), "value": list(rows.values())}).set_index(""))


def how_soon(chart: ControlChart) -> pd.DataFrame:
    """Mean number of points until a signal, for several moves of the mean."""
    import pandas as pd

    waits = chart.how_soon()
    told = [f"{wait:.0f}" if wait >= 20 else f"{wait:.1f}" for wait in waits.values()]
    moves = [f"{shift:g} sigma" if shift else "not at all" for shift in waits]
    return pd.DataFrame({"the mean moves by": moves, "points until a signal": told}).set_index("the mean moves by")


def as_csv(chart: ControlChart) -> str:
    """Every point with what is plotted and its limits, as CSV."""
    import pandas as pd

    table = pd.DataFrame(chart.columns)
    return str(table.assign(baseline=table["baseline"].astype(int), signals=table["signals"].astype(int)).to_csv(index=False, lineterminator="\n"))
