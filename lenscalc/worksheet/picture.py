"""The picture of a worksheet: the lens in its media with rays, in black and white, to scale; the foci are for the reader to find."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from lenscalc.charts.columns import Columns, kept
from lenscalc.charts.lens_in_media import ROOM_IN_FRONT, lens_in_media_data, reach_of
from lenscalc.lens import thick_lens
from lenscalc.worksheet.exercise import Lesson

WIDE, ROW, TOP = 1000.0, 118.0, 24.0


def picture_svg(lesson: Lesson) -> str:
    """The lens in air, in water and in the eye, one below the other, as the text of an SVG.

    >>> picture_svg(Lesson(15.0, -15.0, 0.9, 6.0, 1.49)).count("<polyline")
    21
    """
    R1, R2, t, D, n = lesson[:5]
    media = lesson.media
    reach = reach_of(thick_lens(R1, R2, t, n, [m for _, m in media]).back_focal_length_mm)
    data = lens_in_media_data(R1, R2, t, n, optic_diameter_mm=D, media=media, reach_mm=reach)
    left = -ROOM_IN_FRONT * D - t
    scale = min(WIDE / (reach - left), (ROW - TOP - 8.0) / D)

    def at(z: float, h: float, row: int) -> str:
        return f"{(z - left) * scale:.2f},{ROW * row + TOP + (ROW - TOP) / 2 - h * scale:.2f}"

    parts = []
    for row, (name, index) in enumerate(media):
        middle = ROW * row + TOP + (ROW - TOP) / 2
        parts.append(f'<text x="0" y="{ROW * row + 17:.0f}" font-size="17">in {name}, index {index:.4f}</text>')
        parts.append(f'<line x1="0" y1="{middle:.2f}" x2="{WIDE:.0f}" y2="{middle:.2f}" stroke="#777" stroke-width="0.8" stroke-dasharray="6 5"/>')
    for corners in _each(data["bodies"], "row", at):
        parts.append(f'<polygon points="{corners}" fill="#ddd" stroke="#000" stroke-width="1.6"/>')
    for corners in _each(data["rays"], "ray", at):
        parts.append(f'<polyline points="{corners}" fill="none" stroke="#000" stroke-width="1"/>')
    ten = 10.0 * scale
    end = ROW * len(media)
    parts.append(f'<path d="M{WIDE - ten:.2f},{end + 4:.0f} h{ten:.2f} m0,-5 v10 m{-ten:.2f},0 v-10" stroke="#000" fill="none"/>')
    parts.append(f'<text x="{WIDE - ten - 8:.2f}" y="{end + 9:.0f}" font-size="15" text-anchor="end">10 mm</text>')
    told = "One lens in air, in water and in the eye, to scale, each with seven rays of light from far away."
    body_text = "".join(parts)
    return f'<svg viewBox="0 0 {WIDE:.0f} {end + 14:.0f}" role="img" aria-label="{told}">{body_text}</svg>'


def _each(table: Columns, by: str, at: Callable[[float, float, int], str]) -> Iterator[str]:
    """Corners of each line of a table, as an attribute holds them."""
    for one in np.unique(table[by]):
        line = kept(table, table[by] == one)
        yield " ".join(at(z, h, row) for z, h, row in zip(line["z"], line["h"], line["row"], strict=True))
