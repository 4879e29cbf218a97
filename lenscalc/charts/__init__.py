"""Every chart once, for pages, notebooks and the report: functions of numbers that return altair charts."""

from lenscalc.charts.budget_bars import budget_bars
from lenscalc.charts.lens_drawing import lens_drawing
from lenscalc.charts.lens_with_rays import lens_with_rays
from lenscalc.charts.mtf_curve import mtf_curve
from lenscalc.charts.point_spread_picture import point_spread_picture
from lenscalc.charts.power_against_index import power_against_index
from lenscalc.charts.through_focus import through_focus

__all__ = ["budget_bars", "lens_drawing", "lens_with_rays", "mtf_curve", "point_spread_picture", "power_against_index", "through_focus"]
