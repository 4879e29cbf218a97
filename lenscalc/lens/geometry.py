"""Whether a lens of these dimensions can exist."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.light import sag_mm


def edge_thickness_mm(front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, optic_diameter_mm: Any) -> Any:
    """Thickness at the edge of the optic: t − front sag + back sag; below 0 the lens cannot be made, nan where a surface does not reach.

    Arrays or numbers, [mm]. Textbook.

    >>> round(float(edge_thickness_mm(15.0, -15.0, 0.9, 6.0)), 6)
    0.293877
    """
    h = np.asarray(optic_diameter_mm, dtype=np.float64) / 2.0
    with np.errstate(invalid="ignore"):
        front = sag_mm(np.asarray(front_radius_mm, dtype=np.float64), h)
        back = sag_mm(np.asarray(back_radius_mm, dtype=np.float64), h)
    return center_thickness_mm - front + back


def why_not(front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, optic_diameter_mm: float) -> str | None:
    """Why a lens of these dimensions cannot exist, as a sentence; None if it can.

    >>> why_not(15.0, -15.0, 0.5, 6.0)
    'edge thickness -0.106 mm at optic_diameter_mm = 6: must be 0 or more; thicken the centre or make the optic smaller'
    """
    edge = float(edge_thickness_mm(front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm))
    if np.isnan(edge):
        return f"optic_diameter_mm = {optic_diameter_mm:g} mm is wider than a surface's own sphere: must be below twice the shorter radius"
    if edge < 0:
        return (
            f"edge thickness {edge:.3f} mm at optic_diameter_mm = {optic_diameter_mm:g}: must be 0 or more; "
            "thicken the centre or make the optic smaller"
        )
    return None
