"""Where blue, green and red light meet behind lenses of one power, a line a material."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, of_rows
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.conditions import LINES_NM
from lenscalc.lens import ChromaticFocus

ROW_px, AXIS_px = 88, 54
GREEN = "#3c9a62"
COLOURS = {"F": BLUE, "e": GREEN, "C": ORANGE}
WORDS = {"F": "blue 486", "e": "green", "C": "red 656"}


def coloured_foci(*, materials: int, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `coloured_foci_data` makes them. The light comes from the left.

    >>> coloured_foci(materials=2).to_dict()["height"]
    176
    """
    x = alt.X("mm:Q", title="focus farther from the lens than that of green light, mm", scale=alt.Scale(padding=80), axis=alt.Axis(tickCount=7))
    y = alt.Y("px:Q", scale=alt.Scale(domain=[materials * ROW_px, 0], nice=False), axis=None)
    rows, foci = alt.Chart(alt.NamedData("rows")), alt.Chart(alt.NamedData("foci"))
    layers: list[alt.Chart] = [
        rows.mark_rule(color=quiet(ground), strokeWidth=2).encode(x=x, x2="to:Q", y=y),
        rows.mark_text(align="left", baseline="top", dy=-48, fontSize=15, fontWeight="bold").encode(x=alt.value(4), y=y, text="text:N"),
    ]
    beside: dict[str, dict[str, Any]] = {
        "F": {"align": "right", "dx": -13}, "e": {"baseline": "bottom", "dy": -12}, "C": {"align": "left", "dx": 13},
    }  # fmt: skip
    for line, colour in COLOURS.items():
        one = foci.transform_filter(f"datum.line == '{line}'")
        layers += [
            one.mark_point(color=colour, filled=True, size=200, opacity=1).encode(x=x, y=y),
            one.mark_text(**{"baseline": "middle", "fontSize": 14, **beside[line]}).encode(x=x, y=y, text="text:N"),
        ]
    return styled(alt.layer(*layers).properties(width="container", height=materials * ROW_px), ground)


def coloured_foci_data(found: Sequence[tuple[str, ChromaticFocus]]) -> dict[str, Columns]:
    """Foci of the lines F, e and C of each material, from its own green one [mm], with its name and the power between blue and red.

    >>> from lenscalc.lens import chromatic_focus
    >>> from lenscalc.material import Dispersion
    >>> c = chromatic_focus(15.0, -15.0, 0.9, dispersion=Dispersion.from_abbe(1.490595, 58.0), lines=("F", "e", "C"))
    >>> coloured_foci_data([("PMMA", c)])["rows"]["text"].tolist()
    ['PMMA: 0.24 D between blue and red']
    """
    foci, rows = [], []
    for place, (name, c) in enumerate(found):
        at = dict(zip(np.round(c.wavelength_nm, 4).tolist(), zip(c.back_focal_length_mm, c.power_D, strict=True), strict=True))
        green = at[LINES_NM["e"]][0]
        mm = {line: float(at[LINES_NM[line]][0] - green) for line in COLOURS}
        px = place * ROW_px + AXIS_px
        foci += [(line, mm[line], px, WORDS[line]) for line in COLOURS]
        between = float(at[LINES_NM["F"]][1] - at[LINES_NM["C"]][1])
        rows.append((min(mm.values()), max(mm.values()), px, f"{name}: {between:.2f} D between blue and red"))
    return {"foci": of_rows(["line", "mm", "px", "text"], foci), "rows": of_rows(["mm", "to", "px", "text"], rows)}
