"""What the eye makes of a power; schematic eyes only."""

from lenscalc.eye.change import (
    EyeSensitivities,
    RefractionChange,
    eye_sensitivities,
    index_error_behind,
    largest_u_n_lens_for,
    refraction_change,
    refraction_of_index_error,
    refraction_slope,
)
from lenscalc.eye.implanted import Implanted, implant_path, implanted, planes_with_implant, thin_implanted
from lenscalc.eye.light_path import (
    CardinalPoints,
    LightPath,
    Plane,
    RayTransfer,
    cardinal_points_of,
    focus_of,
    light_path_of,
    ray_transfer_of,
    refraction_by_matrix,
)
from lenscalc.eye.published_eye import PublishedEye, published_eye, published_eyes
from lenscalc.eye.refraction import Refraction, comes_from_in_front, refraction, refraction_of, refraction_shift_D
from lenscalc.eye.schematic import TEACHING_EYE, SchematicEye, in_words

__all__ = [
    "TEACHING_EYE", "CardinalPoints", "EyeSensitivities", "Implanted", "LightPath", "Plane", "PublishedEye", "RayTransfer", "Refraction",
    "RefractionChange", "SchematicEye", "cardinal_points_of", "comes_from_in_front", "eye_sensitivities", "focus_of", "implant_path", "implanted",
    "in_words", "index_error_behind", "largest_u_n_lens_for", "light_path_of", "planes_with_implant", "published_eye", "published_eyes",
    "ray_transfer_of", "refraction", "refraction_by_matrix", "refraction_change", "refraction_of", "refraction_of_index_error",
    "refraction_shift_D", "refraction_slope", "thin_implanted",
]  # fmt: skip
