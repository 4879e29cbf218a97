"""Every chart once, for pages, notebooks and the report: functions of numbers that return altair charts."""

from lenscalc.charts.budget_bars import budget_bars
from lenscalc.charts.control_chart import control_chart_drawing
from lenscalc.charts.drawing import Drawing
from lenscalc.charts.index_waterfall import index_waterfall
from lenscalc.charts.lens_drawing import lens_drawing
from lenscalc.charts.lens_with_rays import lens_with_rays
from lenscalc.charts.light_path_drawing import light_path_drawing
from lenscalc.charts.lot_history import lot_history
from lenscalc.charts.mtf_curve import mtf_curve
from lenscalc.charts.point_spread_picture import point_spread_picture
from lenscalc.charts.power_against_index import power_against_index
from lenscalc.charts.power_in_tolerance import power_in_tolerance
from lenscalc.charts.proportion_bars import proportion_bars
from lenscalc.charts.ranking import rank_bars
from lenscalc.charts.save import save_chart
from lenscalc.charts.through_focus import through_focus

__all__ = [
    "Drawing", "budget_bars", "control_chart_drawing", "index_waterfall", "lens_drawing", "lens_with_rays", "light_path_drawing", "lot_history",
    "mtf_curve", "point_spread_picture", "power_against_index", "power_in_tolerance", "proportion_bars", "rank_bars", "save_chart",
    "through_focus",
]  # fmt: skip
