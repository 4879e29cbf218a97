"""Lenses backwards, between two media, and in third order, by ray-optics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

The library is given a lens and traces it paraxially or sums its Seidel terms. A re-cut and an index found backwards must give its dimensions again.
"""

from math import inf, log10

from heads import head
from opticalglass.opticalmedium import ConstantIndex
from rayoptics.elem.profiles import Conic
from rayoptics.optical.opticalmodel import OpticalModel
from rayoptics.parax.thirdorder import compute_third_order
from rayoptics.raytr.opticalspec import FieldSpec, PupilSpec, WvlSpec

LENSES = {  # front radius, back radius, thickness (mm), n of the lens, of the medium on both sides; what a re-cut holds
    "biconvex": (15.0, -15.0, 0.9, 1.49, 1.336, {}),
    "biconvex_in_air": (15.0, -15.0, 0.9, 1.49, 1.0, {}),
    "five_mm_thick": (11.0, -14.0, 5.0, 1.41, 1.336, {"front_radius_mm": 11.0}),
    "meniscus": (-22.0, -10.0, 0.55, 1.51, 1.336, {"back_radius_mm": -10.0}),
    "unequal": (12.0, -24.0, 1.0, 1.49, 1.336, {"curvature_ratio": -0.5}),
    "biconcave": (-20.0, 20.0, 0.4, 1.55, 1.336, {"shape_factor": 0.0}),
    "plano_back": (12.0, inf, 0.8, 1.46, 1.336, {"shape_factor": 1.0}),
}
BENCHES = {  # front radius, back radius, thickness, n on the bench, medium there, n in the eye; the lens grown by a factor in the eye
    "from_air": (15.0, -15.0, 0.9, 1.4915, 1.0, 1.49, 1.0),
    "from_saline_grown": (11.0, -14.0, 1.1, 1.4620, 1.3346, 1.4581, 1.0008),
}
THIRD_ORDER = {  # front radius, back radius, thickness, n, medium, pupil, conics
    "biconvex": (15.0, -15.0, 0.9, 1.49, 1.336, 3.0, (0.0, 0.0)),
    "biconvex_in_air": (15.0, -15.0, 0.9, 1.49, 1.0, 3.0, (0.0, 0.0)),
    "front_asphere": (12.0, -24.0, 1.0, 1.49, 1.336, 4.0, (-3.5, 0.0)),
    "both_aspheres": (-22.0, -10.0, 0.8, 1.51, 1.336, 4.5, (2.0, -1.25)),
}
N_D, ABBE_D, N_E = 1.490595, 58.0, 1.4915  # a dispersion n = A + B/L² and the index at 546.07 nm to which it is moved
LINES = {"C": 0.6562725, "e": 0.546074, "F": 0.4861327, "d": 0.5875618}
BENDING = {"glass_in_air": (1.5, 1.0), "flint_in_air": (1.7, 1.0), "polymer_in_aqueous": (1.49, 1.336)}


def built(R1, R2, t, n, m, pupil_mm=3.0, conics=(0.0, 0.0)):
    """Two surfaces in a medium, the stop on the first, the object at infinity."""
    model = OpticalModel()
    spec = model["optical_spec"]
    spec["pupil"] = PupilSpec(spec, key=("object", "epd"), value=pupil_mm)
    spec["fov"] = FieldSpec(spec, key=("object", "angle"), value=0.0, flds=[0.0])
    spec["wvls"] = WvlSpec([(546.07, 1.0)], ref_wl=0)
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 1e10
    sequence.gaps[0].medium = ConstantIndex(m, "in front")
    for radius, thickness, index, conic in ((R1, t, n, conics[0]), (R2, 60.0, m, conics[1])):
        sequence.add_surface([1 / radius, thickness, index])
        if conic:
            sequence.ifcs[sequence.cur_surface].profile = Conic(c=1 / radius, cc=conic)
    sequence.stop_surface = 1
    model.update_model()
    return model


def first_order(*lens):
    """First-order data, lengths in mm, power in 1/mm."""
    return built(*lens)["analysis_results"]["parax_data"].fod


def seidel(*lens):
    """S-I of the whole lens in mm, and the last slope of the marginal ray."""
    model = built(*lens)
    axial = model["analysis_results"]["parax_data"].ax_ray
    return float(compute_third_order(model).loc["sum", "S-I"]), float(axial[2][1])


def best_bending(n, m):
    """The shape factor at which S-I of a lens of 10 D, 1 nm thick, is least: the vertex of the parabola through three of them."""
    total = 10.0 / (1000 * (n - m))

    def at(shape):
        R1, R2 = 2 / (total * (1 + shape)), 2 / (total * (shape - 1))
        return seidel(R1, R2, 1e-6, n, m)[0]

    low, middle, high = at(-0.5), at(0.25), at(1.5)
    a = ((high - middle) / 1.25 - (middle - low) / 0.75) / 2.0
    return 0.25 - ((middle - low) / 0.75 + 0.75 * a) / (2.0 * a)


def polymer(L):
    """Index of the polymer, L in micrometres."""
    B = (N_D - 1) / ABBE_D / (LINES["F"] ** -2 - LINES["C"] ** -2)
    return N_E + B * (L**-2 - 0.54607**-2)


