"""Lenses of one power beside each other, to one scale: how steep their surfaces are."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, below_each_other, columns
from lenscalc.charts.style import BLUE, Ground, styled
from lenscalc.lens import Recut
from lenscalc.light import sag_mm

HEIGHTS = 61
LENS_px, WORDS_px = 230.0, 62.0


def lenses_side_by_side(*, lenses: int, optic_diameter_mm: float, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `lenses_side_by_side_data` makes them. One scale along and across.

    >>> [layer["data"]["name"] for layer in lenses_side_by_side(lenses=2, optic_diameter_mm=6.0).to_dict()["layer"]]
    ['bodies', 'words', 'words']
    """
    px_per_mm = LENS_px / (1.08 * optic_diameter_mm)
    height = LENS_px + WORDS_px
    x = alt.X("px:Q", scale=alt.Scale(domainMin=0, domainMax=alt.ExprRef("width"), nice=False), axis=None)
    y = alt.Y("down:Q", scale=alt.Scale(domain=[height, 0.0], nice=False), axis=None)
    middle = f"width*(datum.lens + 0.5)/{lenses}"
    bodies = alt.Chart(alt.NamedData("bodies")).transform_calculate(
        px=f"{middle} + datum.z*{px_per_mm}", down=f"{LENS_px / 2} - datum.h*{px_per_mm}"
    )
    words = alt.Chart(alt.NamedData("words")).transform_calculate(px=middle, down=f"{LENS_px + 10.0}", low=f"{LENS_px + 36.0}")
    layers = [
        bodies.mark_line(filled=True, fill=BLUE, fillOpacity=0.3, stroke=BLUE, strokeWidth=3).encode(x=x, y=y, order="order:Q", detail="lens:N"),
        words.mark_text(baseline="top", fontSize=16, fontWeight="bold").encode(x=x, y=y, text="name:N"),
        words.mark_text(baseline="top", fontSize=15).encode(x=x, y=alt.Y("low:Q"), text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=height), ground)


def lenses_side_by_side_data(lenses: Recut, names: list[str], *, optic_diameter_mm: float) -> dict[str, Columns]:
    """Outlines [mm], each about the middle of its own thickness, with name and radius.

    >>> from lenscalc.lens import recut
    >>> data = lenses_side_by_side_data(recut(20.0, [1.49], center_thickness_mm=0.9), ["PMMA"], optic_diameter_mm=6.0)
    >>> data["words"]["text"].tolist()
    ['radii ±15.4 mm']
    """
    h = np.linspace(-optic_diameter_mm / 2, optic_diameter_mm / 2, HEIGHTS)
    parts = []
    shapes: tuple[Any, ...] = tuple(np.atleast_1d(a) for a in (lenses.front_radius_mm, lenses.back_radius_mm, lenses.center_thickness_mm))
    for i, (R1, R2, t) in enumerate(zip(*shapes, strict=True)):
        front, back = sag_mm(R1, h, 0.0) - t / 2, sag_mm(R2, h, 0.0) + t / 2
        z, up = np.concatenate([front, back[::-1], front[:1]]), np.concatenate([h, h[::-1], h[:1]])
        parts.append(columns({"lens": i, "z": z, "h": up, "order": np.arange(len(z))}))
    text = [f"radii ±{abs(R):.1f} mm" for R in shapes[0]]
    return {"bodies": below_each_other(parts), "words": columns({"lens": np.arange(len(text)), "name": names, "text": text})}
