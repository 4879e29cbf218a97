"""Where on the form a refusal of the sheet belongs, so that it stands beside the input it concerns."""

from __future__ import annotations

import re

from lenscalc.errors import InputError

READ, LENS, TO_THE_EYE, REFRACTOMETER = "What was read", "The lens that would be cut", "From the bench to the eye", "The refractometer"
CALIBRATION, MEDIUM, SPECIMEN = "Its calibration", "A measured medium", "The specimen, and whose numbers these are"
SECTIONS = (READ, LENS, TO_THE_EYE, REFRACTOMETER, CALIBRATION, MEDIUM, SPECIMEN)

_BY_TABLE = {
    "reading": READ, "lens": LENS, "dispersion": TO_THE_EYE, "temperature": TO_THE_EYE, "hydration": TO_THE_EYE, "instrument": REFRACTOMETER,
    "calibration": CALIBRATION, "medium": MEDIUM, "specimen": SPECIMEN,
}  # fmt: skip
_BY_WORD = (  # a refusal of the chain names quantities, not tables; the first word that stands in it decides
    ("abbe_d", TO_THE_EYE), ("dn_dt_per_K", TO_THE_EYE), ("hydration_shift", TO_THE_EYE), ("water_mass_fraction_wet", TO_THE_EYE),
    ("glass_transition", TO_THE_EYE), ("dispersion", TO_THE_EYE), ("n_measured_medium", MEDIUM), ("reading", READ), ("index_state", READ),
    ("radius", LENS), ("thickness", LENS), ("optic_diameter", LENS), ("labelled_power", LENS), ("tolerance", LENS), ("provenance", SPECIMEN),
    ("title", SPECIMEN), ("edge", LENS), ("power", LENS), ("index", READ),
)  # fmt: skip


def section_of(error: InputError) -> str:
    """The section whose input an error is about.

    >>> section_of(InputError("this sheet: [[reading]] is missing")), section_of(InputError("[lens.front_radius_mm] u is missing"))
    ('What was read', 'The lens that would be cut')
    >>> section_of(InputError("abbe_d is missing: read away from 546.07 nm, give it with u_abbe_d"))
    'From the bench to the eye'
    """
    named = re.search(r"\[\[?([a-z]+)", str(error))
    if named and named[1] in _BY_TABLE:
        return _BY_TABLE[named[1]]
    text = f"{error.quantity or ''} {error}"
    return next((section for word, section in _BY_WORD if word in text), READ)