def aqueous(L):
    """Atchison & Smith's curve as open programs print it, moved to 1.336 at 546.07 nm."""

    def curve(nm):
        return 6.070796e3 / nm**2 - 7.062305e8 / nm**4 + 6.147861e13 / nm**6

    return 1.336 + curve(1000 * L) - curve(546.07)


def printed(function, name, inputs, expected, where, more=""):
    """One case."""
    given = ", ".join(f"{key} = {value}" if not isinstance(value, str) else f'{key} = "{value}"' for key, value in inputs.items())
    print(f"""
[[case]]
name = "rayoptics_{name}"
source = "rayoptics"
where = "{where}"
function = "{function}"
inputs = {{ {given} }}
expected = {{ {", ".join(f'{key} = "{value}"' for key, value in expected.items())} }}{more}""")


def digits(value, count=10):
    """A number to so many significant digits."""
    return f"{value:.{count - 1 - int(log10(abs(value)) // 1)}f}"


print(head(__file__, "rayoptics", "Lenses backwards, between two media, in third order: stored results of rayoptics"))
for name, (R1, R2, t, n, m, held) in LENSES.items():
    fod = first_order(R1, R2, t, n, m)
    power = 1000 * fod.power
    dimensions = {"center_thickness_mm": t, "n_medium": m}
    wanted = {key: f"{R:.8f}" for key, R in (("front_radius_mm", R1), ("back_radius_mm", R2)) if abs(R) != inf}
    printed("recut", f"recut_{name}", {"power_D": power, "n_lens": n, **dimensions, **held}, wanted, "first-order power of a lens of these radii")
    radii = {"front_radius_mm": R1, "back_radius_mm": R2}
    printed("index_from_power", f"index_{name}", {"power_D": power, **radii, **dimensions}, {"n_lens": f"{n:.9f}"}, "first-order power of this index")
    bench = {"best_focus_mm": float(fod.bfl) - 0.2, "best_focus_shift_mm": -0.2, "focus_criterion": "marginal", "front_radius_mm": R1}
    printed(
        "power_from_back_focal_length", f"back_focus_{name}", {**bench, "n_lens": n, **dimensions},
        {"power_D": digits(power), "equivalent_focal_length_mm": digits(1000 * m / power)},
        "first-order power and back focal length; a shift put in",
    )  # fmt: skip
for name, (R1, R2, t, n_bench, m_bench, n_eye, grown) in BENCHES.items():
    there = 1000 * first_order(R1, R2, t, n_bench, m_bench).power
    here = 1000 * first_order(R1 * grown, R2 * grown, t * grown, n_eye, 1.336).power
    inputs = {
        "power_D": there, "front_radius_mm": R1, "back_radius_mm": R2, "center_thickness_mm": t, "n_lens_bench": n_bench, "n_medium_bench": m_bench,
        "n_lens_eye": n_eye, "growth": grown,
    }  # fmt: skip
    printed("in_another_condition", f"condition_{name}", inputs, {"power_D": digits(here)}, "first-order powers in both conditions")
for name, (R1, R2, t, n, m, pupil, conics) in THIRD_ORDER.items():
    S, slope = seidel(R1, R2, t, n, m, pupil, conics)
    dimensions = {"front_radius_mm": R1, "back_radius_mm": R2, "center_thickness_mm": t, "n_lens": n, "n_medium": m, "pupil_diameter_mm": pupil}
    inputs = {**dimensions, "front_conic": conics[0], "back_conic": conics[1]}
    expected = {"wavefront_w040_um": digits(1000 * S / 8, 6), "longitudinal_spherical_aberration_mm": digits(-S / (2 * m * slope * slope), 6)}
    printed("third_order_aberration", f"seidel_{name}", inputs, expected, "third-order sum S-I, and the marginal slope")
    if conics[0]:
        inputs = {**dimensions, "surface": "front", "other_conic": conics[1], "zernike_4_0_um": 1000 * S / 8 / (6 * 5**0.5)}
        printed("conic_for_aberration", f"conic_{name}", inputs, {"conic": f"{conics[0]:.6f}"}, "third-order sum S-I of this lens")
for name, (n, m) in BENDING.items():
    printed(
        "least_aberration_shape_factor", f"bending_{name}", {"n_lens": n, "n_medium": m}, {"shape_factor": f"{best_bending(n, m):.5f}"},
        "least third-order sum S-I over the bending of a lens 1 nm thick",
    )  # fmt: skip
R1, R2, t = 15.0, -13.0, 0.9
inputs = {"front_radius_mm": R1, "back_radius_mm": R2, "center_thickness_mm": t, "n_d": N_D, "abbe_d": ABBE_D, "n_lens": N_E}
at_lines = {line: first_order(R1, R2, t, polymer(LINES[line]), aqueous(LINES[line])) for line in ("C", "e", "F")}
expected = {f"power_{line}_D": digits(1000 * fod.power) for line, fod in at_lines.items()}
expected |= {f"back_focal_length_{line}_mm": digits(float(fod.bfl)) for line, fod in at_lines.items()}
printed("chromatic_focus", "chromatic_focus", inputs, expected, "first-order data with the indices of each line")
