"""The systems and rays whose exact rays are stored, as the scripts of several libraries trace them and print them; plain data, no library.

A system: radii (mm), conic constants, the coefficients of h⁴ and h⁶ (or none), distances, indices, and for a surface out of its place
(shift x, shift y, tilt about x, tilt about y in degrees, right-handed), the distance of the plane behind the last vertex, and the point on the
axis that the beam runs towards (mm behind the first vertex, below 0 an object in front, inf from infinity). Rays by where they cross the plane of
the first vertex.
"""

from math import inf

SYSTEMS = {
    "biconvex_in_aqueous": {
        "radius": [15.0, -15.0], "conic": [0, 0], "aspheric": None, "distance": [0.9],
        "n": [1.336, 1.49, 1.336], "move": None, "plane": 60.0, "towards": inf,
    },
    "biconvex_in_air": {
        "radius": [15.0, -15.0], "conic": [0, 0], "aspheric": None, "distance": [0.9], "n": [1.0, 1.49, 1.0],
        "move": None, "plane": 15.0, "towards": inf,
    },
    "plano_back": {
        "radius": [12.0, inf], "conic": [0, 0], "aspheric": None, "distance": [0.8], "n": [1.336, 1.46, 1.336],
        "move": None, "plane": 100.0, "towards": inf,
    },
    "meniscus": {
        "radius": [-22.0, -10.0], "conic": [0, 0], "aspheric": None, "distance": [0.55], "n": [1.336, 1.51, 1.336],
        "move": None, "plane": 80.0, "towards": inf,
    },
    "conics": {
        "radius": [12.0, -20.0], "conic": [-2.5, 1.3], "aspheric": None, "distance": [1.0], "n": [1.336, 1.46, 1.336],
        "move": None, "plane": 50.0, "towards": inf,
    },
    "paraboloid_in_converging_beam": {
        "radius": [18.0, -13.0], "conic": [-1.0, -4.0], "aspheric": None, "distance": [0.85], "n": [1.336, 1.48, 1.336],
        "move": None, "plane": 18.0, "towards": 27.5,
    },
    "object_at_a_distance": {
        "radius": [11.0, -14.0], "conic": [0, -0.7], "aspheric": None, "distance": [2.0], "n": [1.0, 1.55, 1.336],
        "move": None, "plane": 30.0, "towards": -200.0,
    },
    "asphere": {
        "radius": [14.0, -17.0], "conic": [-1.5, 0.4], "aspheric": [[-0.00025, 3e-06], [0.00012, -4e-06]], "distance": [0.9],
        "n": [1.336, 1.49, 1.336], "move": None, "plane": 55.0, "towards": inf,
    },
    "asphere_out_of_place": {
        "radius": [14.0, -17.0], "conic": [-1.5, 0.4], "aspheric": [[-0.00025, 3e-06], [0.00012, -4e-06]], "distance": [0.9],
        "n": [1.336, 1.49, 1.336], "move": [[0.1, 0.4, 4.0, 0.0], [-0.2, 0.3, 0.0, -3.0]], "plane": 55.0, "towards": 27.5,
    },
    "two_lenses": {
        "radius": [30.0, -25.0, 20.0, inf], "conic": [0, -0.5, 0.2, 0], "aspheric": None, "distance": [3.0, 1.5, 2.0],
        "n": [1.0, 1.52, 1.336, 1.62, 1.0], "move": None, "plane": 12.0, "towards": inf,
    },
}  # fmt: skip
RAYS = {"rim": (1.5, 0.0), "skew": (-0.8, 1.1)}


def start(height, towards):
    """Point and direction of a ray whose phase is that of all others: 5 mm before the first vertex, on the wavefront."""
    x, y = height
    if towards == inf:
        return (x, y, -5.0), (0.0, 0.0, 1.0)
    sign = 1.0 if towards > 0 else -1.0
    size = (x * x + y * y + towards * towards) ** 0.5
    direction = (-sign * x / size, -sign * y / size, sign * towards / size)
    back = sign * (abs(towards) + sign * 5.0)  # along the ray from the point of the beam to the sphere 5 mm before the vertex
    return tuple(c - back * d for c, d in zip((0.0, 0.0, towards), direction, strict=True)), direction


def case(library, name, ray, found, chief_path):
    """One stored case as TOML; lengths to 1e-9 mm, directions to 1e-11."""
    s, (x, y) = SYSTEMS[name], RAYS[ray]
    inputs = {
        "radius_mm": s["radius"], "conic": [float(k) for k in s["conic"]], "distances_mm": s["distance"], "indices": s["n"], "plane_mm": s["plane"],
        "x_mm": x, "y_mm": y,
    }  # fmt: skip
    if s["aspheric"]:
        inputs["aspheric_4_6"] = s["aspheric"]
    if s["move"]:
        inputs["moves"] = s["move"]
    if s["towards"] != inf:
        inputs["focus_mm"] = s["towards"]
    printed = {
        "x_mm": f"{found['x']:z.9f}", "y_mm": f"{found['y']:z.9f}", "direction_x": f"{found['L']:z.11f}", "direction_y": f"{found['M']:z.11f}",
        "path_difference_mm": f"{found['path'] - chief_path:z.9f}",
    }  # fmt: skip
    return f"""
[[case]]
name = "{library}_{name}_{ray}"
source = "{library}"
where = "real ray"
function = "trace"
inputs = {{ {", ".join(f"{k} = {v}" for k, v in inputs.items())} }}
expected = {{ {", ".join(f'{k} = "{v}"' for k, v in printed.items())} }}"""
