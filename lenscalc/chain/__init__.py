"""The whole chain as one vectorised function; a single case is a column of one."""

from lenscalc.chain.evaluate import Evaluation, evaluate
from lenscalc.chain.follow import Followed, back_focus_in_words, follow, follow_index, lens_in_words
from lenscalc.chain.improve_first import ImproveFirst, improve_first
from lenscalc.chain.radii_for_label import RadiiForLabel, radii_for_label, radius_in_words
from lenscalc.chain.table import INPUT_COLUMNS, as_text
from lenscalc.refractometer import CALIBRATION

__all__ = [
    "CALIBRATION", "INPUT_COLUMNS", "Evaluation", "Followed", "ImproveFirst", "RadiiForLabel", "as_text", "back_focus_in_words", "evaluate", "follow",
    "follow_index", "improve_first", "lens_in_words", "radii_for_label", "radius_in_words",
]  # fmt: skip
