"""Control charts: numbers and dates only, no optics and no store. Has the instrument, or the material, moved?"""

from lenscalc.control.advice import LOOK_AT, WATCHED, Watched
from lenscalc.control.baseline import baseline_points
from lenscalc.control.chart import ControlChart, control_chart
from lenscalc.control.constants import ChartConstants, chart_constants
from lenscalc.control.design import interval_for_run_length, width_for_run_length
from lenscalc.control.frozen import as_toml, limits_from_toml, read_limits, save_limits
from lenscalc.control.limits import GROUPED, KINDS, FrozenLimits, Kind, limits_from
from lenscalc.control.parts import Part
from lenscalc.control.rules import ALL_RULES, FOUR_RULES, LIMITS_ONLY, RULES, Rule
from lenscalc.control.run_length import RunLength, average_run_length
from lenscalc.control.series import Series, series
from lenscalc.control.series_file import read_series, series_from_text
from lenscalc.control.signals import Signal

__all__ = [
    "ALL_RULES", "FOUR_RULES", "GROUPED", "KINDS", "LIMITS_ONLY", "LOOK_AT", "RULES", "WATCHED", "ChartConstants", "ControlChart", "FrozenLimits",
    "Kind", "Part", "Rule", "RunLength", "Series", "Signal", "Watched", "as_toml", "average_run_length", "baseline_points", "chart_constants",
    "control_chart", "interval_for_run_length", "limits_from", "limits_from_toml", "read_limits", "read_series", "save_limits", "series",
    "series_from_text", "width_for_run_length",
]  # fmt: skip
