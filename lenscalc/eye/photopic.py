"""How bright the wavelengths of one radiant power look by day: CIE's V(λ) of 1924, at some lines.

Quoted: the numbers stand alike in open programs that print the table as the Colour & Vision Research Laboratory hands it out (6 of its digits at
most); CIE's own text was not read.
"""

from __future__ import annotations

from typing import Final

# nm in air : V(λ); what lies beyond 420–680 nm makes 0.2 % of the whole
PHOTOPIC: Final[dict[float, float]] = {
    420.0: 0.004, 430.0: 0.0116, 440.0: 0.023, 450.0: 0.038, 460.0: 0.06, 470.0: 0.09098, 480.0: 0.13902, 490.0: 0.20802, 500.0: 0.323,
    510.0: 0.503, 520.0: 0.71, 530.0: 0.862, 540.0: 0.954, 550.0: 0.99495, 560.0: 0.995, 570.0: 0.952, 580.0: 0.87, 590.0: 0.757, 600.0: 0.631,
    610.0: 0.503, 620.0: 0.381, 630.0: 0.265, 640.0: 0.175, 650.0: 0.107, 660.0: 0.061, 670.0: 0.032, 680.0: 0.017,
}  # fmt: skip
