"""Conics and bendings of least spherical aberration by rayoptics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

The library is given one lens after the other and traces its marginal ray; the conic constant is bisected until that ray crosses the axis where the
paraxial one does. The best bending is the vertex of the parabola through three third-order sums S-I of a thick lens whose power is held: at a
pupil of 0.2 mm exact rays come within 1e-5 of it (the next order goes with the square of the pupil).
"""

from heads import head
from opticalglass.opticalmedium import ConstantIndex
from rayoptics.elem.profiles import Conic
from rayoptics.optical.opticalmodel import OpticalModel
from rayoptics.parax.thirdorder import compute_third_order
from rayoptics.raytr.opticalspec import FieldSpec, PupilSpec, WvlSpec
from rayoptics.raytr.trace import trace_base

print(head(__file__, "rayoptics", "The shape for a wanted aberration: stored results of rayoptics"))

FAR = 1e10
CONICS = {  # front radius, back radius, thickness, n, medium, pupil, figured surface, conic of the other, object distance
    "front_in_aqueous": (15.0, -15.0, 0.9, 1.49, 1.336, 5.0, 0, 0.0, FAR),
    "back_in_aqueous": (12.0, -24.0, 1.0, 1.49, 1.336, 4.0, 1, -0.5, FAR),
    "front_in_air": (15.0, -15.0, 0.9, 1.49, 1.0, 6.0, 0, 0.0, FAR),
    "back_in_air_near_object": (15.0, -13.0, 0.9, 1.46, 1.0, 5.0, 1, 0.0, 100.0),
}
BENDINGS = {  # power, n, medium, thickness
    "in_aqueous": (20.0, 1.49, 1.336, 0.9),
    "low_index": (20.0, 1.43, 1.336, 1.1),
    "in_air": (40.0, 1.5, 1.0, 1.0),
}


def model_of(radii, conics, t, n, m, pupil, distance=FAR):
    model = OpticalModel()
    spec, sequence = model["optical_spec"], model["seq_model"]
    spec["pupil"] = PupilSpec(spec, key=("object", "epd"), value=pupil)
    spec["fov"] = FieldSpec(spec, key=("object", "angle" if distance == FAR else "height"), value=0.0, flds=[0.0])
    spec["wvls"] = WvlSpec([(546.07, 1.0)], ref_wl=0)
    sequence.do_apertures = False
    sequence.gaps[0].thi = distance
    sequence.gaps[0].medium = ConstantIndex(m, "in front")
    for radius, conic, gap, index in zip(radii, conics, (t, 60.0), (n, m), strict=True):
        sequence.add_surface([1 / radius, gap, index])
        sequence.ifcs[sequence.cur_surface].profile = Conic(c=1 / radius, cc=conic)
    sequence.stop_surface = 1
    model.update_model()
    return model


def marginal_less_paraxial(radii, conics, t, n, m, pupil, distance):
    """Where the rim's ray crosses the axis, less the paraxial focus, behind the last vertex [mm]."""
    model = model_of(radii, conics, t, n, m, pupil, distance)
    ray, _, _ = trace_base(model, [0.0, 1.0], model["optical_spec"]["fov"].fields[0], 546.07)
    point, direction = ray[2][0], ray[2][1]
    axial = model["analysis_results"]["parax_data"].ax_ray
    return point[2] - point[1] * direction[2] / direction[1] + axial[2][0] / axial[2][1]


def nulling_conic(radii, t, n, m, pupil, which, other, distance):
    def at(k):
        return marginal_less_paraxial(radii, (k, other) if which == 0 else (other, k), t, n, m, pupil, distance)

    low, high = -20.0, 3.0
    rises = at(high) > at(low)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if (at(middle) < 0) == rises else (low, middle)
    return (low + high) / 2


def front_curvature(power, n, m, t, X):
    """c of the front surface, the back one c·(X − 1)/(X + 1), by bisection of the library's own power."""
    low, high = 0.2 * power / (1000 * (n - m)), 1.5 * power / (1000 * (n - m))
    for _ in range(60):
        c = (low + high) / 2
        model = model_of((1 / c, (X + 1) / (c * (X - 1))), (0.0, 0.0), t, n, m, 0.2)
        # in 1/mm per index of the image
        low, high = (c, high) if 1000 * model["analysis_results"]["parax_data"].fod.power < power else (low, c)
    return (low + high) / 2


def best_bending(power, n, m, t):
    def at(X):
        c = front_curvature(power, n, m, t, X)
        model = model_of((1 / c, (X + 1) / (c * (X - 1))), (0.0, 0.0), t, n, m, 0.2)
        return float(compute_third_order(model).loc["sum", "S-I"])

    X, h = 2 * ((n / m) ** 2 - 1) / (n / m + 2), 0.005
    for _ in range(3):
        low, middle, high = at(X - h), at(X), at(X + h)
        X -= h * (high - low) / (2 * (high - 2 * middle + low))
    return X


def case(name, function, inputs, expected, where):
    given = ", ".join(f'{k} = "{v}"' if isinstance(v, str) else f"{k} = {v}" for k, v in inputs.items())
    print(f"""
[[case]]
name = "rayoptics_{name}"
source = "rayoptics"
where = "{where}"
function = "{function}"
inputs = {{ {given} }}
expected = {{ {", ".join(f'{k} = "{v}"' for k, v in expected.items())} }}""")


for name, (R1, R2, t, n, m, pupil, which, other, distance) in CONICS.items():
    k = nulling_conic((R1, R2), t, n, m, pupil, which, other, distance)
    inputs = {
        "front_radius_mm": R1, "back_radius_mm": R2, "center_thickness_mm": t, "n_lens": n, "n_medium": m, "pupil_diameter_mm": pupil,
        "surface": ("front", "back")[which], "other_conic": other, "of": "marginal_ray",
        "vergence_D": 0.0 if distance == FAR else -1000 * m / distance,
    }  # fmt: skip
    case(f"nulling_conic_{name}", "conic_for_exact_aberration", inputs, {"conic": f"{k:.6f}"}, "marginal and paraxial ray, bisected")
for name, (power, n, m, t) in BENDINGS.items():
    inputs = {"power_D": power, "n_lens": n, "n_medium": m, "center_thickness_mm": t, "pupil_diameter_mm": 0.2}
    found = {"shape_factor": f"{best_bending(power, n, m, t):.4f}"}
    case(f"best_bending_{name}", "least_aberration_shape", inputs, found, "least third-order sum S-I")
