"""What holds where a field of the sheet is left empty: no page here, so that it can be tested by itself."""

from __future__ import annotations

from math import isfinite
from typing import Any

from lenscalc.decision import REQUIRED_PROBABILITY, shipped_tolerance_table
from lenscalc.quantities import plain
from lenscalc.refractometer.sheet_calibration import NEAR_K
from lenscalc.web.reading.sheet_tables import Path, found


def in_force(sheet: dict[str, Any], path: Path) -> str | None:
    """The value that acts while nothing is written at a place of the sheet; None where none does.

    >>> in_force({}, ("lens", "required_probability")), in_force({"lens": {"labelled_power_D": 28.0}}, ("lens", "tolerance_D"))
    ('0.95', '0.5')
    >>> in_force({}, ("lens", "tolerance_D")) is None
    True
    """
    match path:
        case ("lens", "required_probability"):
            return plain(REQUIRED_PROBABILITY)
        case ("lens", "tolerance_D"):
            label = found(sheet, ("lens", "labelled_power_D"))
            tolerance = float(shipped_tolerance_table().of(label)) if isinstance(label, int | float) else float("nan")
            return plain(tolerance) if isfinite(tolerance) else None
        case ("calibration", "within_K"):
            return plain(NEAR_K)
        case ("instrument", "u_calibration"):
            return "0" if found(sheet, ("calibration", "reference")) else None  # without references it must be stated
        case ("instrument", "scale_wavelength_nm"):
            return "as read"
        case ("dispersion", "terms"):
            form = found(sheet, ("dispersion", "form"))
            return None if form is None else "1" if form == "sellmeier" else "2"  # two parameters
    return None
