"""Exact rays by the ray trace of optiland 0.6.3 (`pip install optiland==0.6.3`), printed as TOML.

The image plane is given the medium behind: left out it is air, and the library refracts into it.
"""

from math import inf, isclose, radians, tan

from heads import head
from optiland.materials import IdealMaterial
from optiland.optic import Optic
from optiland.rays import RealRays
from ray_cases import RAYS, SYSTEMS, case, start

print(head(__file__, "optiland", "Exact rays: stored results of optiland"))


def model_of(s):
    lens = Optic()
    lens.surfaces.add(index=0, thickness=inf, material=IdealMaterial(s["n"][0]))
    for i, radius in enumerate(s["radius"]):
        x, y, a, b = s["move"][i] if s["move"] else (0.0, 0.0, 0.0, 0.0)
        z = sum(s["distance"][:i])
        shape = {"surface_type": "even_asphere", "coefficients": [0.0, *s["aspheric"][i]]} if s["aspheric"] else {}
        lens.surfaces.add(
            index=i + 1, radius=radius, conic=s["conic"][i], material=IdealMaterial(s["n"][i + 1]), is_stop=i == 0, x=x, y=y, z=z, rx=radians(a),
            ry=radians(b), **shape,
        )  # fmt: skip
    lens.surfaces.add(index=len(s["radius"]) + 1, z=sum(s["distance"]) + s["plane"], material=IdealMaterial(s["n"][-1]))
    lens.wavelengths.add(value=0.54607, is_primary=True)
    return lens


def traced(s, height):
    (x, y, z), (L, M, N) = start(height, s["towards"])
    lens = model_of(s)
    rays = RealRays(x, y, z, L, M, N, 1.0, 0.54607)
    surfaces = lens.surfaces
    for surface in list(surfaces.surfaces)[1:]:
        surface.trace(rays)
    found = {"x": rays.x, "y": rays.y, "L": rays.L, "M": rays.M, "path": rays.opd}
    return {**{k: float(v[0]) for k, v in found.items()}, "surfaces": surfaces}

plane = {**SYSTEMS["plano_back"], "radius": [inf], "distance": [], "n": [1.0, 1.0], "move": [[0.0, 0.0, 4.0, 0.0]], "plane": 10.0}
assert isclose(float(traced(plane, (0.0, 1.0))["surfaces"].z[0][0]), tan(radians(4.0))), "a plane turned about x by +4° lies behind at y = 1"
plane["move"] = [[0.0, 0.0, 0.0, -3.0]]
assert isclose(float(traced(plane, (1.0, 0.0))["surfaces"].z[0][0]), tan(radians(3.0))), "a plane turned about y by -3° lies behind at x = 1"

for name, s in SYSTEMS.items():
    chief = traced(s, (0.0, 0.0))["path"]
    for ray, height in RAYS.items():
        print(case("optiland", name, ray, traced(s, height), chief))
