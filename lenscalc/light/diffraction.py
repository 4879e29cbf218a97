"""What diffraction alone leaves of an image: the cut-off and the MTF of a round pupil. The medium of the image counts: the cone's n' sin θ' does."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.light.limits import FREQUENCY, PUPIL, WAVELENGTH
from lenscalc.quantities import as_given, numbers, within


def cut_off_per_mm(pupil_diameter_mm: Any, convergence_D: Any, wavelength_nm: Any) -> Any:
    """Frequency beyond which nothing is imaged [1/mm]: 2n' sin θ'/λ = D·F/λ, F the power that brings the beam to its focus [D].

    λ in air, as indices are relative to air. For a collimated beam F is the power of the lens in its medium.

    Accuracy: 4e-16 relative, over the hard limits.

    >>> round(cut_off_per_mm(3.0, 20.0, 546.07), 3)
    109.876
    """
    D, wavelength = within(PUPIL, pupil_diameter_mm), within(WAVELENGTH, wavelength_nm)
    found = np.abs(D * numbers(convergence_D=convergence_D)[0]) / (wavelength * 1e-3)
    return as_given(found)


def diffraction_mtf(frequency_per_mm: Any, *, cut_off_per_mm: Any) -> Any:
    """MTF of a perfect lens with a round pupil: (2/π)(arccos s − s√(1 − s²)), s = ν/cut-off; 0 beyond it.

    Textbook (Goodman, Introduction to Fourier optics, 6.3; from memory, to be confirmed against the text).

    Accuracy: 3e-16 relative to the contrast 1, over all frequencies.

    >>> round(diffraction_mtf(100.0, cut_off_per_mm=cut_off_per_mm(3.0, 20.0, 546.07)), 3)     # a perfect lens of 20 D, bare, 3 mm
    0.032
    """
    s = np.minimum(within(FREQUENCY, frequency_per_mm) / numbers(cut_off_per_mm=cut_off_per_mm)[0], 1.0)
    found = 2.0 / np.pi * (np.arccos(s) - s * np.sqrt((1.0 - s) * (1.0 + s)))
    return as_given(found)
