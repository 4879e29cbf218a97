"""Thick lenses by the first-order data of ray-optics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

Media are constant indices; the image plane lies in the medium behind the lens, so nothing refracts there.
"""

from math import inf

from heads import head
from opticalglass.opticalmedium import ConstantIndex
from rayoptics.optical.opticalmodel import OpticalModel

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


def first_order(front_radius, back_radius, thickness, n_lens, n_front, n_behind):
    """Return the library's first-order data of one lens, lengths in mm, power in 1/mm."""
    model = OpticalModel()
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 1e10
    sequence.gaps[0].medium = ConstantIndex(n_front, "in front")
    sequence.add_surface([1 / front_radius, thickness, n_lens])  # 1/inf = 0: a plane
    sequence.add_surface([1 / back_radius, 50.0, n_behind])
    model.update_model()
    return model["analysis_results"]["parax_data"].fod


def quantities(first, n_front, n_behind):
    """Convert: powers to 12 significant digits, planes to 1e-10 mm, all signed along +z."""
    return {
        "power_D": f"{1000 * first.power:#.12g}",
        "front_vertex_power_D": f"{-1000 * n_front / first.ffl:#.12g}",
        "back_vertex_power_D": f"{1000 * n_behind / first.bfl:#.12g}",
        "back_focal_length_mm": f"{first.bfl:#.12g}",
        "front_principal_plane_mm": f"{first.pp1:z.10f}",
        "back_principal_plane_mm": f"{first.ppk:z.10f}",
    }


print(head(__file__, "rayoptics", "Thick lens, paraxial: stored results of rayoptics"))
for name, (r1, r2, t, n, n_front, n_behind) in LENSES.items():
    expected = quantities(first_order(r1, r2, t, n, n_front, n_behind), n_front, n_behind)
    print(f"""
[[case]]
name = "rayoptics_{name}"
source = "rayoptics"
where = "first-order data"
function = "thick_lens"
inputs = {{ front_radius_mm = {r1}, back_radius_mm = {r2}, center_thickness_mm = {t}, n_lens = {n}, \
n_medium = {n_front}, n_medium_behind = {n_behind} }}
expected = {{ {", ".join(f'{key} = "{value}"' for key, value in expected.items())} }}""")
