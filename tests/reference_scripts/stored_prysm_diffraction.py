"""The MTF of diffraction alone by prysm 0.21 (`pip install prysm==0.21`), printed as TOML: five frequencies, three pupils, two beams.

The library takes an F-number: 1000/(pupil·convergence) with λ in air, whatever the medium of the image.
"""

from heads import head
from prysm.otf import diffraction_limited_mtf

print(head(__file__, "prysm", "Diffraction MTF: stored results of prysm"))

for convergence in (20.0, 68.0):
    for pupil in (2.0, 3.0, 4.5):
        for frequency in (10.0, 25.0, 50.0, 100.0, 150.0):
            value = float(diffraction_limited_mtf(1000.0 / (pupil * convergence), 0.54607, frequencies=[frequency])[0])
            print(f"""
[[case]]
name = "prysm_diffraction_{convergence:.0f}_{pupil:.1f}_{frequency:.0f}"
source = "prysm"
where = "diffraction_limited_mtf"
function = "diffraction_mtf"
inputs = {{ pupil_diameter_mm = {pupil}, convergence_D = {convergence}, wavelength_nm = 546.07, frequency_per_mm = {frequency} }}
expected = {{ diffraction_mtf = "{value:.8f}" }}""")
