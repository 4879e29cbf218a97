"""The lens: powers, sensitivities, geometry, re-cut, bench, toric, chromatic focus."""

from lenscalc.lens.bench import (
    BenchPower,
    Condition,
    InAnotherCondition,
    in_another_condition,
    power_from_back_focal_length,
    power_from_magnification,
)
from lenscalc.lens.chromatic_focus import ChromaticFocus, chromatic_difference_D, chromatic_focus
from lenscalc.lens.dimension import Dimension, dimension_in_use
from lenscalc.lens.geometry import center_thickness_for_edge_mm, edge_thickness_mm, mass_mg, volume_mm3, volume_of, why_not
from lenscalc.lens.index_from_power import index_from_power
from lenscalc.lens.ladder import Ladder, ladder
from lenscalc.lens.moved_index import MovedIndex, image_with_moved_index
from lenscalc.lens.recut import Recut, recut
from lenscalc.lens.recut_uncertainty import RecutEstimates, recut_estimates
from lenscalc.lens.reflection import Reflection, reflection
from lenscalc.lens.retool import Retool, retool
from lenscalc.lens.scope import refuse_other_kinds
from lenscalc.lens.sensitivity import Sensitivities, one_medium, power_sensitivity, sensitivities_of
from lenscalc.lens.shape import LeastAberration, conic_for_exact_aberration, least_aberration_shape
from lenscalc.lens.thick_lens import Powers, powers_of, thick_lens
from lenscalc.lens.third_order import ThirdOrder, conic_for_aberration, least_aberration_shape_factor, third_order_aberration
from lenscalc.lens.toric import (
    PowerVector,
    SphereCylinder,
    ToricPowers,
    meridional_sag_mm,
    power_vector,
    rotation_residual,
    sphere_cylinder,
    toric_edge_thickness_mm,
    toric_lens,
    turned,
)
from lenscalc.lens.toric_uncertainty import ToricEstimates, toric_estimates

__all__ = [
    "BenchPower", "ChromaticFocus", "Condition", "Dimension", "InAnotherCondition", "Ladder", "LeastAberration", "MovedIndex", "PowerVector",
    "Powers", "Recut", "RecutEstimates", "Reflection", "Retool", "Sensitivities", "SphereCylinder", "ThirdOrder", "ToricEstimates", "ToricPowers",
    "center_thickness_for_edge_mm", "chromatic_difference_D", "chromatic_focus", "conic_for_aberration", "conic_for_exact_aberration",
    "dimension_in_use", "edge_thickness_mm", "image_with_moved_index", "in_another_condition", "index_from_power", "ladder",
    "least_aberration_shape", "least_aberration_shape_factor", "mass_mg", "meridional_sag_mm", "one_medium", "power_from_back_focal_length",
    "power_from_magnification", "power_sensitivity", "power_vector", "powers_of", "recut", "recut_estimates", "reflection", "refuse_other_kinds",
    "retool", "rotation_residual", "sensitivities_of", "sphere_cylinder", "thick_lens", "third_order_aberration", "toric_edge_thickness_mm",
    "toric_estimates", "toric_lens", "turned", "volume_mm3", "volume_of", "why_not",
]  # fmt: skip
