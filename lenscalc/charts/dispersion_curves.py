"""How the index of several materials, and of the aqueous around them, changes with the colour of the light."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, below_each_other, columns
from lenscalc.charts.names_apart import apart
from lenscalc.charts.style import BLUE, Ground, ink, quiet, styled
from lenscalc.conditions import LINES_NM, WAVELENGTH_IN_USE_NM
from lenscalc.material import aqueous_index

SHORTEST, LONGEST = 437.0, 700.0
NAMES_AT, NAMES_FROM = 424.0, 300.0
POINTS, HEIGHT_px, NAME_px = 45, 420, 24
MARKED = ("F", "e", "C")


def dispersion_curves(*, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `dispersion_curves_data` makes them.

    >>> dispersion_curves().to_dict()["layer"][0]["data"]
    {'name': 'lines'}
    """
    ticks = [450, 500, 550, 600, 650, 700]
    across = alt.Scale(domain=[NAMES_FROM, LONGEST], nice=False)
    x = alt.X("nm:Q", title="wavelength, nm", scale=across, axis=alt.Axis(values=ticks, grid=False, titleAnchor="end"))
    y = alt.Y("n:Q", title="index minus that at 546 nm", scale=alt.Scale(nice=False, padding=10), axis=alt.Axis(tickCount=6, format="+.3f"))
    lines, curves, names = (alt.Chart(alt.NamedData(name)) for name in ("lines", "curves", "names"))
    layers = [
        lines.mark_rule(color=quiet(ground), strokeDash=[3, 4]).encode(x=x),
        lines.mark_text(align="left", baseline="top", dx=5, dy=4, fontSize=14).encode(x=x, y=alt.value(0), text="text:N"),
        curves.transform_filter("!datum.medium").mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y, detail="place:N"),
        curves.transform_filter("datum.medium").mark_line(color=ink(ground), strokeWidth=3, strokeDash=[7, 5]).encode(x=x, y=y),
        names.mark_rule(color=quiet(ground)).encode(x=x, x2="to:Q", y=alt.Y("at:Q"), y2="n:Q"),
        names.mark_text(align="right", baseline="middle", dx=-4, fontSize=15).encode(x=x, y=alt.Y("at:Q"), text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=HEIGHT_px), ground)


def dispersion_curves_data(materials: Sequence[tuple[str, Any, tuple[float, float]]]) -> dict[str, Columns]:
    """A curve a material (name, something with `n(wavelength_nm)`, range [nm]) as far as it is known, the aqueous dashed; less its own n at 546 nm.

    >>> from lenscalc.material import polymer
    >>> p = polymer("pmma_beadie_2015")
    >>> dispersion_curves_data([("PMMA", p, p.range_nm)])["names"]["text"].tolist()
    ['PMMA', 'the aqueous']
    """
    parts, ends = [], []
    known = [*materials, ("the aqueous", None, (400.0, 700.0))]
    for place, (_, dispersion, (lowest, highest)) in enumerate(known):
        nm = np.linspace(max(SHORTEST, lowest), min(LONGEST, highest), POINTS)
        n, here = (np.asarray(aqueous_index(w).n if dispersion is None else dispersion.n(w)) for w in (nm, WAVELENGTH_IN_USE_NM))
        parts.append(columns({"place": place, "nm": nm, "n": n - here, "medium": dispersion is None}))
        ends.append((float(nm[0]), float((n - here)[0])))
    curves = below_each_other(parts)
    span = float(curves["n"].max() - curves["n"].min())
    at = apart([n for _, n in ends], NAME_px * span / (HEIGHT_px - 40))
    to, there = ([end[i] for end in ends] for i in (0, 1))
    names = columns({"nm": NAMES_AT, "to": to, "n": there, "at": at, "text": [name for name, *_ in known]})
    lines = columns({"nm": [LINES_NM[x] for x in MARKED], "text": list(MARKED)})
    return {"curves": curves, "names": names, "lines": lines}
