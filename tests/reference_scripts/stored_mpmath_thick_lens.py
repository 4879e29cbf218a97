"""Thick lenses as ray-transfer matrices with mpmath 1.4.1 at 50 digits, derivatives by mp.diff, printed as TOML.

Matrices act on (height, index times slope); nothing here uses the closed formulas for power or for a derivative.
"""

from math import inf

from heads import head
from mpmath import diff, matrix, mp, mpf, nstr

mp.dps = 50

LENSES = {  # front radius, back radius, thickness (mm), n of the lens, of the medium in front, of the medium behind
    "biconvex_in_aqueous": (15.0, -15.0, 0.9, 1.49, 1.336, 1.336),
    "biconvex_in_air": (15.0, -15.0, 0.9, 1.49, 1.0, 1.0),
    "plano_back": (12.0, inf, 0.8, 1.46, 1.336, 1.336),
    "plano_front": (inf, -12.5, 0.7, 1.55, 1.336, 1.336),
    "positive_meniscus": (-22.0, -10.0, 0.55, 1.51, 1.336, 1.336),
    "negative_meniscus": (20.0, 9.5, 0.45, 1.47, 1.336, 1.336),
    "biconcave": (-25.0, 18.0, 0.35, 1.52, 1.336, 1.336),
    "five_mm_thick": (11.0, -14.0, 5.0, 1.41, 1.336, 1.336),
    "ball": (6.0, -6.0, 12.0, 1.5, 1.336, 1.336),
    "index_below_medium": (14.0, -17.0, 0.8, 1.3, 1.336, 1.336),
    "low_power": (150.0, -180.0, 0.6, 1.43, 1.336, 1.336),
    "high_power": (7.5, -8.5, 1.8, 1.6, 1.336, 1.336),
    "air_to_aqueous": (16.0, -13.0, 0.85, 1.48, 1.0, 1.336),
    "aqueous_to_air": (10.0, 14.0, 1.1, 1.5, 1.336, 1.0),
    "aqueous_to_vitreous": (18.0, -12.0, 1.0, 1.46, 1.3374, 1.336),
}
INPUTS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", "n_medium", "n_medium_behind")


def lens_matrix(front_radius, back_radius, thickness, n_lens, n_front, n_behind):
    """Multiply front surface, thickness and back surface, lengths in mm."""
    front = matrix([[1, 0], [-(n_lens - n_front) / front_radius, 1]])
    inside = matrix([[1, thickness / n_lens], [0, 1]])
    back = matrix([[1, 0], [-(n_behind - n_lens) / back_radius, 1]])
    return back * inside * front


def quantities(lens):
    """Follow one ray that is parallel in front of the lens, and one that is parallel behind it."""
    n_front, n_behind = lens[4:]
    through = lens_matrix(*lens)
    height, slope = through * matrix([1, 0])  # behind the lens, of the first ray
    height_back, slope_back = through**-1 * matrix([1, 0])  # in front of the lens, of the second
    bfl = -n_behind * height / slope
    ffl = -n_front * height_back / slope_back
    return {
        "power_D": -1000 * slope,
        "front_vertex_power_D": -1000 * n_front / ffl,
        "back_vertex_power_D": 1000 * n_behind / bfl,
        "back_focal_length_mm": bfl,
        "front_principal_plane_mm": n_front * (1 - height_back) / slope_back,
        "back_principal_plane_mm": n_behind * (1 - height) / slope,
    }


def derivatives(lens):
    """Differentiate the matrix power by every finite input; the one medium lies on both sides."""

    def power(front_radius, back_radius, thickness, n_lens, n_medium):
        return -1000 * lens_matrix(front_radius, back_radius, thickness, n_lens, n_medium, n_medium)[1, 0]

    finite = [k for k in range(5) if lens[k] != mp.inf]
    return {f"d_power_d_{INPUTS[k]}": diff(power, lens[:5], tuple(int(i == k) for i in range(5))) for k in finite}


def digits(value):
    """Write 13 significant digits without an exponent; what vanishes at 50 digits is zero."""
    return nstr(value, 13, strip_zeros=False, min_fixed=-20) if abs(value) > mpf("1e-30") else "0.0000000000000"


def print_case(name, function, inputs, expected):
    """Print one case."""
    inputs = ", ".join(f"{key} = {value}" for key, value in inputs.items())
    expected = ", ".join(f'{key} = "{digits(value)}"' for key, value in expected.items())
    print(f'\n[[case]]\nname = "mpmath_{name}"\nsource = "mpmath"\nwhere = "ray-transfer matrices, 50 digits"')
    print(f'function = "{function}"\ninputs = {{ {inputs} }}\nexpected = {{ {expected} }}')


print(head(__file__, "mpmath", "Thick lens, paraxial, and its derivatives: stored results of ray-transfer matrices in mpmath"))
for name, numbers in LENSES.items():
    lens = tuple(mpf(str(number)) for number in numbers)
    print_case(name, "thick_lens", dict(zip(INPUTS, numbers, strict=True)), quantities(lens))
    if numbers[4] == numbers[5]:
        print_case(f"{name}_sensitivity", "power_sensitivity", dict(zip(INPUTS[:5], numbers[:5], strict=True)), derivatives(lens))
