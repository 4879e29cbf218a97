"""Sags of even aspheres and biconic surfaces by optiland 0.6.3 (`pip install optiland==0.6.3`), printed as TOML.

In the principal meridians alone: between them the library adds the sags of the two profiles, which for equal radii is not a sphere.
"""

from math import cos, inf, radians, sin

from heads import head
from optiland.coordinate_system import CoordinateSystem
from optiland.geometries import BiconicGeometry, EvenAsphere

ASPHERES = {  # radius, conic, terms by power, height
    "sphere": (15.0, 0.0, {}, 3.0),
    "paraboloid": (-9.0, -1.0, {}, 2.5),
    "hyperboloid_with_terms": (12.0, -3.5, {4: 2e-4, 6: -3e-6}, 3.0),
    "oblate_with_terms": (-10.0, 1.7, {4: -5e-5, 8: 1e-7}, 2.75),
}
TORIC = {  # front radius, across it, back radius, across it, centre thickness, diameter, meridian
    "toric_back": (15.0, 15.0, -15.0, -12.0, 0.9, 6.0, 90.0),
    "toric_front": (11.0, 14.0, inf, inf, 1.0, 6.0, 0.0),
    "both_toric": (11.0, 14.0, -20.0, -17.0, 1.0, 6.0, 90.0),
}


def asphere(R, k, terms, h):
    """The library's coefficients start at the square of the height."""
    coefficients = [0.0] + [terms.get(power, 0.0) for power in (4, 6, 8)]
    return float(EvenAsphere(CoordinateSystem(), radius=R, conic=k, coefficients=coefficients).sag(h, 0.0))


def biconic(along, across, h, meridian):
    """Height h in a meridian counted from the first radius."""
    if along == across == inf:
        return 0.0
    surface = BiconicGeometry(CoordinateSystem(), radius_x=along, radius_y=across)
    return float(surface.sag(h * cos(radians(meridian)), h * sin(radians(meridian))))


print(head(__file__, "optiland", "Surfaces: stored results of optiland"))
for name, (R, k, terms, h) in ASPHERES.items():
    more = ", aspheric = { " + ", ".join(f'"{power}" = {a}' for power, a in terms.items()) + " }" if terms else ""
    print(f"""
[[case]]
name = "optiland_asphere_{name}"
source = "optiland"
where = "EvenAsphere.sag"
function = "aspheric_sag"
inputs = {{ radius_mm = {R}, conic = {k}, height_mm = {h}{more} }}
expected = {{ sag_mm = "{asphere(R, k, terms, h):.12f}" }}""")
for name, (R1, across1, R2, across2, t, D, meridian) in TORIC.items():
    edge = t - biconic(R1, across1, D / 2, meridian) + biconic(R2, across2, D / 2, meridian)
    print(f"""
[[case]]
name = "optiland_edge_{name}"
source = "optiland"
where = "BiconicGeometry.sag at the rim"
function = "toric_edge_thickness"
inputs = {{ front_radius_mm = {R1}, front_radius_across_mm = {across1}, back_radius_mm = {R2}, back_radius_across_mm = {across2}, \
center_thickness_mm = {t}, optic_diameter_mm = {D}, meridian_deg = {meridian} }}
expected = {{ edge_thickness_mm = "{edge:.12f}" }}""")
