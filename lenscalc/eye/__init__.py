"""What the eye makes of a power; schematic eyes only."""

from lenscalc.eye.refraction import Refraction, comes_from_in_front, refraction, refraction_of, refraction_shift_D
from lenscalc.eye.schematic import TEACHING_EYE, SchematicEye, in_words

__all__ = ["TEACHING_EYE", "Refraction", "SchematicEye", "comes_from_in_front", "in_words", "refraction", "refraction_of", "refraction_shift_D"]
