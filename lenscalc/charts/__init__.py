"""Every chart once, for pages, notebooks and the report: functions of numbers that return altair charts."""

from lenscalc.charts.budget_bars import budget_bars
from lenscalc.charts.lens_drawing import lens_drawing
from lenscalc.charts.light_path_drawing import light_path_drawing
from lenscalc.charts.power_against_index import power_against_index
from lenscalc.charts.proportion_bars import proportion_bars

__all__ = ["budget_bars", "lens_drawing", "light_path_drawing", "power_against_index", "proportion_bars"]
