"""Where the eye focuses each colour, with two polymers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.conditions import WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.uncertainty.rounding import with_sign


@Charted
def chromatic_curve(wavelength_nm: Any, change_D: Mapping[str, Any], *, ground: Ground = "light") -> Drawing:
    """Change of the refraction with the wavelength against that at 546.07 nm: a line a polymer, one or two, the second dashed, named at its red end.

    Parameters
    ----------
    wavelength_nm : array [nm]
        rising.
    change_D : mapping
        name to one value a wavelength [D], as `chromatic_change` gives them.
    ground : "light" or "dark"

    Raises
    ------
    InputError
        for more than two lines, or values that are not as many as the wavelengths.

    Examples
    --------
    >>> chart = chromatic_curve([486.0, 546.0, 656.0], {"Abbe number 58": [-0.3, 0.0, 0.4]})
    >>> chart.to_dict()["description"]
    'Change of the refraction between 486 and 656 nm: Abbe number 58 −0.30 to +0.40 D.'
    """
    nm = np.asarray(wavelength_nm, dtype=np.float64)
    lines = {name: np.asarray(values, dtype=np.float64) for name, values in change_D.items()}
    if not 1 <= len(lines) <= 2 or nm.ndim != 1 or nm.size < 2 or any(values.shape != nm.shape for values in lines.values()):
        raise InputError(f"wavelength_nm of shape {nm.shape} and {len(lines)} lines: one or two lines with one value a wavelength are drawn")
    curves = pd.concat([pd.DataFrame({"nm": nm, "change": values, "name": name}) for name, values in lines.items()], ignore_index=True)
    ends = sorted(lines.items(), key=lambda line: float(line[1][-1]))
    names = pd.DataFrame([{"nm": nm[-1], "change": values[-1], "name": name} for name, values in ends])
    tables = {"curves": curves, "below": names[:1], "above": names[1:], "zero": pd.DataFrame({"change": [0.0]})}
    low, high = float(curves["change"].min()), float(curves["change"].max())
    told = "; ".join(f"{name} {with_sign(values[0], 2)} to {with_sign(values[-1], 2)} D" for name, values in lines.items())
    return Drawing(
        _shape, (tuple(lines), len(lines) == 2, ground), tables,
        {"first": float(nm[0]), "last": float(nm[-1]), "low": low - 0.15 * (high - low or 1.0), "high": high + 0.15 * (high - low or 1.0)},
        description=f"Change of the refraction between {nm[0]:.0f} and {nm[-1]:.0f} nm: {told}.",
    )  # fmt: skip


def _shape(names: tuple[str, ...], two: bool, ground: Ground) -> alt.LayerChart:
    across, high = alt.Scale(domain=["@first", "@last"], nice=False), alt.Scale(domain=["@low", "@high"], nice=False)
    x = alt.X("nm:Q", title="wavelength, nm (blue on the left, red on the right)", scale=across, axis=alt.Axis(tickCount=6, grid=False))
    y = alt.Y("change:Q", title=f"refraction minus that at {WAVELENGTH_IN_USE_NM:g} nm, D", scale=high, axis=alt.Axis(format="+.1f", tickCount=6))
    colour = alt.Color("name:N", scale=alt.Scale(domain=list(names), range=[BLUE, ORANGE][: len(names)]), legend=None)
    dash = alt.StrokeDash("name:N", scale=alt.Scale(domain=list(names), range=[[1, 0], [7, 4]][: len(names)]), legend=None)
    layers = [
        alt.Chart(table("zero")).mark_rule(color=quiet(ground)).encode(y=y),
        alt.Chart(table("curves")).mark_line(strokeWidth=3).encode(x=x, y=y, color=colour, strokeDash=dash),
        alt.Chart(table("below")).mark_text(align="right", dx=-4, dy=34).encode(x=x, y=y, text="name:N"),
    ]
    if two:
        layers.append(alt.Chart(table("above")).mark_text(align="right", dx=-30, dy=-14).encode(x=x, y=y, text="name:N"))
    return styled(alt.layer(*layers).properties(width="container", height=360), ground)
