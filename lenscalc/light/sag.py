"""Sag of a spherical surface."""

from __future__ import annotations

from typing import Any


def sag_mm(radius_mm: Any, height_mm: Any) -> Any:
    """Sag of a sphere at a height: h²c/(1 + √(1 − h²c²)), c = 1/R; plano gives 0, a height beyond the sphere nan.

    Positive where the surface bends towards +z (positive radius). Textbook; this form keeps its digits for long radii.

    >>> import numpy as np
    >>> round(float(sag_mm(np.float64(15.0), 3.0)), 6)
    0.303062
    """
    c = 1.0 / radius_mm
    h2 = height_mm * height_mm
    return h2 * c / (1.0 + (1.0 - h2 * c * c) ** 0.5)
