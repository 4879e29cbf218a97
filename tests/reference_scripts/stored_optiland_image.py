"""Wavefront, spot and MTF of lenses by optiland 0.6.3 (`pip install optiland==0.6.3`), printed as TOML; in the plane of the paraxial focus.

Its Zernike coefficients of the type "standard" are those of OSA/ANSI, in waves. Its MTF does not know the index of the image's medium, so MTF is
stored for lenses in air alone. Its cut-off is that of the real marginal ray's direction, not of the paraxial image's scale (1.0043 against 1 for the
first lens, as the rim is focused in front): values are stored at the same parts of the cut-off. The pupil is sampled on a grid of squares.
"""

from math import inf

import numpy as np
from heads import head
from optiland.materials import IdealMaterial
from optiland.mtf import FFTMTF
from optiland.optic import Optic
from optiland.wavefront import OPD, ZernikeOPD

print(head(__file__, "optiland", "Wavefront and image: stored results of optiland"))

WAVE_NM = 546.07
FREQUENCIES = (50.0, 100.0, 200.0)
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
    lens = Optic()
    lens.surfaces.add(index=0, thickness=inf, material=IdealMaterial(n_medium))
    for i in range(2):
        shape = {"surface_type": "even_asphere", "coefficients": [0.0, *aspheric[i]]} if aspheric else {}
        lens.surfaces.add(
            index=i + 1, radius=radius[i], conic=conic[i], thickness=(thickness, focal)[i], material=IdealMaterial((n_lens, n_medium)[i]),
            is_stop=i == 0, **shape,
        )  # fmt: skip
    lens.surfaces.add(index=3, material=IdealMaterial(n_medium))
    if aspheric:
        for surface in list(lens.surfaces.surfaces)[1:3]:
            surface.geometry.tol = 1e-13  # mm; its own 1e-6 leaves 1e-4 µm of path near the axis
    lens.set_aperture("EPD", pupil)
    lens.fields.set_type("angle")
    lens.fields.add(y=0)
    lens.wavelengths.add(value=WAVE_NM / 1000, is_primary=True)
    return lens


def values(name, inputs, function, expected, where, more=""):
    print(f"""
[[case]]
name = "optiland_{name}_{function}"
source = "optiland"
where = "{where}"
function = "{function}"
inputs = {{ {inputs} }}
expected = {{ {", ".join(f'{k} = "{v}"' for k, v in expected.items())} }}{more}""")


for name, given in LENSES.items():
    radius, conic, aspheric, thickness, n_lens, n_medium, pupil = given
    lens = model_of(*given)
    wave = (WAVE_NM / 1000,)
    system = (
        f"radius_mm = {radius}, conic = {conic}, distances_mm = [{thickness}], indices = [{n_medium}, {n_lens}, {n_medium}], "
        f'pupil_diameter_mm = {pupil}, focus = "paraxial"' + (f", aspheric_4_6 = {aspheric}" if aspheric else "")
    )
    path = np.asarray(OPD(lens, (0, 0), *wave, num_rays=9).get_data((0, 0), *wave).opd) * wave[0]
    rim = path[np.argmax(np.abs(path))]  # these lenses have their largest there
    values(name, system, "wavefront_um", {"wavefront_um": f"{rim:.6f}"}, "OPD of the rim")
    four = ZernikeOPD(lens, (0, 0), *wave, num_rings=250, zernike_type="standard", num_terms=45).coeffs[12] * wave[0]
    values(
        name, system, "zernike_coefficients", {"zernike_4_0_um": f"{four:.6f}"}, "ZernikeOPD, standard, 45 terms",
        '\ntolerance = { zernike_4_0_um = 5e-6 }\ntolerance_reason = "fitted to 250 rings of rays with equal weights, not integrated"',
    )  # fmt: skip
    if n_medium == 1.0:
        found = FFTMTF(lens, num_rays=512, grid_size=2048)
        frequency = np.asarray(found.freq[0]).ravel()
        scale = found.max_freq / (pupil / lens.paraxial.f2() / WAVE_NM * 1e6)
        curve = np.asarray(found.mtf[0][0]).ravel()
        values(
            name, f"{system}, wavelength_nm = {WAVE_NM}, frequency_per_mm = {list(FREQUENCIES)}", "mtf",
            {f"mtf_{f:.0f}": f"{np.interp(f * scale, frequency, curve):.5f}" for f in FREQUENCIES}, "FFTMTF, 512 rays across the pupil",
            "\ntolerance = { " + ", ".join(f"mtf_{f:.0f} = 5e-4" for f in FREQUENCIES) + " }"
            '\ntolerance_reason = "a round pupil sampled on a square grid"',
        )  # fmt: skip
