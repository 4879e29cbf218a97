"""How far the zero of the instrument moved while it was read, by a check piece before and after."""

from __future__ import annotations

from lenscalc.refractometer.as_read import FAR_OFF
from lenscalc.refractometer.replicates import mean_of
from lenscalc.refractometer.sheet_calibration import CalibrationTable
from lenscalc.uncertainty import Estimate, Source


def zero_drift(table: CalibrationTable | None) -> tuple[Estimate | None, tuple[str, ...]]:
    """Half the change of a check piece between before and after, as a correction with a rectangular line as wide as the change."""
    if table is None or not table.check_before:
        return None, ()
    before, after = mean_of(table.check_before), mean_of(table.check_after)
    moved = after.value - before.value
    u = (before.u * before.u + after.u * after.u) ** 0.5
    parts = {
        Source("zero drift of the instrument", "instrument", distribution="rectangular"): abs(moved) / 12.0**0.5,
        Source("readings of the check piece", "instrument", before.dof + after.dof, "t"): u / 2.0,
    }
    doubt = ", but look first whether both are of one piece" if abs(moved) > FAR_OFF else ""
    told = f"the zero moved by {moved:+.1e} between the check before and after: half of it is taken off the readings{doubt}"
    return Estimate(-moved / 2.0, parts), (told,) if abs(moved) > 2 * u else ()
