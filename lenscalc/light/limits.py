"""What this room's quantities may be."""

from __future__ import annotations

from lenscalc.quantities import Quantity, quantity

_METRES = ((1000.0, "is it in metres? write it in mm"),)
_POINT = ((0.1, "is the decimal point one place off?"), (0.01, "is the decimal point two places off?"))

RADIUS = Quantity(
    "radius_mm", "R", "mm", "radius", "radius of curvature at the vertex; positive when its centre lies behind the surface; inf for plano",
    0.1, 1e7, usual_lower=4.0, by_magnitude=True, infinite=True, mistakes=_METRES,
)  # fmt: skip
CONIC = Quantity("conic", "k", "", "conic constant", "0 sphere, -1 paraboloid, below -1 hyperboloid", -1000.0, 1000.0)
INDEX = Quantity("indices", "n", "", "index", "refractive index of a medium, relative to air", 1.0, 3.0, 1.0, 1.8, mistakes=_POINT)
DISTANCE = Quantity("distances_mm", "d", "mm", "distance", "along the axis to the next vertex", 0.0, 1e4)
SHIFT = Quantity("shift_mm", "s", "mm", "shift", "of a vertex from where it belongs", -100.0, 100.0)
TILT = Quantity("tilt_deg", "τ", "°", "tilt", "of a surface about an axis through its vertex", -60.0, 60.0)
VERGENCE = quantity("vergence_D")
OBJECT_DISTANCE = Quantity(
    "object_distance_mm", "s", "mm", "object distance", "from the object to the first vertex, along the light; inf for an object at infinity",
    0.01, 1e12, infinite=True,
)  # fmt: skip
PUPIL, WAVELENGTH, FREQUENCY = quantity("pupil_diameter_mm"), quantity("wavelength_nm"), quantity("frequency_per_mm")
ADDED_WAVEFRONT = Quantity("added_zernike_um", "c", "µm", "added wavefront", "a Zernike coefficient over the beam", -100.0, 100.0)
HEIGHT = Quantity("height_mm", "h", "mm", "height", "of a ray above the axis", -1e4, 1e4)
FOCUS = Quantity(
    "focus", "δ", "mm", "focus", "of a plane from the paraxial focus, along the light; a weak lens has its planes kilometres apart", -1e12, 1e12
)
COSINE = Quantity("direction", "", "", "direction", "component of a direction along an axis", -1e9, 1e9)
AZIMUTH = Quantity("azimuth_deg", "φ", "°", "azimuth", "of lines across an image, from x towards y", -360.0, 360.0)
ANGLE = Quantity("angle_deg", "θ", "°", "angle of incidence", "between the ray and the normal", 0.0, 90.0)
