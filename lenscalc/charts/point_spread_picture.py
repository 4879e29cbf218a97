"""What becomes of a point of light."""

from __future__ import annotations

from typing import Literal

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import ORANGE, Ground, ink, styled, titled
from lenscalc.errors import InputError
from lenscalc.light import PointSpread

MOST = 51  # tiles a side
TILE_px = 8
DECADES = 3
SHADES = {"light": ["#ffffff", "#9cc6e8", "#3b87c8", "#0d2f52"], "dark": ["#191814", "#1f4d78", "#3b87c8", "#f2f8fd"]}
WORDS = {
    "linear": "Shades in proportion to the light: strongest where there is most, the plain ground none.",
    "logarithmic": "Shades by the logarithm: in three equal steps down to a tenth, a hundredth, a thousandth of the most.",
}


@Charted
def point_spread_picture(
    image: PointSpread, *, wavelength_nm: float, scale: Literal["linear", "logarithmic"] = "linear", first_dark_ring_mm: float | None = None,
    ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """The image of a point as one square of shades, in µm, decimated to what can be seen; how the shades run is said above it.

    Parameters
    ----------
    image : PointSpread
        it names the beam.
    wavelength_nm : float [nm]
    scale : "linear" or "logarithmic"
    first_dark_ring_mm : float [mm], optional
        radius of the first dark ring of diffraction alone: a dashed ring with its name.
    ground : "light" or "dark"

    Raises
    ------
    InputError
        for another scale, or an image of a single point.

    Examples
    --------
    >>> from lenscalc.light import Beam, Surface, System, point_spread
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> image = point_spread(lens, Beam(3.0), wavelength_nm=546.07, half_width_mm=0.02, points=21)
    >>> point_spread_picture(image, wavelength_nm=546.07).to_dict()["description"]
    'Image of a point, collimated onto the bare lens, 3 mm wide, 546.07 nm; shades linear; brightest 0.99 of an aberration-free image.'
    """
    if scale not in WORDS:
        raise InputError(f"scale = {scale!r}: must be 'linear' or 'logarithmic'", quantity="scale", value=scale)
    light = np.asarray(image.irradiance, dtype=np.float64)
    if light.ndim != 2 or min(light.shape) < 2:
        raise InputError(f"an image of shape {light.shape} is no picture: ask for more points", quantity="points")
    step = -(-(max(light.shape) - 1) // (MOST - 1))
    rows, columns = ((many - 1) // 2 % step for many in light.shape)  # so that the middle stays
    light, x_um, y_um = light[rows::step, columns::step], 1000.0 * image.x_mm[columns::step], 1000.0 * image.y_mm[rows::step]
    peak = float(np.max(image.irradiance))
    part = light / peak
    shade = part if scale == "linear" else 1.0 + np.log10(np.maximum(part, 10.0**-DECADES)) / DECADES
    across, down = np.meshgrid(x_um, y_um)
    tiles = pd.DataFrame({"x": across.ravel().round(4), "y": down.ravel().round(4), "shade": shade.ravel().round(3)})
    tile = float(x_um[1] - x_um[0])
    ends = [(float(a[0] - tile / 2), float(a[-1] + tile / 2)) for a in (x_um, y_um)]
    tables = {"tiles": tiles[tiles["shade"] > 0.004]}
    ringed = first_dark_ring_mm is not None and 1000.0 * first_dark_ring_mm < min(ends[0][1], ends[1][1])
    if first_dark_ring_mm is not None and ringed:
        turn, r = np.linspace(0.0, 2.0 * np.pi, 73), 1000.0 * first_dark_ring_mm
        tables["ring"] = pd.DataFrame({"x": r * np.sin(turn), "y": r * np.cos(turn), "order": range(73)})
        tables["ring_name"] = pd.DataFrame({"x": [0.0], "y": [r], "text": ["first dark ring of diffraction"]})
    return Drawing(
        _shape, (ringed, ground), tables, {"left": ends[0][0], "right": ends[0][1], "low": ends[1][0], "high": ends[1][1]},
        {"width": TILE_px * light.shape[1], "height": TILE_px * light.shape[0],
         "title": titled(f"Beam: {image.beam}; {wavelength_nm:g} nm.", WORDS[scale], letters=50).to_dict()},
        f"Image of a point, {image.beam}, {wavelength_nm:g} nm; shades {scale}; brightest {peak:.2f} of an aberration-free image.",
    )  # fmt: skip


def _shape(ringed: bool, ground: Ground) -> alt.LayerChart:
    x, y = (
        channel(f"{name}:Q", title=f"{words}, µm", scale=alt.Scale(domain=domain, nice=False), axis=alt.Axis(tickCount=5, grid=False, zindex=1))
        for channel, name, words, domain in ((alt.X, "x", "across", ["@left", "@right"]), (alt.Y, "y", "up", ["@low", "@high"]))
    )
    shades = alt.Color("shade:Q", scale=alt.Scale(domain=[0, 1 / 3, 2 / 3, 1], range=SHADES[ground], interpolate="rgb"), legend=None)
    layers = [alt.Chart(table("tiles")).mark_square(size=TILE_px**2, opacity=1, strokeWidth=0).encode(x=x, y=y, color=shades)]
    if ringed:
        layers += [
            alt.Chart(table("ring")).mark_line(color=ORANGE, strokeDash=[5, 4], strokeWidth=1.5).encode(x=x, y=y, order="order:Q"),
            alt.Chart(table("ring_name")).mark_text(baseline="bottom", dy=-4, color=ink(ground)).encode(x=x, y=y, text="text:N"),
        ]
    return styled(alt.layer(*layers).properties(autosize=alt.AutoSizeParams(type="pad")), ground)
