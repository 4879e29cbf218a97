"""Surfaces and indices; no lens and no eye."""

from lenscalc.light.sag import sag_mm
from lenscalc.light.vergence import vergence_downstream, vergence_upstream

__all__ = ["sag_mm", "vergence_downstream", "vergence_upstream"]
