"""One lens in several media, one below the other and to one scale, each with exact rays to its focus."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns, kept
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled
from lenscalc.errors import InputError
from lenscalc.lens import thick_lens
from lenscalc.lens.geometry import why_not
from lenscalc.light import Surface, System, sag_mm, trace

HEIGHTS = 41
RAYS = 7
ROOM_IN_FRONT = 0.8  # of the optic's diameter
ROW_px, AXIS_px, LENS_px = 150.0, 90.0, 105.0  # height of a row, where its axis runs below its words, the largest height of the lens
REACHES_mm = (20.0, 40.0, 75.0, 110.0, 160.0, 300.0)  # a picture ends behind the farthest focus; a few ends, so that its scale does not creep


def lens_in_media(
    *, media: int, reach_mm: float, optic_diameter_mm: float, whole_thickness_mm: float = 1.0, ground: Ground = "light"
) -> alt.LayerChart:
    """The frame of the picture: its data are named and given apart, as `lens_in_media_data` makes them.

    A millimetre is the same along the axis and across it, in a window of any width. The axis counts from the back vertex; `whole_thickness_mm`, the
    thickness rounded up so that it seldom changes, leaves room for the lens in front of it.

    >>> sorted(layer["data"]["name"] for layer in lens_in_media(media=3, reach_mm=90, optic_diameter_mm=6).to_dict()["layer"])
    ['axes', 'bodies', 'foci', 'foci', 'foci', 'rays', 'rows', 'rows']
    """
    D = optic_diameter_mm
    left = -ROOM_IN_FRONT * D - whole_thickness_mm
    long = reach_mm - left
    mm_per_px = f"max({long}/width, {D / LENS_px})"
    across = alt.Scale(domainMin=left, domainMax=alt.ExprRef(f"{left} + {mm_per_px}*width"), nice=False, zero=False)
    x = alt.X("z:Q", title="behind the back of the lens, mm", scale=across, axis=alt.Axis(tickCount=8, grid=False))
    y = alt.Y("px:Q", scale=alt.Scale(domain=[media * ROW_px, 0.0], nice=False, zero=False), axis=None)
    # rows are as high as their words want, whatever the scale: only within a row heights count in mm
    place = f"{ROW_px}*datum.row + {AXIS_px} - datum.h/{mm_per_px}"

    def named(name: str) -> alt.Chart:
        return alt.Chart(alt.NamedData(name)).transform_calculate(px=place)

    layers = [
        alt.Chart(alt.NamedData("rows")).mark_rect(color=BLUE).encode(y=y, y2="end:Q", opacity=alt.Opacity("shade:Q", scale=None)),
        named("axes").mark_rule(color=quiet(ground)).encode(x=x, x2="z2:Q", y=y),
        named("bodies").mark_line(filled=True, fill=BLUE, fillOpacity=0.3, stroke=BLUE, strokeWidth=2).encode(
            x=x, y=y, order="order:Q", detail="row:N"
        ),
        named("rays").mark_line(color=ORANGE, strokeWidth=1.8).encode(x=x, y=y, order="order:Q", detail="ray:N"),
        named("foci").mark_point(shape="diamond", color=ink(ground), size=110, strokeWidth=2).encode(x=alt.X("thin:Q"), y=y),
        named("foci").mark_point(color=ORANGE, filled=True, size=130, opacity=1).encode(x=x, y=y),
        named("foci").mark_text(baseline="bottom", dy=-12, fontSize=15).encode(x=x, y=y, text="text:N"),
        alt.Chart(alt.NamedData("rows")).mark_text(align="left", baseline="top", dx=8, dy=8, fontSize=16, fontWeight="bold").encode(
            x=alt.value(0), y=y, text="text:N"
        ),
    ]  # fmt: skip
    return styled(alt.layer(*layers).properties(width="container", height=ROW_px * media), ground)


def lens_in_media_data(
    front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, n_lens: float, *, optic_diameter_mm: float,
    media: Sequence[tuple[str, float]], reach_mm: float,
) -> dict[str, Columns]:  # fmt: skip
    """What stands in the frame: outlines, exact rays over half the diameter, the paraxial foci, a line of words a row; z from the back vertex.

    Beside each focus stands that of the same surfaces without thickness, from the middle of the lens.

    Parameters
    ----------
    media : sequence of (name, index)
        from top to bottom.
    reach_mm : float [mm]
        how far behind the back vertex the picture goes; `reach_of` finds it.

    Raises
    ------
    InputError
        for dimensions that no lens can have, or values outside their limits.

    >>> data = lens_in_media_data(15, -15, 0.9, 1.49, optic_diameter_mm=6, media=[("air", 1.0), ("the eye", 1.336)], reach_mm=90)
    >>> data["rows"]["text"].tolist()
    ['In air (1.0000): 64.69 D', 'In the eye (1.3360): 20.47 D']
    """
    R1, R2, t, D = front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm
    if sentence := why_not(R1, R2, t, D):
        raise InputError(sentence, quantity="center_thickness_mm")
    m = np.array([index for _, index in media])
    found, thin = thick_lens(R1, R2, t, n_lens, m), thick_lens(R1, R2, 0.0, n_lens, m)
    focus = found.back_focal_length_mm
    text = [f"In {name} ({index:.4f}): {_power(F)} D" for (name, index), F in zip(media, found.power_D, strict=True)]
    row = np.arange(len(media))
    rows = columns({
        "row": row, "px": ROW_px * row, "end": ROW_px * row + ROW_px - 4.0, "shade": np.clip(0.5 * (m - 1.0), 0.0, 0.3), "text": text,
    })  # fmt: skip
    axes = columns({"z": -ROOM_IN_FRONT * D - t, "z2": reach_mm, "row": row, "h": 0.0})
    shown = np.isfinite(focus) & (focus > 0) & (focus <= reach_mm)
    as_if = thin.back_focal_length_mm - t / 2.0
    foci = columns({
        "z": focus, "thin": np.where(as_if <= reach_mm, as_if, np.nan), "row": row, "h": 0.0, "text": [f"{f:.1f} mm" for f in focus],
    })  # fmt: skip
    bodies = _bodies(R1, R2, t, D, len(media))
    return {"rows": rows, "axes": axes, "bodies": bodies, "rays": _rays(R1, R2, t, n_lens, D, m, focus, reach_mm), "foci": kept(foci, shown)}


def reach_of(farthest_focus_mm: Any) -> float:
    """The end of a picture that holds this focus, or the last there is.

    >>> reach_of(65.8), reach_of(1e9), reach_of(float("nan"))
    (75.0, 300.0, 20.0)
    """
    focus = np.asarray(farthest_focus_mm, dtype=np.float64)
    real = focus[np.isfinite(focus) & (focus > 0)]
    wanted = 1.1 * float(real.max()) if real.size else 0.0
    return next((end for end in REACHES_mm if end >= wanted), REACHES_mm[-1])


def _power(D: float) -> str:
    return f"{D:.2f}".replace("-", "−") if abs(D) >= 0.005 else "0.00"


def _bodies(R1: float, R2: float, t: float, D: float, many: int) -> Columns:
    h = np.linspace(-D / 2, D / 2, HEIGHTS)
    front, back = np.broadcast_to(sag_mm(R1, h, 0.0), h.shape) - t, np.broadcast_to(sag_mm(R2, h, 0.0), h.shape)
    z, h = np.concatenate([front, back[::-1], front[:1]]), np.concatenate([h, h[::-1], h[:1]])
    return columns({
        "z": np.tile(z, many), "h": np.tile(h, many), "row": np.repeat(np.arange(many), len(h)), "order": np.tile(np.arange(len(h)), many),
    })  # fmt: skip


def _rays(R1: float, R2: float, t: float, n: float, D: float, m: Any, focus: Any, reach: float) -> Columns:
    """Corners of every ray: where it begins, meets the front, the back, and ends a little behind its focus; a lost one is left out."""
    at = np.linspace(-D / 4, D / 4, RAYS)
    first, lens = System([Surface(R1)], [m, n]), System([Surface(R1), Surface(R2)], [m, n, m], [t])
    beyond = np.minimum(np.where(np.isfinite(focus) & (focus > 0), focus + 0.12 * reach, reach), reach)
    front, back, end = trace(first, x_mm=at), trace(lens, x_mm=at), trace(lens, x_mm=at, plane_mm=beyond)
    shape = (len(m), RAYS)
    z = np.stack([np.full(shape, -ROOM_IN_FRONT * D - t), front.z_mm - t, back.z_mm, end.z_mm], axis=-1)
    h = np.stack([np.broadcast_to(at, shape), front.x_mm, back.x_mm, end.x_mm], axis=-1)
    row, ray, order = (np.broadcast_to(a, z.shape) for a in (
        np.arange(len(m))[:, None, None], np.arange(len(m) * RAYS).reshape(*shape, 1), np.arange(4)))  # fmt: skip
    table = columns({name: a.ravel() for name, a in (("row", row), ("ray", ray), ("order", order), ("z", z), ("h", h))})
    return kept(table, np.repeat(np.isfinite(z).all(axis=-1).ravel(), 4))
