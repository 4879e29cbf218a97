"""Surfaces and indices; no lens and no eye."""

from lenscalc.light.sag import sag_mm
from lenscalc.light.snell import snell_deg
from lenscalc.light.vergence import vergence_downstream, vergence_upstream

__all__ = ["sag_mm", "snell_deg", "vergence_downstream", "vergence_upstream"]
