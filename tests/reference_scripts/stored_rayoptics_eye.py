"""How the refraction of a schematic eye moves with the index of a thick implant, by the paraxial trace of ray-optics 0.9.8, printed as TOML.

A schematic eye, nobody's: the cornea is one refracting surface, and one medium fills the eye around the implant.
"""

from heads import head
from rayoptics.optical.opticalmodel import OpticalModel
from rayoptics.parax.firstorder import paraxial_trace

EYE = {
    "corneal_power_D": 43.08,
    "axial_length_mm": 23.5,  # cornea to retina
    "implant_position_mm": 4.5,  # cornea to the front vertex of the implant
    "vertex_distance_mm": 12.0,
    "front_radius_mm": 15.0,
    "back_radius_mm": -15.0,
    "center_thickness_mm": 0.9,
    "n_medium": 1.336,  # what the corneal power and the implant refer to
}


def vergence_onto_retina(distance_before_cornea_mm, n_lens):
    """Return the object vergence (D, in air) at a plane before the cornea that images onto the retina.

    Two rays start at the plane, (height 1, slope 0) and (0, 1), and reach the retina at heights a and b. A ray from an
    object of vergence L has slope -L times its height, so it meets the axis at the retina when L = a/b.
    """
    n, thickness = EYE["n_medium"], EYE["center_thickness_mm"]
    last_gap = EYE["axial_length_mm"] - EYE["implant_position_mm"] - thickness
    model = OpticalModel()
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 1e10
    sequence.add_surface([0.0, distance_before_cornea_mm, 1.0])  # a plane in air: where the vergence counts
    sequence.add_surface([EYE["corneal_power_D"] / 1000 / (n - 1), EYE["implant_position_mm"], n])
    sequence.add_surface([1 / EYE["front_radius_mm"], thickness, n_lens])
    sequence.add_surface([1 / EYE["back_radius_mm"], last_gap, n])
    model.update_model()
    from_height, from_slope = paraxial_trace(sequence.path(), 1, [1.0, 0.0], [0.0, 1.0])
    return 1000 * from_height[-1][0] / from_slope[-1][0]


print(head(__file__, "rayoptics", "Shift of the refraction with the index of a thick implant in the schematic eye: stored results of rayoptics"))
before = vergence_onto_retina(EYE["vertex_distance_mm"], 1.49)
for n_lens in (1.48, 1.495, 1.50, 1.51):
    shift = vergence_onto_retina(EYE["vertex_distance_mm"], n_lens) - before
    lens = ", ".join(f"{key} = {EYE[key]}" for key in ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "implant_position_mm"))
    print(f'''
[[case]]
name = "rayoptics_shift_to_{n_lens:.3f}"
source = "rayoptics"
where = "paraxial trace through the teaching eye"
function = "refraction_shift"
inputs = {{ {lens}, n_lens = {n_lens}, n_lens_labelled = 1.49 }}
expected = {{ refraction_shift_D = "{shift:.9f}" }}''')
