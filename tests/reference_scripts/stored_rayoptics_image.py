"""Seidel's sums, the marginal ray and the path difference of the rim by rayoptics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

The stop is the first surface, the image plane the paraxial focus. Path differences come in waves, with our sign.
The object stands at 1e10 mm, so that a relative 1e-9 may be its own.
"""

from heads import head
from opticalglass.opticalmedium import ConstantIndex
from rayoptics.elem.profiles import Conic, EvenPolynomial
from rayoptics.environment import FieldSpec, OpticalModel, PupilSpec, WvlSpec
from rayoptics.parax.thirdorder import compute_third_order
from rayoptics.raytr.analyses import eval_fan
from rayoptics.raytr.trace import trace_base

print(head(__file__, "rayoptics", "Wavefront and aberrations: stored results of rayoptics"))

WAVE_NM, FIELD_DEG = 546.07, 5.0
LENSES = {  # radii, conics, coefficients of h⁴ and h⁶, thickness, n of the lens, of the medium, pupil diameter
    "biconvex_in_air": ([15.0, -15.0], [0.0, 0.0], None, 0.9, 1.49, 1.0, 2.0),
    "conics_in_air": ([12.0, -20.0], [-2.5, 1.3], None, 1.0, 1.46, 1.0, 3.0),
    "asphere_in_air": ([14.0, -17.0], [-1.5, 0.4], [[-2.5e-4, 3.0e-6], [1.2e-4, -4.0e-6]], 0.9, 1.49, 1.0, 2.5),
    "biconvex_in_aqueous": ([15.0, -15.0], [0.0, 0.0], None, 0.9, 1.49, 1.336, 3.0),
    "asphere_in_aqueous": ([14.0, -17.0], [-1.5, 0.4], [[-2.5e-4, 3.0e-6], [1.2e-4, -4.0e-6]], 0.9, 1.49, 1.336, 4.0),
}


def model_of(radius, conic, aspheric, thickness, n_lens, n_medium, pupil):
    power = (n_lens - n_medium) * (1 / radius[0] - 1 / radius[1]) + (n_lens - n_medium) ** 2 * thickness / (radius[0] * radius[1] * n_lens)
    focal = n_medium / power * (1 - thickness * (n_lens - n_medium) / (n_lens * radius[0]))
    model = OpticalModel()
    sequence, spec = model["seq_model"], model["optical_spec"]
    sequence.do_apertures = False
    spec["pupil"] = PupilSpec(spec, key=["object", "epd"], value=pupil)
    spec["fov"] = FieldSpec(spec, key=["object", "angle"], value=FIELD_DEG, flds=[0.0, 1.0], is_relative=True)
    spec["wvls"] = WvlSpec([(WAVE_NM, 1.0)], ref_wl=0)
    sequence.gaps[0].thi = 1e10
    sequence.gaps[0].medium = ConstantIndex(n_medium, "around")
    for i in range(2):
        sequence.add_surface([1 / radius[i], (thickness, focal)[i], (n_lens, n_medium)[i]])
        profile = {"c": 1 / radius[i], "cc": conic[i]}
        sequence.ifcs[i + 1].profile = EvenPolynomial(**profile, coefs=[0.0, *aspheric[i]]) if aspheric else Conic(**profile)
        if i == 0:
            sequence.set_stop()
    model.update_model()
    return model


def values(name, inputs, function, expected, where, more=""):
    print(f"""
[[case]]
name = "rayoptics_{name}_{function}"
source = "rayoptics"
where = "{where}"
function = "{function}"
inputs = {{ {inputs} }}
expected = {{ {", ".join(f'{k} = "{v}"' for k, v in expected.items())} }}{more}""")


for name, given in LENSES.items():
    radius, conic, aspheric, thickness, n_lens, n_medium, pupil = given
    model = model_of(*given)
    system = (
        f"radius_mm = {radius}, conic = {conic}, distances_mm = [{thickness}], indices = [{n_medium}, {n_lens}, {n_medium}], "
        f"pupil_diameter_mm = {pupil}" + (f", aspheric_4_6 = {aspheric}" if aspheric else "")
    )
    sums = compute_third_order(model).loc["sum"]
    values(
        name, f"{system}, field_deg = {FIELD_DEG}", "seidel_sums", {f"S{i + 1}": f"{v:.5e}" for i, v in enumerate(sums)}, "compute_third_order, sum"
    )
    ray, _, _ = trace_base(model, [0.0, 1.0], model["optical_spec"]["fov"].fields[0], WAVE_NM)
    place, ahead = ray[-1][0], ray[-1][1]
    values(
        name, system, "longitudinal_spherical_aberration_mm",
        {"longitudinal_spherical_aberration_mm": f"{-place[1] * ahead[2] / ahead[1]:.5f}"}, "marginal ray, from the paraxial focus",
    )  # fmt: skip
    fan = eval_fan(model, model["optical_spec"]["fov"].fields[0], WAVE_NM, 0.0, 1, num_rays=3)
    values(
        name, f'{system}, focus = "paraxial"', "wavefront_um", {"wavefront_um": f"{fan[-1][1][2] * WAVE_NM / 1000:.6f}"}, "eval_fan, rim",
        '\ntolerance = { wavefront_um = 3e-5 }\ntolerance_reason = "by equally inclined chords, which leave out up to 1e-4; another library and '
        'this one agree to 1e-6"',
    )  # fmt: skip
