"""How contrast falls as the detail gets finer, and what diffraction alone would leave."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled, titled
from lenscalc.errors import InputError
from lenscalc.light import Mtf

MODEL_EYE = "in the model eye"  # as `Beam.in_words` begins


@Charted
def mtf_curve(
    frequency_per_mm: Any, image: Mtf, *, wavelength_nm: float, criterion_frequency_per_mm: float | None = None, criterion_mtf: float | None = None,
    ground: Ground = "light",
) -> Drawing:  # fmt: skip
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

    tables = {"curves": columns({"frequency": frequency, "lens": values, "limit": limit})}
    tables["limit"], limit_words = _limit_name(frequency, limit)
    tables["own"], own_words = _own_name(frequency, values)
    passed = False
    if criterion_frequency_per_mm is not None and criterion_mtf is not None:
        words = f"criterion\n{criterion_mtf:g} or more"
        tables["criterion"] = columns({"frequency": criterion_frequency_per_mm, "lens": criterion_mtf, "text": words})
        passed = bool(np.interp(criterion_frequency_per_mm, frequency, values) >= criterion_mtf)  # its words stand away from the curve
    return Drawing(
        _shape, (limit_words, own_words, asked, passed, ground), tables, {"first": float(frequency[0]), "last": float(frequency[-1])},
        {"title": titled(f"Beam: {image.beam}; {wavelength_nm:g} nm.").to_dict()},
        f"MTF against frequency at {wavelength_nm:g} nm, {image.beam}; cut-off {float(image.cut_off_per_mm):.1f} per mm.",
    )  # fmt: skip


def _shape(limit_words: tuple[bool, bool], own_on_left: bool, asked: bool, passed: bool, ground: Ground) -> alt.LayerChart:
    across, high = alt.Scale(domain=["@first", "@last"], nice=False), alt.Scale(domain=[0, 1], nice=False)
    x = alt.X("frequency:Q", title="frequency in the image, line pairs per mm", scale=across, axis=alt.Axis(tickCount=6, grid=False))
    y, y_limit = (alt.Y(f"{name}:Q", title="MTF", scale=high, axis=alt.Axis(format=".1f", tickCount=6)) for name in ("lens", "limit"))
    curves = alt.Chart(table("curves"))
    near_end, at_top = limit_words
    names = [
        alt.Chart(table("limit")).mark_text(
            align="right" if near_end else "left", baseline="top" if at_top else "bottom", dx=0 if at_top else 6, dy=8 if at_top else -4,
            color=quiet(ground),
        ),
        alt.Chart(table("own")).mark_text(
            align="right" if own_on_left else "left", baseline="top" if own_on_left else "bottom", dx=-8 if own_on_left else 8,
            dy=4 if own_on_left else -2, color=BLUE, fontWeight="bold",
        ),
    ]  # fmt: skip
    layers = [
        curves.mark_line(color=quiet(ground), strokeDash=[6, 4], strokeWidth=2).encode(x=x, y=y_limit),
        curves.mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y),
        *(name.encode(x=x, y=alt.Y("at:Q"), text="text:N") for name in names),
    ]
    if asked:
        base = alt.Chart(table("criterion")).encode(x=x, y=y)
        layers += [
            base.mark_point(color=ORANGE, filled=True, size=90, opacity=1),
            base.mark_text(
                align="right" if passed else "left", dx=-9 if passed else 9, baseline="top" if passed else "middle", dy=-4, lineBreak="\n",
                lineHeight=16, color=ink(ground),
            ).encode(text="text:N"),
        ]
    return styled(alt.layer(*layers).properties(width="container", height=400), ground)


def _limit_name(frequency: Any, limit: Any) -> tuple[Columns, tuple[bool, bool]]:
    """The name of the diffraction limit, above its curve; whether it stands near the end of the axis, and whether at the top."""
    at = int(np.argmin(np.abs(limit - 0.35)))
    near_end = bool(frequency[at] - frequency[0] > 0.75 * (frequency[-1] - frequency[0]))
    return columns({"frequency": frequency[at], "at": limit[at], "text": "diffraction alone"}), (near_end, bool(limit[at] > 0.8))


def _own_name(frequency: Any, values: Any) -> tuple[Columns, bool]:
    """The name of the lens's curve, on its free side; whether that is the left one."""
    below = np.flatnonzero(values < 0.25)
    here = int(below[0]) if below.size else len(values) - 1
    left = bool(frequency[here] - frequency[0] > 0.2 * (frequency[-1] - frequency[0]))
    if not left:
        here = int(np.flatnonzero(values < 0.5)[0])
    return columns({"frequency": frequency[here], "at": values[here], "text": "this lens"}), left
