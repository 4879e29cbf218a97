"""Constants of the trade: spectral lines and the reference conditions in the eye.

Line wavelengths in air, nm: printed alike in the tables of several open optical libraries; the handbook table itself was not read. Reference
conditions for the power of an implant in the eye (ISO 11979-2): from memory, to be confirmed against the text.
"""

from typing import Final

LINES_NM: Final[dict[str, float]] = {
    "C": 656.2725,
    "C'": 643.8469,
    "D": 589.2938,
    "d": 587.5618,
    "e": 546.0740,
    "F": 486.1327,
    "F'": 479.9914,
    "g": 435.8343,
}
SAME_LINE_NM: Final = 0.5  # nearer to each other, two wavelengths are one line: D1 and D2 lie 0.6 nm apart, and the scale for D stands for both

WAVELENGTH_IN_USE_NM: Final = 546.07
TEMPERATURE_IN_USE_DEGC: Final = 35.0
N_MEDIUM_IN_USE: Final = 1.336  # a convention, exact, taken relative to air

CAUTION: Final = (
    "For materials work, teaching and research. Not a medical device; it does not choose an implant for a patient. No lens has been "
    "measured: a result says what would hold if one were cut to these dimensions. Selection, labelling and release belong to licensed "
    "clinicians, to the maker's quality system and to the codes and standards in force."
)
