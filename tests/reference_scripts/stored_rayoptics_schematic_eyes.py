"""Cardinal points of published schematic eyes, and what an implant does in them, by the paraxial trace of ray-optics 0.9.8, printed as TOML.

Surfaces are written out here once more; nothing is taken from the package that is checked. Light enters from a plane 12 mm before the cornea.
"""

from heads import head
from rayoptics.optical.opticalmodel import OpticalModel
from rayoptics.parax.firstorder import paraxial_trace

# radius, way to the next surface, index behind; the cornea first, then the lens; the last way ends at the retina
CORNEA = {
    "gullstrand_exact": [(7.7, 0.5, 1.376), (6.8, 3.1, 1.336)],
    "le_grand_full": [(7.8, 0.55, 1.3771), (6.5, 3.05, 1.3374)],
    "navarro_1985": [(7.72, 0.55, 1.376), (6.5, 3.05, 1.3374)],
    "bennett_rabbetts": [(7.8, 3.6, 1.336)],
}
LENS = {
    "gullstrand_exact": [(10.0, 0.546, 1.386), (7.911, 2.419, 1.406), (-5.76, 0.635, 1.386), (-6.0, 17.1854, 1.336)],
    "le_grand_full": [(10.2, 4.0, 1.42), (-6.0, 16.59655, 1.336)],
    "navarro_1985": [(10.2, 4.0, 1.42), (-6.0, 16.40398, 1.336)],
    "bennett_rabbetts": [(11.0, 3.7, 1.422), (-6.47515, 16.79, 1.336)],
}
IMPLANT = {"front_radius_mm": 15.0, "back_radius_mm": -18.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
DEPTH = 4.5  # front of the cornea to the front of the implant
VERTEX = 12.0
IRIS = 3.6
CAUCHY = {  # B, C, D with the wavelength in nm; Atchison & Smith 2005, as open programs print them
    "cornea": (6.009687e3, -6.760760e8, 5.908450e13),
    "aqueous": (6.070796e3, -7.062305e8, 6.147861e13),
    "vitreous": (5.560240e3, -5.817391e8, 5.036810e13),
}


def trace(surfaces, height, slope, before=0.0):
    """Paraxial ray from `before` mm in front of the first surface; heights at all surfaces and at the end of the last way, and its last slope."""
    model = OpticalModel()
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 1e10
    sequence.add_surface([0.0, before, 1.0])
    for radius, way, n in surfaces:
        sequence.add_surface([1.0 / radius if radius else 0.0, way, n])
    model.update_model()
    ray, _ = paraxial_trace(sequence.path(), 1, [height, slope], [0.0, 1.0])
    return [step[0] for step in ray], [step[1] for step in ray]


def refraction(surfaces):
    """Vergence at the spectacle plane of light that ends on the retina."""
    from_height, from_slope = (trace(surfaces, *start, before=VERTEX)[0][-1] for start in ((1.0, 0.0), (0.0, 1.0)))
    return 1000.0 * from_height / from_slope


def with_implant(key, *, deeper=0.0, longer=0.0, steeper=0.0, n_lens=None, shift=None, n_shift=0.0):
    """The eye's surfaces with the implant in place of its lens; `shift` adds to the index of each medium."""
    shift = shift or {"cornea": 0.0, "aqueous": 0.0, "vitreous": 0.0}
    lens = {**IMPLANT, "n_lens": (n_lens or IMPLANT["n_lens"]) + n_shift}
    *front, (radius, _, n_aqueous) = CORNEA[key]
    thick = sum(way for _, way, _ in front)
    length = sum(way for _, way, _ in (*CORNEA[key], *LENS[key]))
    n_vitreous = LENS[key][-1][2] + shift["vitreous"]
    n_aqueous = n_aqueous + shift["aqueous"]
    surfaces = [(r, way, n + shift["cornea"]) for r, way, n in front]
    surfaces += [
        (radius, DEPTH + deeper - thick, n_aqueous),
        (lens["front_radius_mm"], lens["center_thickness_mm"], lens["n_lens"]),
        (lens["back_radius_mm"], length + longer - DEPTH - deeper - lens["center_thickness_mm"], n_vitreous),
    ]
    if steeper:
        r, way, n = surfaces[0]
        surfaces[0] = (1.0 / (1.0 / r + steeper / (1000.0 * (n - 1.0))), way, n)
    return surfaces


def case(name, function, inputs, expected):
    """Print one case; inputs and expected as they stand in the file."""
    print(f'''
[[case]]
name = "{name}"
source = "rayoptics"
where = "paraxial trace"
function = "{function}"
inputs = {{ {inputs} }}
expected = {{ {", ".join(f'{key} = "{value:.{digits}f}"' for key, value, digits in expected)} }}''')


print(head(__file__, "rayoptics", "Published schematic eyes and an implant in them: stored results of rayoptics"))
for key in CORNEA:
    surfaces = [*CORNEA[key], *LENS[key]]
    last = [*surfaces[:-1], (surfaces[-1][0], 0.0, surfaces[-1][2])]
    length = sum(way for _, way, _ in last)
    heights, slopes = trace(last, 1.0, 0.0)
    n = surfaces[-1][2]
    power = -1000.0 * n * slopes[-1]
    focus = length - heights[-1] / slopes[-1]
    case(f"rayoptics_cardinal_{key}", "cardinal_points", f'eye = "{key}"', [
        ("power_D", power, 7), ("back_focal_point_mm", focus, 7), ("back_principal_point_mm", focus - 1000.0 * n / power, 7),
    ])  # fmt: skip

lens = ", ".join(f"{k} = {v}" for k, v in IMPLANT.items())
for key in CORNEA:
    base = refraction(with_implant(key))
    for name, after, changed in (
        ("index", "n_lens = 1.491", {"n_lens": 1.491}), ("deeper", "deeper_mm = 0.5", {"deeper": 0.5}),
        ("longer", "longer_mm = 1.0", {"longer": 1.0}), ("steeper", "steeper_D = 1.5", {"steeper": 1.5}),
    ):  # fmt: skip
        shift = refraction(with_implant(key, **changed)) - base
        inputs = f'eye = "{key}", {lens}, after = {{ {after} }}'
        case(f"rayoptics_{name}_{key}", "refraction_change", inputs, [("refraction_change_D", shift, 8)])

for key in CORNEA:
    slopes = []
    for name, unit, h in (("n_lens", 0.001, 1e-4), ("deeper", 0.1, 1e-3), ("longer", 0.1, 1e-3), ("steeper", 1.0, 1e-3)):
        up, down = ({"n_lens": IMPLANT["n_lens"] + s * h} if name == "n_lens" else {name: s * h} for s in (1, -1))
        slopes.append(unit * (refraction(with_implant(key, **up)) - refraction(with_implant(key, **down))) / (2.0 * h))
    names = ("per_0001_of_index", "per_tenth_mm_of_position", "per_tenth_mm_of_length", "per_dioptre_of_cornea")
    case(f"rayoptics_slopes_{key}", "eye_sensitivities", f'eye = "{key}", {lens}', [(a, b, 6) for a, b in zip(names, slopes, strict=True)])

for key in CORNEA:
    sizes = []
    for deeper in (0.0, 0.5):
        surfaces = with_implant(key, deeper=deeper)
        at = len(CORNEA[key])  # the iris is a plane between cornea and implant
        radius, way, n = surfaces[at - 1]
        to_iris = IRIS - sum(w for _, w, _ in surfaces[: at - 1])
        surfaces[at - 1 : at] = [(radius, to_iris, n), (0.0, way - to_iris, n)]
        one, two = (trace(surfaces, *start)[0] for start in ((1.0, 0.0), (0.0, 1.0)))
        iris = at + 1 + 1  # the object and the plane at the cornea come first
        mix = -two[iris] / one[iris]
        assert abs(one[iris] * mix + two[iris]) < 1e-12
        sizes.append(one[-1] * mix + two[-1])
    case(f"rayoptics_image_{key}", "image_size_mm_per_radian", f'eye = "{key}", {lens}', [("image_size_mm_per_radian", abs(sizes[0]), 8)])
    inputs = f'eye = "{key}", {lens}, second = {{ deeper_mm = 0.5 }}'
    case(f"rayoptics_image_ratio_{key}", "image_size_ratio", inputs, [("image_size_ratio", sizes[1] / sizes[0], 9)])

for key in CORNEA:
    for nm in (450.0, 650.0):
        shift = {m: b / nm**2 + c / nm**4 + d / nm**6 - b / 546.07**2 - c / 546.07**4 - d / 546.07**6 for m, (b, c, d) in CAUCHY.items()}
        n_shift = 5000.0 * (1.0 / nm**2 - 1.0 / 546.07**2)  # a polymer of n = A + 5000 nm²/λ²
        change = refraction(with_implant(key, shift=shift, n_shift=n_shift)) - refraction(with_implant(key))
        inputs = f'eye = "{key}", {lens}, cauchy_b_nm2 = 5000.0, wavelength_nm = {nm}'
        case(f"rayoptics_chromatic_{nm:.0f}_{key}", "chromatic_change", inputs, [("ocular_media_D", change, 8)])
