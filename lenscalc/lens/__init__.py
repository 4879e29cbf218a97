"""The lens: powers, sensitivities, geometry."""

from lenscalc.lens.dimension import Dimension, dimension_in_use
from lenscalc.lens.geometry import edge_thickness_mm, why_not
from lenscalc.lens.sensitivity import Sensitivities, one_medium, power_sensitivity, sensitivities_of
from lenscalc.lens.thick_lens import Powers, powers_of, thick_lens

__all__ = [
    "Dimension", "Powers", "Sensitivities", "dimension_in_use", "edge_thickness_mm", "one_medium", "power_sensitivity", "powers_of",
    "sensitivities_of", "thick_lens", "why_not",
]  # fmt: skip
