"""What the eye makes of a power; schematic eyes only."""

from lenscalc.eye.altered_implant import WhatIf, schematic_eyes, what_if
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
from lenscalc.eye.chromatic import ChromaticChange, ChromaticSpan, chromatic_change, chromatic_span, chromatic_span_change, media_shift
from lenscalc.eye.image_size import image_size_mm_per_radian, image_size_ratio
from lenscalc.eye.implant import Implanted, implant_path, implanted, planes_with_implant, thin_implanted
from lenscalc.eye.light_path import (
    CardinalPoints,
    FarLight,
    LightPath,
    Plane,
    RayTransfer,
    cardinal_points_of,
    far_light_of,
    focus_of,
    light_path_of,
    ray_transfer_of,
    refraction_by_matrix,
)
from lenscalc.eye.light_way import LightWay, Step, light_way
from lenscalc.eye.noticed import DEPTH_FROM, would_be_noticed
from lenscalc.eye.photopic import PHOTOPIC
from lenscalc.eye.proportion import InProportion, in_proportion
from lenscalc.eye.published import PublishedEye, published_eye, published_eyes
from lenscalc.eye.refraction import Refraction, comes_from_in_front, refraction, refraction_of, refraction_shift_D, shift_of
from lenscalc.eye.retinal_image import EyeMtf, eye_mtf, image_system
from lenscalc.eye.schematic import TEACHING_EYE, SchematicEye, in_words
from lenscalc.eye.surroundings import TemperatureChange, refraction_change_with_medium, refraction_change_with_temperature

__all__ = [
    "DEPTH_FROM", "PHOTOPIC", "TEACHING_EYE", "CardinalPoints", "ChromaticChange", "ChromaticSpan", "EyeMtf", "EyeSensitivities", "FarLight",
    "Implanted", "InProportion", "LightPath", "LightWay", "Plane", "PublishedEye", "RayTransfer", "Refraction", "RefractionChange",
    "SchematicEye", "Step", "TemperatureChange", "WhatIf", "cardinal_points_of", "chromatic_change", "chromatic_span", "chromatic_span_change",
    "comes_from_in_front", "eye_mtf", "eye_sensitivities", "far_light_of", "focus_of", "image_size_mm_per_radian", "image_size_ratio",
    "image_system", "implant_path", "implanted", "in_proportion", "in_words", "index_error_behind", "largest_u_n_lens_for", "light_path_of",
    "light_way", "media_shift", "planes_with_implant", "published_eye", "published_eyes", "ray_transfer_of", "refraction", "refraction_by_matrix",
    "refraction_change", "refraction_change_with_medium", "refraction_change_with_temperature", "refraction_of", "refraction_of_index_error",
    "refraction_shift_D", "refraction_slope", "schematic_eyes", "shift_of", "thin_implanted", "what_if", "would_be_noticed",
]  # fmt: skip
