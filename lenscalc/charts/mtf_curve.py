"""How contrast falls as the detail gets finer, and what diffraction alone would leave."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled, titled
from lenscalc.errors import InputError
from lenscalc.light import Mtf

MODEL_EYE = "in the model eye"  # as `Beam.in_words` begins


def mtf_curve(
    frequency_per_mm: Any, image: Mtf, *, wavelength_nm: float, criterion_frequency_per_mm: float | None = None, criterion_mtf: float | None = None,
    ground: Ground = "light",
) -> alt.LayerChart:  # fmt: skip
    """The MTF of one lens in one beam against the frequency, with the diffraction limit, and in the model eye's beam the criterion as a point.

    Parameters
    ----------
    frequency_per_mm : array [1/mm]
        rising, as `mtf` was asked for them.
    image : Mtf
        its result for one lens; it names the beam.
    wavelength_nm : float [nm]
    criterion_frequency_per_mm, criterion_mtf : float, optional
        the imaging criterion; refused in any beam but the model eye's.
    ground : "light" or "dark"

    Raises
    ------
    InputError
        for a criterion in another beam, or results of another length than the frequencies.

    Examples
    --------
    >>> from lenscalc.light import Beam, Surface, System, mtf
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> frequency = [0.0, 50.0, 100.0]
    >>> image = mtf(lens, Beam(3.0), frequency_per_mm=frequency, wavelength_nm=546.07)
    >>> mtf_curve(frequency, image, wavelength_nm=546.07).to_dict()["description"]
    'MTF against frequency at 546.07 nm, collimated onto the bare lens, 3 mm wide; cut-off 112.5 per mm.'
    """
    frequency, values, limit = (np.asarray(a, dtype=np.float64) for a in (frequency_per_mm, image.mtf, image.diffraction_mtf))
    if frequency.ndim != 1 or frequency.size < 2 or values.shape != frequency.shape or limit.shape != frequency.shape:
        raise InputError(
            f"frequency_per_mm of shape {frequency.shape}, MTF of shape {values.shape}: the curve takes one lens and one value at each of two or "
            "more frequencies",
            quantity="frequency_per_mm",
        )
    asked = criterion_frequency_per_mm is not None and criterion_mtf is not None
    if asked and not image.beam.startswith(MODEL_EYE):
        raise InputError(f"the imaging criterion holds in the model eye alone, not in a beam {image.beam}: leave it out", quantity="vergence_D")

    curves = pd.DataFrame({"frequency": frequency, "lens": values, "limit": limit})
    across, high = alt.Scale(domain=[float(frequency[0]), float(frequency[-1])], nice=False), alt.Scale(domain=[0, 1], nice=False)
    x = alt.X("frequency:Q", title="frequency in the image, line pairs per mm", scale=across, axis=alt.Axis(tickCount=6, grid=False))
    y, y_limit = (alt.Y(f"{name}:Q", title="MTF", scale=high, axis=alt.Axis(format=".1f", tickCount=6)) for name in ("lens", "limit"))
    layers = [
        alt.Chart(curves).mark_line(color=quiet(ground), strokeDash=[6, 4], strokeWidth=2).encode(x=x, y=y_limit),
        alt.Chart(curves).mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y),
        *_names(frequency, values, limit, x, ground),
    ]
    if asked:
        point = pd.DataFrame({"frequency": [criterion_frequency_per_mm], "lens": [criterion_mtf]})
        point["text"] = f"criterion\n{criterion_mtf:g} or more"
        base = alt.Chart(point).encode(x=x, y=y)
        passed = float(np.interp(point["frequency"][0], frequency, values)) >= point["lens"][0]  # its words stand away from the curve
        layers += [
            base.mark_point(color=ORANGE, filled=True, size=90, opacity=1),
            base.mark_text(
                align="right" if passed else "left", dx=-9 if passed else 9, baseline="top" if passed else "middle", dy=-4, lineBreak="\n",
                lineHeight=16, color=ink(ground),
            ).encode(text="text:N"),
        ]
    chart = alt.layer(*layers).properties(
        width="container", height=400, title=titled(f"Beam: {image.beam}; {wavelength_nm:g} nm."),
        description=f"MTF against frequency at {wavelength_nm:g} nm, {image.beam}; cut-off {float(image.cut_off_per_mm):.1f} per mm.",
    )  # fmt: skip
    return styled(chart, ground)


def _names(frequency: Any, values: Any, limit: Any, x: Any, ground: Ground) -> list[alt.Chart]:
    """A name beside each curve: the limit's above its own, the lens's on the free side of its own."""
    span = float(frequency[-1] - frequency[0])
    at = int(np.argmin(np.abs(limit - 0.35)))
    names = [alt.Chart(pd.DataFrame({"frequency": [frequency[at]], "at": [limit[at]], "text": ["diffraction alone"]})).mark_text(
        align="right" if frequency[at] - frequency[0] > 0.75 * span else "left", baseline="top" if limit[at] > 0.8 else "bottom",
        dx=6 if limit[at] <= 0.8 else 0, dy=8 if limit[at] > 0.8 else -4, color=quiet(ground),
    )]  # fmt: skip
    below = np.flatnonzero(values < 0.25)
    here = int(below[0]) if below.size else len(values) - 1
    left = frequency[here] - frequency[0] > 0.2 * span
    if not left:
        here = int(np.flatnonzero(values < 0.5)[0])
    own = alt.Chart(pd.DataFrame({"frequency": [frequency[here]], "at": [values[here]], "text": ["this lens"]}))
    if left:
        names.append(own.mark_text(align="right", baseline="top", dx=-8, dy=4, color=BLUE, fontWeight="bold"))
    else:
        names.append(own.mark_text(align="left", baseline="bottom", dx=8, dy=-2, color=BLUE, fontWeight="bold"))
    return [name.encode(x=x, y=alt.Y("at:Q"), text="text:N") for name in names]
