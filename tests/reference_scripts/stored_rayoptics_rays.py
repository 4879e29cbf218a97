"""Exact rays by the ray trace of rayoptics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

Its Euler angles turn the axes of the surface the other way round about x; the assertions below hold the signs against a tilted plane.
"""

from math import inf, isclose, radians, tan

import numpy as np
from heads import head
from opticalglass.opticalmedium import ConstantIndex
from ray_cases import RAYS, SYSTEMS, case, start
from rayoptics.elem.profiles import Conic, EvenPolynomial
from rayoptics.elem.surface import DecenterData
from rayoptics.optical.opticalmodel import OpticalModel
from rayoptics.raytr.raytrace import trace

print(head(__file__, "rayoptics", "Exact rays: stored results of rayoptics"))

TILT_X_SIGN, TILT_Y_SIGN = -1.0, -1.0


def model_of(s):
    model = OpticalModel()
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 5.0
    sequence.gaps[0].medium = ConstantIndex(s["n"][0], "in front")
    for i, radius in enumerate(s["radius"]):
        thickness = [*s["distance"], s["plane"]][i]
        sequence.add_surface([1 / radius, thickness, s["n"][i + 1]])
        surface = sequence.ifcs[i + 1]
        if s["aspheric"]:
            surface.profile = EvenPolynomial(c=1 / radius, cc=s["conic"][i], coefs=[0.0, *s["aspheric"][i]])
        else:
            surface.profile = Conic(c=1 / radius, cc=s["conic"][i])
        if s["move"]:
            x, y, a, b = s["move"][i]
            surface.decenter = DecenterData("dec and return", x=x, y=y, alpha=TILT_X_SIGN * a, beta=TILT_Y_SIGN * b)
    model.update_model()
    return sequence


def traced(s, height):
    point, direction = start(height, s["towards"])
    sequence = model_of(s)
    # places count from the object surface, 5 mm before the first vertex
    begin = np.array(point) + np.array([0.0, 0.0, 5.0])
    ray, _, _ = trace(sequence, begin, np.array(direction), sequence.wvlns[0], intersect_obj=False)
    path = sum(n * segment[2] for n, segment in zip(s["n"], ray[:-1], strict=True))
    place, ahead = ray[-1][0], ray[-1][1]  # in the axes of the plane, where no index changes; the one before would be in those of a tilted surface
    return {"x": place[0], "y": place[1], "L": ahead[0], "M": ahead[1], "path": path, "ray": ray}

plane = {**SYSTEMS["plano_back"], "radius": [inf], "distance": [], "n": [1.0, 1.0], "move": [[0.0, 0.0, 4.0, 0.0]], "plane": 10.0}
assert isclose(traced(plane, (0.0, 1.0))["ray"][0][2], 5.0 + tan(radians(4.0))), "a plane turned about x by +4° lies behind at y = 1"
plane["move"] = [[0.0, 0.0, 0.0, -3.0]]
assert isclose(traced(plane, (1.0, 0.0))["ray"][0][2], 5.0 + tan(radians(3.0))), "a plane turned about y by -3° lies behind at x = 1"

for name, s in SYSTEMS.items():
    chief = traced(s, (0.0, 0.0))["path"]
    for ray, height in RAYS.items():
        print(case("rayoptics", name, ray, traced(s, height), chief))
