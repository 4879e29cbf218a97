"""The power of one lens against the index of what surrounds it."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns
from lenscalc.charts.style import BLUE, ORANGE, Ground, quiet, styled
from lenscalc.lens import thick_lens
from lenscalc.uncertainty.rounding import signed

LOWEST, HIGHEST = 1.0, 1.7


def power_against_medium(*, ground: Ground = "light") -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `power_against_medium_data` makes them.

    >>> power_against_medium().to_dict()["layer"][1]["data"]
    {'name': 'curve'}
    """
    across = alt.Axis(format=".1f", tickCount=8, grid=False)
    x = alt.X("m:Q", title="index of the medium around the lens", scale=alt.Scale(domain=[LOWEST, HIGHEST]), axis=across)
    y = alt.Y("power:Q", title="power, D", axis=alt.Axis(tickCount=6))
    zero = alt.Chart(alt.NamedData("zero"))
    media = alt.Chart(alt.NamedData("media"))
    layers = [
        zero.mark_rule(color=quiet(ground), strokeDash=[5, 4], strokeWidth=2).encode(y=y),
        alt.Chart(alt.NamedData("curve")).mark_line(color=BLUE, strokeWidth=4).encode(x=x, y=y),
        zero.mark_text(align="left", baseline="bottom", dx=10, dy=-6, fontSize=14).encode(x=x, y=y, text="text:N"),
        media.mark_point(color=ORANGE, filled=True, size=150, opacity=1).encode(x=x, y=y),
        media.transform_filter("datum.above").mark_text(align="left", baseline="bottom", dx=10, dy=-8, fontSize=16).encode(x=x, y=y, text="text:N"),
        media.transform_filter("!datum.above").mark_text(align="right", baseline="top", dx=-10, dy=8, fontSize=16).encode(
            x=x, y=y, text="text:N"
        ),
    ]  # fmt: skip
    return styled(alt.layer(*layers).properties(width="container", height=380), ground)


def power_against_medium_data(
    front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, n_lens: float, *, media: Sequence[tuple[str, float]]
) -> dict[str, Columns]:
    """The curve from air to a medium denser than the lens, and the named media on it; named where the curve is not.

    >>> power_against_medium_data(15, -15, 0.9, 1.49, media=[("the eye", 1.336)])["media"]["text"].tolist()
    ['the eye 20.5 D']
    """
    lens = (front_radius_mm, back_radius_mm, center_thickness_mm, n_lens)
    m = np.linspace(LOWEST, HIGHEST, 71)
    at = np.array([index for _, index in media])
    power = np.asarray(thick_lens(*lens, at).power_D)
    above = np.array([index < 1.42 and not np.any((at > index) & (at - index < 0.12)) for index in at])
    text = [f"{name} {signed(F, 1)} D" for (name, _), F in zip(media, power, strict=True)]
    return {
        "curve": columns({"m": m, "power": thick_lens(*lens, m).power_D}),
        "media": columns({"m": at, "power": power, "text": text, "above": above}),
        "zero": columns({"m": LOWEST, "power": 0.0, "text": f"no power where the medium is {n_lens:.4g} too"}),
    }
