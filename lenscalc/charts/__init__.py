"""Every chart once, for pages, notebooks and the report: functions of numbers that return altair charts."""

from lenscalc.charts.budget_bars import budget_bars
from lenscalc.charts.lens_drawing import lens_drawing
from lenscalc.charts.power_against_index import power_against_index
from lenscalc.charts.ranking import rank_bars
from lenscalc.charts.save import save_chart

__all__ = ["budget_bars", "lens_drawing", "power_against_index", "rank_bars", "save_chart"]
