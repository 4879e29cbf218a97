"""Surfaces and indices; no lens and no eye."""

from lenscalc.light.sag import sag_mm
from lenscalc.light.snell import snell_deg
from lenscalc.light.surface import Surface, System, moved
from lenscalc.light.trace import Fate, Traced, trace, trace_rays
from lenscalc.light.vergence import vergence_downstream, vergence_upstream

__all__ = [
    "Fate", "Surface", "System", "Traced", "moved", "sag_mm", "snell_deg", "trace", "trace_rays", "vergence_downstream", "vergence_upstream",
]  # fmt: skip
