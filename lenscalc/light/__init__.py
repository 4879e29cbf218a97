"""Surfaces and indices; no lens and no eye."""

from lenscalc.light.sag import Aspheric, aspheric_sag_mm, checked_terms, sag_mm, to_the
from lenscalc.light.snell import snell_deg
from lenscalc.light.vergence import vergence_downstream, vergence_upstream

__all__ = ["Aspheric", "aspheric_sag_mm", "checked_terms", "sag_mm", "snell_deg", "to_the", "vergence_downstream", "vergence_upstream"]
