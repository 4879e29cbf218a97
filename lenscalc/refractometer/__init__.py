"""Whatever knows of an instrument, a sheet or a replicate."""

from lenscalc.refractometer.contact import contact_liquid_problem, contact_liquid_remark
from lenscalc.refractometer.index_in_use import IndexInUse, RawReading, Step, cannot_be_carried, carry_to_use
from lenscalc.refractometer.optics import (
    critical_angle_deg,
    critical_angle_index,
    minimum_deviation_deg,
    minimum_deviation_index,
    v_block_deviation_deg,
    v_block_index,
)
from lenscalc.refractometer.replicates import Mean, mean_of
from lenscalc.refractometer.sheet import LensDimensions, Reading, ReadingSheet, read_sheet, sheet_from_data, sheet_from_text

__all__ = [
    "IndexInUse", "LensDimensions", "Mean", "RawReading", "Reading", "ReadingSheet", "Step", "cannot_be_carried", "carry_to_use",
    "contact_liquid_problem", "contact_liquid_remark", "critical_angle_deg", "critical_angle_index", "mean_of", "minimum_deviation_deg",
    "minimum_deviation_index", "read_sheet", "sheet_from_data",
    "sheet_from_text", "v_block_deviation_deg", "v_block_index",
]  # fmt: skip
