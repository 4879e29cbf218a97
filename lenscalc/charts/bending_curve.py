"""Spherical aberration against the shape of a lens that is bent while its power stays, with the lenses themselves above."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, below_each_other, columns
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.lens import Recut
from lenscalc.light import sag_mm
from lenscalc.uncertainty.rounding import with_sign

FURTHEST = 2.2  # of the shape factor, either way
SHOWN = (-2.0, -1.0, 0.0, 1.0, 2.0)  # shapes whose lens is drawn
LENSES_px, LENS_px, HEIGHT_px, HEIGHTS = 130.0, 100.0, 470.0, 41


def bending_curve(*, optic_diameter_mm: float, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `bending_curve_data` makes them. The light comes from the left.

    >>> bending_curve(optic_diameter_mm=6.0).to_dict()["layer"][0]["layer"][1]["data"]
    {'name': 'exact'}
    """
    across = alt.Scale(domain=[-FURTHEST, FURTHEST], nice=False)
    below = alt.Axis(tickCount=9, grid=False, format="+.1f")
    x = alt.X("shape:Q", title="shape factor", scale=across, axis=below)
    high = alt.Scale(zero=True, nice=False, rangeMax=LENSES_px)
    y = alt.Y("um:Q", title="aberration, µm", scale=high, axis=alt.Axis(tickCount=6))
    here, best = (alt.Chart(alt.NamedData(name)) for name in ("here", "best"))
    curves = alt.layer(
        alt.Chart(alt.NamedData("third")).mark_line(color=quiet(ground), strokeWidth=2, strokeDash=[6, 5]).encode(x=x, y=y),
        alt.Chart(alt.NamedData("exact")).mark_line(color=BLUE, strokeWidth=4).encode(x=x, y=y),
        best.mark_rule(color=quiet(ground), strokeDash=[3, 3]).encode(x=x, y=y, y2=alt.value(LENSES_px)),
        best.mark_point(shape="diamond", color=BLUE, filled=True, size=260, opacity=1).encode(x=x, y=y),
        best.mark_text(align="left", baseline="bottom", dx=6, fontSize=15).encode(x=x, y=alt.value(LENSES_px + 24), text="text:N"),
        here.mark_point(color=ORANGE, filled=True, size=190, opacity=1).encode(x=x, y=y),
    )
    px_per_mm, mean = LENS_px / optic_diameter_mm, LENS_px / 2 + 8
    lens = alt.Chart(alt.NamedData("bodies")).transform_calculate(
        at=f"datum.shape + datum.z*{px_per_mm}*{2 * FURTHEST}/width", down=f"{mean} - datum.h*{px_per_mm}"
    )
    at = alt.X("at:Q", title="shape factor", scale=across, axis=below)
    down = alt.Y("down:Q", scale=alt.Scale(domain=[HEIGHT_px, 0.0], nice=False), axis=None)
    lenses = alt.layer(*(
        lens.transform_filter(f"{'' if own else '!'}datum.own").mark_line(
            filled=True, fill=colour, fillOpacity=0.35, stroke=colour, strokeWidth=2.5
        ).encode(x=at, y=down, order="order:Q", detail="lens:N")
        for own, colour in ((False, BLUE), (True, ORANGE))
    ))  # fmt: skip
    return styled(alt.layer(curves, lenses).resolve_scale(y="independent").properties(width="container", height=HEIGHT_px), ground)


def bending_curve_data(
    shape: Any, exact_um: Any, third_um: Any, drawn: Recut, *, best_shape: float, best_um: float, here_shape: float, here_um: float,
    optic_diameter_mm: float,
) -> dict[str, Columns]:  # fmt: skip
    """Curves by exact rays and in third order, the best shape, the shape at hand, and outlines of the lenses.

    Parameters
    ----------
    shape, exact_um, third_um : array
        shape factors and Zernike (4,0) [µm] there.
    drawn : Recut
        lenses of the shapes `SHOWN`, then that of the shape at hand.

    >>> from lenscalc.lens import recut
    >>> drawn = recut(20.0, 1.49, center_thickness_mm=0.9, shape_factor=[*SHOWN, 0.5])
    >>> data = bending_curve_data([0.0], [0.006], [0.006], drawn, best_shape=0.151, best_um=0.005, here_shape=0.5, here_um=0.01, optic_diameter_mm=6)
    >>> data["best"]["text"].tolist()
    ['best at +0.15']
    """
    h = np.linspace(-optic_diameter_mm / 2, optic_diameter_mm / 2, HEIGHTS)
    parts = []
    lenses = (drawn.front_radius_mm, drawn.back_radius_mm, drawn.center_thickness_mm)
    for i, (R1, R2, t, X) in enumerate(zip(*lenses, (*SHOWN, here_shape), strict=True)):
        front, back = np.broadcast_to(sag_mm(R1, h, 0.0), h.shape), t + np.broadcast_to(sag_mm(R2, h, 0.0), h.shape)
        z, up = np.concatenate([front, back[::-1], front[:1]]), np.concatenate([h, h[::-1], h[:1]])
        middle = (z.max() + z.min()) / 2.0
        parts.append(columns({"lens": i, "own": i == len(SHOWN), "shape": X, "z": z - middle, "h": up, "order": np.arange(len(z))}))
    text = f"best at {with_sign(best_shape, 2)}"
    return {
        "exact": columns({"shape": shape, "um": exact_um}), "third": columns({"shape": shape, "um": third_um}),
        "best": columns({"shape": [best_shape], "um": [best_um], "text": [text]}),
        "here": columns({"shape": [here_shape], "um": [here_um]}), "bodies": below_each_other(parts),
    }  # fmt: skip
