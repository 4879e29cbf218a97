"""A back radius whose sign was left out: said where the other sign brings the power to the label."""

from __future__ import annotations

from collections.abc import Mapping
from math import isinf
from typing import Any, Final

from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.lens import thick_lens, why_not
from lenscalc.quantities import plain
from lenscalc.uncertainty.rounding import signed

FAR_D: Final = 2.0  # nobody cuts a lens that lies so far from its label
NEAR_D: Final = 1.0


def other_back_sign_D(row: Mapping[str, Any], *, n_lens: float, power_D: float) -> float | None:
    """The power [D] with the back radius of the other sign, where that is near the label and the power is far from it; else None.

    In the medium of 1.336. None too for a plano back, without a label, and where no such lens can be: its edge would be thinner than nothing.

    >>> row = {"front_radius_mm": 15.2, "back_radius_mm": 15.2, "center_thickness_mm": 0.92, "optic_diameter_mm": 6.0, "labelled_power_D": 21.5}
    >>> round(other_back_sign_D(row, n_lens=1.5, power_D=0.0714), 4)
    21.5075
    """
    R1, R2, t = row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"]
    label = row.get("labelled_power_D")
    if label is None or isinf(R2) or not abs(power_D - label) > FAR_D or n_lens == N_MEDIUM_IN_USE or why_not(R1, -R2, t, row["optic_diameter_mm"]):
        return None
    other_D = float(thick_lens(R1, -R2, t, n_lens).power_D)
    return other_D if abs(other_D - label) <= NEAR_D else None


def back_sign_told(back_radius_mm: float, other_D: float) -> str:
    """The remark; the radius is that of the sheet, as it was measured.

    >>> back_sign_told(15.2, 20.402)
    'with a back radius of −15.2 mm the power would be 20.40 D: a back surface that bulges outwards has a minus'
    >>> back_sign_told(-14.0, -9.8)
    'with a back radius of 14 mm the power would be −9.80 D: a hollow back surface has no minus'
    """
    how = "a back surface that bulges outwards has a minus" if back_radius_mm > 0 else "a hollow back surface has no minus"
    return f"with a back radius of {plain(-back_radius_mm).replace('-', '−')} mm the power would be {signed(other_D, 2)} D: {how}"
