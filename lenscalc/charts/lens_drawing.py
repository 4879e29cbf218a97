"""The lens in cross-section, to scale."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import columns, of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled
from lenscalc.errors import InputError
from lenscalc.lens.geometry import why_not
from lenscalc.light import sag_mm

PX_PER_MM = 50.0
FRAME_mm = 0.25
LARGEST_px = 330.0


@Charted
def lens_drawing(
    front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, optic_diameter_mm: float, *,
    front_conic: float = 0.0, back_conic: float = 0.0, front_principal_plane_mm: float | None = None,
    back_principal_plane_mm: float | None = None, ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """Cross-section of a lens, front on the left, light going to the right (+z), one scale on both axes [mm].

    Principal planes, if given, are dashed lines H (from the front vertex) and H′ (from the back vertex); a plane that lies more than a
    diameter away from the lens is left out.

    Raises
    ------
    InputError
        for dimensions that no lens can have.

    >>> chart = lens_drawing(15.0, -15.0, 0.9, 6.0)
    >>> chart.to_dict()["description"]
    'Cross-section of the lens: radii 15 and −15 mm, 0.9 mm thick in the centre, 6 mm wide.'
    """
    sentence = why_not(
        front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm, front_conic=front_conic, back_conic=back_conic
    )
    if sentence:
        raise InputError(sentence)
    R1, R2, t, half = front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm / 2
    y = np.linspace(-half, half, 121)
    front, back = np.broadcast_to(sag_mm(R1, y, front_conic), y.shape), t + np.broadcast_to(sag_mm(R2, y, back_conic), y.shape)
    z, up = np.concatenate([front, back[::-1], front[:1]]), np.concatenate([y, y[::-1], y[:1]])

    reach = [(name, at, place) for name, at, place in (
        ("H", front_principal_plane_mm, -1), ("H′", None if back_principal_plane_mm is None else t + back_principal_plane_mm, 1),
    ) if at is not None and np.isfinite(at) and -2 * half < at < t + 2 * half]  # fmt: skip
    margin = 0.45 * half
    left = min([float(z.min()), *(at for _, at, _ in reach)]) - margin
    right = max([float(z.max()), *(at for _, at, _ in reach)]) + margin
    # in steps, so that the frame stays while a dimension moves a little, and the browser only moves the lens in it
    left, right = (FRAME_mm * float(end) for end in (np.floor(left / FRAME_mm), np.ceil(right / FRAME_mm)))
    scale = min(PX_PER_MM, LARGEST_px / max(right - left, 2.6 * half))
    tables = {
        "axis": columns({"z": left, "y": 0.0, "z2": right}),
        "outline": columns({"z": z, "y": up, "order": np.arange(len(z))}),
        "arrow": columns({"z": left + 0.06 * half, "y": 0.12 * half, "text": "light →"}),
    }
    if reach:
        tables["planes"] = of_rows(["name", "z", "y", "y2", "at"], [(n, at, -half, half, 1.12 * half * place) for n, at, place in reach])
    return Drawing(
        _shape, (bool(reach), ground), tables, {"left": left, "right": right, "low": -1.3 * half, "high": 1.3 * half},
        {"width": (right - left) * scale, "height": 2.6 * half * scale},
        f"Cross-section of the lens: radii {_radius(R1)} and {_radius(R2)} mm, {t:g} mm thick in the centre, {2 * half:g} mm wide.",
    )  # fmt: skip


def _shape(with_planes: bool, ground: Ground) -> alt.LayerChart:
    across, high = (alt.Scale(domain=[f"@{low}", f"@{high}"], nice=False) for low, high in (("left", "right"), ("low", "high")))
    x = alt.X("z:Q", title="along the axis, mm", scale=across, axis=alt.Axis(tickMinStep=1, tickCount=5, grid=False))
    up = alt.Y("y:Q", title="height, mm", scale=high, axis=alt.Axis(tickCount=7, grid=False))
    outline = alt.Chart(table("outline")).mark_line(filled=True, fill=BLUE, fillOpacity=0.25, stroke=BLUE, strokeWidth=2)
    layers: list[Any] = [
        alt.Chart(table("axis")).mark_rule(color=quiet(ground), strokeWidth=1).encode(x=x, x2="z2:Q", y=up),
        outline.encode(x=x, y=up, order="order:Q"),
    ]
    if with_planes:
        planes = alt.Chart(table("planes"))
        layers += [
            planes.mark_rule(color=ORANGE, strokeDash=[5, 4], strokeWidth=1.5).encode(x=x, y=up, y2="y2:Q"),
            planes.mark_text(fontSize=15, color=ink(ground)).encode(x=x, y=alt.Y("at:Q"), text="name:N"),
        ]
    layers.append(alt.Chart(table("arrow")).mark_text(align="left", baseline="bottom", fontSize=12).encode(x=x, y=up, text="text:N"))
    # a page would take the room of the numbers from the drawing, more of it across than upwards, and it would be to scale no longer
    return styled(alt.layer(*layers).properties(autosize=alt.AutoSizeParams(type="pad", contains="content")), ground)


def _radius(value: float) -> str:
    return "plano" if np.isinf(value) else f"{value:.6g}".replace("-", "−")
