"""Fresnel's reflectances by optiland 0.6.3 (`pip install optiland==0.6.3`), printed as TOML.

Taken from here and not from prysm 0.21, whose coefficient for s-polarised light divides by n1 where the equation has n0.
"""

import numpy as np
from heads import head
from optiland.jones import JonesFresnel
from optiland.materials import IdealMaterial
from optiland.rays import RealRays

print(head(__file__, "optiland", "Fresnel: stored results of optiland"))

ray = RealRays(0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 0.54607)
for n1, n2 in ((1.0, 1.5), (1.336, 1.49), (1.49, 1.336), (1.336, 1.55)):
    for angle in (0.0, 30.0, 60.0):
        matrix = JonesFresnel(IdealMaterial(n1), IdealMaterial(n2)).calculate_matrix(ray, reflect=True, aoi=np.array([np.radians(angle)]))
        s, p = abs(matrix[0, 0, 0]) ** 2, abs(matrix[0, 1, 1]) ** 2
        name = f"optiland_fresnel_{n1}_{n2}_{angle:.0f}".replace(".", "p")
        print(f"""
[[case]]
name = "{name}"
source = "optiland"
where = "JonesFresnel"
function = "fresnel"
inputs = {{ n1 = {n1}, n2 = {n2}, angle_deg = {angle} }}
expected = {{ reflectance_s = "{s:.10f}", reflectance_p = "{p:.10f}", reflectance = "{(s + p) / 2:.10f}" }}""")

# the field of a critical-angle instrument, prism 1.49, specimen 1.336 (border at 63.7°): what the face reflects, and the rest
for angle in (30.0, 60.0):
    matrix = JonesFresnel(IdealMaterial(1.49), IdealMaterial(1.336)).calculate_matrix(ray, reflect=True, aoi=np.array([np.radians(angle)]))
    reflected = (abs(matrix[0, 0, 0]) ** 2 + abs(matrix[0, 1, 1]) ** 2) / 2
    for light, brightness in (("reflected", reflected), ("through", 1 - reflected)):
        print(f"""
[[case]]
name = "optiland_border_{light}_{angle:.0f}"
source = "optiland"
where = "JonesFresnel, unpolarised; what is not reflected goes through"
function = "border_brightness"
inputs = {{ n_reading = 1.336, n_prism = 1.49, angle_deg = {angle}, light = "{light}" }}
expected = {{ brightness = "{brightness:.10f}" }}""")


def normal(n1, n2):
    return float(abs(JonesFresnel(IdealMaterial(n1), IdealMaterial(n2)).calculate_matrix(ray, reflect=True, aoi=np.array([0.0]))[0, 0, 0]) ** 2)


for before, n, behind in ((1.336, 1.43, 1.336), (1.336, 1.55, 1.336), (1.0, 1.49, 1.336)):
    front, back = normal(before, n), normal(n, behind)
    twice = (1 - front) * back * front * (1 - back)
    name = f"optiland_reflection_{before}_{n}_{behind}".replace(".", "p")
    print(f"""
[[case]]
name = "{name}"
source = "optiland"
where = "JonesFresnel at normal incidence; the double reflection is the product of its four parts"
function = "reflection"
inputs = {{ n_lens = {n}, n_medium = {before}, n_medium_behind = {behind} }}
expected = {{ front_reflectance = "{front:.10f}", back_reflectance = "{back:.10f}", double_reflectance = "{twice:.13f}" }}""")
