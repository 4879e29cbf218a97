"""Whatever knows of an instrument, a sheet or a replicate."""

from lenscalc.refractometer.as_read import reference_as_read
from lenscalc.refractometer.border import Border, border, border_brightness
from lenscalc.refractometer.calibration import CALIBRATION, Calibration, Reference, calibrate
from lenscalc.refractometer.contact import contact_liquid_problem, contact_liquid_remark
from lenscalc.refractometer.corrected import corrected
from lenscalc.refractometer.drift import Drift, drift_on_prism
from lenscalc.refractometer.index_in_use import IndexInUse, Step, carry_to_use
from lenscalc.refractometer.mixed_readings import TwoSets, two_sets
from lenscalc.refractometer.optics import (
    critical_angle_deg,
    critical_angle_index,
    minimum_deviation_deg,
    minimum_deviation_index,
    v_block_deviation_deg,
    v_block_index,
)
from lenscalc.refractometer.raw_reading import RawReading, cannot_be_carried
from lenscalc.refractometer.replicates import Mean, NestedMean, Suspect, grubbs, mean_of, nested_mean
from lenscalc.refractometer.scale import index_at_line, prism_exit_angle_deg, prism_reading_index, without_compensation
from lenscalc.refractometer.sheet import ReadingSheet, read_sheet, sheet_from_data, sheet_from_text
from lenscalc.refractometer.sheet_columns import SheetColumns, columns_of_sheet
from lenscalc.refractometer.sheet_lens import LensDimensions
from lenscalc.refractometer.sheet_readings import Reading, medium_reading

__all__ = [
    "CALIBRATION", "Border", "Calibration", "Drift", "IndexInUse", "LensDimensions", "Mean", "NestedMean", "RawReading", "Reading",
    "ReadingSheet", "Reference", "SheetColumns", "Step", "Suspect", "TwoSets", "border", "border_brightness", "calibrate", "cannot_be_carried",
    "carry_to_use", "columns_of_sheet", "contact_liquid_problem", "contact_liquid_remark", "corrected", "critical_angle_deg",
    "critical_angle_index", "drift_on_prism", "grubbs", "index_at_line", "mean_of", "medium_reading", "minimum_deviation_deg",
    "minimum_deviation_index", "nested_mean", "prism_exit_angle_deg", "prism_reading_index", "read_sheet", "reference_as_read",
    "sheet_from_data", "sheet_from_text", "two_sets", "v_block_deviation_deg", "v_block_index", "without_compensation",
]  # fmt: skip
