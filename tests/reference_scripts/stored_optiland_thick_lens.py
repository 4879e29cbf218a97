"""Thick lenses by the paraxial functions of optiland 0.6.3 (`pip install optiland==0.6.3`), printed as TOML.

The image plane is given the medium behind the lens: left out it is air, and the library refracts into it.
"""

from math import inf

from heads import head
from optiland.materials import IdealMaterial
from optiland.optic import Optic

IMAGE_DISTANCE = 50.0  # mm from the back vertex, arbitrary
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


def paraxial(front_radius, back_radius, thickness, n_lens, n_front, n_behind):
    """Return the library's paraxial functions of one lens, lengths in mm."""
    behind = IdealMaterial(n_behind)
    lens = Optic()
    lens.surfaces.add(index=0, thickness=inf, material=IdealMaterial(n_front))
    lens.surfaces.add(index=1, radius=front_radius, thickness=thickness, material=IdealMaterial(n_lens), is_stop=True)
    lens.surfaces.add(index=2, radius=back_radius, thickness=IMAGE_DISTANCE, material=behind)
    lens.surfaces.add(index=3, material=behind)
    lens.wavelengths.add(value=0.546074, is_primary=True)
    return lens.paraxial


def quantities(lens, n_front, n_behind):
    """Convert: f2 is n_behind/power, the back positions count from the image plane; all signed along +z."""
    back_focal_length = lens.F2() + IMAGE_DISTANCE
    return {
        "power_D": f"{1000 * n_behind / lens.f2():#.12g}",
        "front_vertex_power_D": f"{-1000 * n_front / lens.F1():#.12g}",
        "back_vertex_power_D": f"{1000 * n_behind / back_focal_length:#.12g}",
        "back_focal_length_mm": f"{back_focal_length:#.12g}",
        "front_principal_plane_mm": f"{lens.P1():z.10f}",
        "back_principal_plane_mm": f"{lens.P2() + IMAGE_DISTANCE:z.10f}",
    }


print(head(__file__, "optiland", "Thick lens, paraxial: stored results of optiland"))
for name, (r1, r2, t, n, n_front, n_behind) in LENSES.items():
    expected = quantities(paraxial(r1, r2, t, n, n_front, n_behind), n_front, n_behind)
    print(f"""
[[case]]
name = "optiland_{name}"
source = "optiland"
where = "optic.paraxial"
function = "thick_lens"
inputs = {{ front_radius_mm = {r1}, back_radius_mm = {r2}, center_thickness_mm = {t}, n_lens = {n}, \
n_medium = {n_front}, n_medium_behind = {n_behind} }}
expected = {{ {", ".join(f'{key} = "{value}"' for key, value in expected.items())} }}""")
