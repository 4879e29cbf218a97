"""MTF on the retina of a schematic eye with an implant, from exact rays by rayoptics 0.9.8 (`pip install rayoptics==0.9.8`), printed as TOML.

The cornea is drawn as the one surface that sends a far point to a point without aberration: an ellipsoid of conic constant −1/n² (Descartes). Its
radius is such that the light ends on the retina. Rays are told apart by their height in the plane of the implant's front vertex, where the pupil is.
Path differences against the sphere about the retina's axial point through the exit pupil; a cornea's Zernike term is added to them. The MTF is
the autocorrelation of the pupil, worked out here. The eye is written out once more: Bennett and Rabbetts, one medium.
"""

import numpy as np
from heads import head
from rayoptics.elem.profiles import Conic
from rayoptics.environment import OpticalModel, WvlSpec
from rayoptics.raytr.raytrace import trace

print(head(__file__, "rayoptics", "The image of an implant in a schematic eye: stored results of rayoptics"))

N, LENGTH, DEPTH, WAVE_NM = 1.336, 24.09, 4.5, 546.07
LENSES = {  # radii, conics, thickness, index
    "biconvex": ([15.0, -18.0], [0.0, 0.0], 0.9, 1.49),
    "figured": ([13.0, -26.0], [-3.0, 1.5], 0.8, 1.47),
}
BEFORE = 5.0  # mm in air where the rays start


def eye_of(radius, conic, thickness, n_lens):
    """The model, the vergence before the implant and at the cornea, the convergence behind the implant for height 1 before it, the exit pupil."""
    back = LENGTH - DEPTH - thickness
    F1, F2 = 1000 * (n_lens - N) / radius[0], 1000 * (N - n_lens) / radius[1]
    behind_front = 1000 * N / back - F2
    behind_front = behind_front / (1 + thickness / (1000 * n_lens) * behind_front)
    before = behind_front - F1
    cornea = before / (1 + DEPTH / (1000 * N) * before)
    model = OpticalModel()
    sequence = model["seq_model"]
    model["optical_spec"]["wvls"] = WvlSpec([(WAVE_NM, 1.0)], ref_wl=0)
    sequence.do_apertures = False
    sequence.gaps[0].thi = BEFORE
    R = 1000 * (N - 1) / cornea
    rows = [(R, -1 / N**2, DEPTH, N), (None, 0.0, 0.0, N), (radius[0], conic[0], thickness, n_lens), (radius[1], conic[1], back, N)]
    for i, (r, k, way, n) in enumerate(rows):
        c = 0.0 if r is None else 1 / r
        sequence.add_surface([c, way, n])
        sequence.ifcs[i + 1].profile = Conic(c=c, cc=k)
    model.update_model()
    height_behind = 1 - thickness / (1000 * n_lens) * behind_front  # of a ray of height 1 at the front
    exit_pupil = 1000 * N / (-1000 * n_lens / thickness + F2)  # image of the front vertex, from the back one
    return sequence, back, cornea, height_behind * 1000 * N / back, exit_pupil


def path_differences(given):
    """W [mm] as a function of the height in the implant's plane."""
    sequence, back, _, _, pupil = eye_of(*given)
    indices = [1.0, N, N, given[3], N]

    def one(y):
        ray, _, _ = trace(sequence, np.array([0.0, y, 0.0]), np.array([0.0, 0.0, 1.0]), WAVE_NM)
        path = sum(n * step[2] for n, step in zip(indices[:4], ray[:4], strict=True))
        p, d = np.array(ray[4][0]) - [0.0, 0.0, back], np.array(ray[4][1])
        sphere = back - pupil
        b = p @ d
        return ray[2][0][1], path + N * (-b - np.sqrt(b * b - p @ p + sphere * sphere))

    axis = one(0.0)[1]
    heights, paths = np.array([one(y) for y in np.linspace(0.0, 3.2, 129)]).T
    fit = np.polynomial.Polynomial.fit(heights**2, axis - paths, 8)
    assert np.abs(fit(heights**2) - (axis - paths)).max() < 1e-9
    return fit


def modulation(W_mm, s):
    """Overlap of two unit discs apart by 2s: midpoints along v, Gauss along u between the edges."""
    p, w = np.polynomial.legendre.leggauss(80)
    many = 6000
    v = (np.arange(many) + 0.5) / many * np.sqrt(1 - s * s)
    half = np.sqrt(1 - v * v) - s
    u = half[:, None] * p
    phase = 2e6 * np.pi / WAVE_NM * (W_mm((u + s) ** 2 + v[:, None] ** 2) - W_mm((u - s) ** 2 + v[:, None] ** 2))
    return abs(2 * np.sum(np.exp(1j * phase) * w * half[:, None])) * np.sqrt(1 - s * s) / many / np.pi


for name, given in LENSES.items():
    _, _, cornea, convergence, _ = eye_of(*given)
    fit = path_differences(given)
    for pupil in (3.0, 4.0):
        for coefficient in (0.0, 0.27):
            on_cornea = pupil / (1 - DEPTH / (1000 * N) * cornea)
            added = coefficient * (on_cornea / 6.0) ** 4

            def W(rho2, fit=fit, pupil=pupil, added=added):
                return fit(rho2 * pupil**2 / 4) + 1e-3 * added * 5**0.5 * (6 * rho2 * rho2 - 6 * rho2 + 1)

            found = {f: modulation(W, f * WAVE_NM * 1e-6 / (pupil * convergence / 1000)) for f in (30, 60, 120)}
            R, k, t, n = given
            print(f"""
[[case]]
name = "rayoptics_eye_image_{name}_{pupil:.0f}_{100 * coefficient:.0f}"
source = "rayoptics"
where = "rays by raytrace.trace"
function = "eye_mtf"
inputs = {{ eye = "bennett_rabbetts", front_radius_mm = {R[0]}, back_radius_mm = {R[1]}, center_thickness_mm = {t}, n_lens = {n}, front_conic = \
{k[0]}, back_conic = {k[1]}, pupil_diameter_mm = {pupil}, \
cornea_zernike_4_0_um = {coefficient}, focus = "paraxial", frequency_per_mm = [30, 60, 120] }}
expected = {{ {", ".join(f'mtf_{f} = "{v:.5f}"' for f, v in found.items())} }}""")
