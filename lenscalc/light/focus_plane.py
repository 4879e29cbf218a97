"""The plane that a word or a number of millimetres means, and the point of reference in it."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.beam import Pencil
from lenscalc.light.limits import FOCUS
from lenscalc.light.path_difference import least_wavefront_shift
from lenscalc.light.pupil import disc
from lenscalc.light.spot_plane import Focus, least_spot, spot_at
from lenscalc.quantities import FloatArray, within

FOCI = ("least_spot", "least_wavefront", "paraxial")


def focus_shift(pencil: Pencil, focus: Any) -> FloatArray:
    """The shift from the paraxial focus that a word or a number [mm] means, for each lens."""
    if isinstance(focus, str):
        if focus == "paraxial":
            return np.zeros_like(pencil.half_width)
        if focus == "least_spot":
            x, y, weight = disc()
            return np.asarray(least_spot(pencil, pencil.rays(x, y), weight).shift_mm)
        if focus == "least_wavefront":
            return least_wavefront_shift(pencil)
        raise InputError(f"focus = {focus!r}: must be {', '.join(map(repr, FOCI))}, or a shift from the paraxial focus in mm", quantity="focus")
    return pencil.flat(within(FOCUS, focus))


def reference(pencil: Pencil, focus: Any) -> Focus:
    """The point of reference of each lens: the spot's centre in the plane that `focus` names."""
    return spot_centre(pencil, focus_shift(pencil, focus))


def spot_centre(pencil: Pencil, shift: FloatArray) -> Focus:
    """The spot's centre in a plane of each lens, shifted from its paraxial focus; a plane in front of the last vertex is refused."""
    distance = np.asarray(shift + pencil.paraxial.image_distance_mm)
    if np.any(distance <= 0):
        raise InputError(
            f"focus: the plane lies {abs(distance.min()):g} mm in front of the last vertex, where there is no image; take a plane behind the lens, "
            "or a beam that converges more",
            quantity="focus",
        )
    x, y, weight = disc()
    return spot_at(pencil, pencil.rays(x, y), weight, distance)
