"""Surfaces and indices; no lens and no eye."""

from lenscalc.light.beam import Beam
from lenscalc.light.diffraction import cut_off_per_mm, diffraction_mtf
from lenscalc.light.focus import best_focus, defocus_D, longitudinal_spherical_aberration_mm, spot
from lenscalc.light.fresnel import Fresnel, double_reflectance, fresnel, normal_reflectance
from lenscalc.light.mtf import Mtf, mtf, through_focus_mtf
from lenscalc.light.paraxial import ParaxialImage, paraxial_image
from lenscalc.light.point_spread import PointSpread, point_spread
from lenscalc.light.ray_columns import Fate
from lenscalc.light.sag import Aspheric, aspheric_sag_mm, checked_terms, sag_mm, to_the
from lenscalc.light.seidel import Seidel, seidel_sums
from lenscalc.light.snell import snell_deg
from lenscalc.light.spot_plane import Focus
from lenscalc.light.surface import Surface, System, moved
from lenscalc.light.trace import Traced, trace, trace_rays
from lenscalc.light.vergence import vergence_downstream, vergence_upstream
from lenscalc.light.wavefront import Zernikes, strehl_ratio, wavefront_um, zernike_coefficients
from lenscalc.light.zernike import zernike, zernike_index, zernike_orders

__all__ = [
    "Aspheric", "Beam", "Fate", "Focus", "Fresnel", "Mtf", "ParaxialImage", "PointSpread", "Seidel", "Surface", "System", "Traced", "Zernikes",
    "aspheric_sag_mm", "best_focus", "checked_terms", "cut_off_per_mm", "defocus_D", "diffraction_mtf", "double_reflectance", "fresnel",
    "longitudinal_spherical_aberration_mm", "moved", "mtf", "normal_reflectance", "paraxial_image", "point_spread", "sag_mm", "seidel_sums",
    "snell_deg", "spot", "strehl_ratio", "through_focus_mtf", "to_the", "trace", "trace_rays", "vergence_downstream", "vergence_upstream",
    "wavefront_um", "zernike", "zernike_coefficients", "zernike_index", "zernike_orders",
]  # fmt: skip
