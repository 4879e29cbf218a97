"""How exactly the plane of the image must be met: MTF at one frequency against the focus."""

from __future__ import annotations

import math
from typing import Any, Literal

import altair as alt
import numpy as np

from lenscalc.charts.columns import columns
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled, titled
from lenscalc.errors import InputError

MOST = 201  # points that are drawn
ALONG = {
    "mm": "plane of the image from the paraxial focus, mm (+ farther from the lens)",
    "D": "focus from the paraxial one, D (+ nearer to the lens)",
}


@Charted
def through_focus(
    focus: Any, mtf: Any, *, frequency_per_mm: float, wavelength_nm: float, beam: str, unit: Literal["mm", "D"] = "mm",
    diffraction_mtf: float | None = None, least_spot: float | None = None, ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """MTF at one frequency in many planes, as `through_focus_mtf` gives it, with the best of them marked.

    Parameters
    ----------
    focus : array [mm or D]
        of the planes, from the paraxial focus; in whichever unit `unit` says.
    mtf : array
        one value a plane.
    frequency_per_mm, wavelength_nm : float
    beam : str
        in words, as `Beam.in_words` gives it.
    unit : "mm" or "D"
    diffraction_mtf : float, optional
        what diffraction alone leaves at this frequency: a dashed line.
    least_spot : float, optional
        the plane of the least RMS spot, in the same unit: a dashed line.
    ground : "light" or "dark"

    Raises
    ------
    InputError
        for arrays of different lengths, or another unit.

    Examples
    --------
    >>> chart = through_focus([-0.2, -0.1, 0.0], [0.3, 0.6, 0.4], frequency_per_mm=100, wavelength_nm=546.07, beam="collimated onto the bare lens")
    >>> chart.to_dict()["description"]
    'MTF at 100 per mm against focus, collimated onto the bare lens, 546.07 nm; best at −0.1 mm with 0.60.'
    """
    place, values = np.asarray(focus, dtype=np.float64), np.asarray(mtf, dtype=np.float64)
    if place.ndim != 1 or place.size < 2 or place.shape != values.shape:
        raise InputError(f"focus of shape {place.shape}, MTF of shape {values.shape}: the curve takes one value at each of two or more planes")
    if unit not in ALONG:
        raise InputError(f"unit = {unit!r}: the focus is counted in 'mm' or 'D'", quantity="unit", value=unit)
    best = int(np.argmax(values))
    drawn = np.union1d(np.arange(0, place.size, -(-place.size // MOST)), [best, place.size - 1])
    drawn = drawn[np.argsort(place[drawn], kind="stable")]
    top = min(1.0, 1.3 * max(float(values.max()), diffraction_mtf or 0.0))
    step = float(np.max(np.abs(np.diff(place))))
    where = f"{place[best]:.{max(0, -math.floor(math.log10(step) + 1e-9))}f}".replace("-", "−")  # no finer than the planes stand
    tables = {
        "curve": columns({"focus": place[drawn], "mtf": values[drawn]}),
        "here": columns({"focus": place[best], "mtf": values[best], "text": f"best: {_contrast(values[best])} at {where} {unit}"}),
    }
    if diffraction_mtf is not None:
        tables["limit"] = columns({"mtf": diffraction_mtf, "text": f"diffraction alone {_contrast(diffraction_mtf)}"})
    on_left = None if least_spot is None else bool(least_spot < place[best])
    if least_spot is not None:
        tables["spot"] = columns({"focus": least_spot, "text": "least spot"})
    return Drawing(
        _shape, (unit, diffraction_mtf is not None, on_left, ground), tables,
        {"first": float(place.min()), "last": float(place.max()), "top": top, "what": f"MTF at {frequency_per_mm:g} per mm"},
        {"title": titled(f"Beam: {beam}; {wavelength_nm:g} nm.").to_dict()},
        f"MTF at {frequency_per_mm:g} per mm against focus, {beam}, {wavelength_nm:g} nm; best at {where} {unit} with {_contrast(values[best])}.",
    )  # fmt: skip


def _shape(unit: str, with_limit: bool, spot_on_left: bool | None, ground: Ground) -> alt.LayerChart:
    across, high = alt.Scale(domain=["@first", "@last"], nice=False), alt.Scale(domain=[0, "@top"], nice=False)
    x = alt.X("focus:Q", title=ALONG[unit], scale=across, axis=alt.Axis(tickCount=7, grid=False))
    y = alt.Y("mtf:Q", title="@what", scale=high, axis=alt.Axis(tickCount=6))
    layers = []
    if with_limit:
        limit = alt.Chart(table("limit"))
        layers += [
            limit.mark_rule(strokeDash=[6, 4], color=quiet(ground), strokeWidth=2).encode(y=y),
            limit.mark_text(align="left", baseline="bottom", dx=6, dy=-3, color=quiet(ground)).encode(x=alt.value(0), y=y, text="text:N"),
        ]
    if spot_on_left is not None:
        spot = alt.Chart(table("spot"))
        words = spot.mark_text(
            align="right" if spot_on_left else "left", baseline="bottom", dx=-5 if spot_on_left else 5, dy=-4, color=quiet(ground)
        )
        layers += [
            spot.mark_rule(strokeDash=[3, 3], color=quiet(ground)).encode(x=x, y=alt.value(26), y2=alt.value("height")),
            words.encode(x=x, y=alt.value("height"), text="text:N"),
        ]
    here = alt.Chart(table("here"))
    layers += [
        alt.Chart(table("curve")).mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y),
        here.mark_rule(color=ORANGE, strokeDash=[3, 3]).encode(x=x, y=y, y2=alt.value(22)),
        here.mark_point(color=ORANGE, filled=True, size=90, opacity=1).encode(x=x, y=y),
        here.mark_text(baseline="middle").encode(x=x, y=alt.value(12), text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=380), ground)


def _contrast(value: float) -> str:
    return f"{value:.2f}" if value >= 0.1 else f"{value:.3f}"
