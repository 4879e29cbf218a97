"""Where the formulas of one determination come from: only those that it used, each with how its text was seen."""

from __future__ import annotations

from lenscalc.chain import Followed

_ALWAYS = (
    "Uncertainty: JCGM 100:2008, 5.1.2 and 5.2.2 (the linear law, source by source), 4.2.3 (replicates), G.4.1 (degrees of freedom), "
    "7.2.6 (rounding); examples as quoted in open libraries.",
    "Resolution: JCGM 100:2008, F.2.2.1 (one step d has u = d/√12).",
    "Conditions in use (546.07 nm, 35 °C, hydrated): ISO 11979-2, from memory, to be confirmed against the text.",
)
_NESTED = "Mountings and sessions: JCGM 100:2008, H.5 (nested analysis of variance), as quoted in an open calculator."
_LINE = "Offset and slope of the scale: JCGM 100:2008, H.3 (straight line), as quoted in open libraries."
_WATER = (
    "Index of water as a reference: IAPWS R9-97 with the density of Tanaka et al., Metrologia 38 (2001) 301; coefficients as several open programs "
    "print them, not read in the originals; u from memory, to be confirmed."
)
_SUCROSE = "Index of sucrose solutions: the international scale of 1974 (ICUMSA), in part from memory, to be confirmed."
_AIR = "From vacuum to air: Birch and Downs, Metrologia 30 (1993) 155 and 31 (1994) 315, coefficients as several open programs print them."
_CAUCHY = "To 546.07 nm: two-parameter Cauchy form; half its spread to three others (Conrady, one resonance, water's) is a line of the budget."
_FORM = "To 546.07 nm: a dispersion form fitted to the lines by least squares with their covariance; the spread of the forms is a line of the budget."
_MIXED = (
    "Hydration from the water content: Lorentz and Lorenz's rule by volume; half its spread to Newton's rule is a line of the budget, "
    "and a lower bound."
)
_EXPANSION = (
    "dn/dT from the volume expansion: Lorentz and Lorenz's equation; its distance from Zhang et al., Polymer (2006), abstract read, is a line "
    "of the budget."
)
_SLOPE = "dn/dT: one straight line over the temperatures by least squares (weights 1/u²), each wavelength with a level of its own; worked by hand."
_POWER = "Power: Gullstrand's equation of the thick lens, any text of geometrical optics; 1.336 around it by convention."
_DECISION = "Decision: JCGM 106:2012, 7.2 to 7.4 and 8.3 (conformance probability, guard band), clauses from memory."
_EYE = "Refraction: vergence through one thin surface and an implant at its plane, any text of visual optics."
_GRUBBS = "A suspect reading: Grubbs' test, NIST/SEMATECH e-Handbook, 1.3.5.17.1, as quoted in open libraries."
_VERIFY = "How far the formulas agree with printed values: the command lenscalc verify goes through them, each with its source."


def sources_used(followed: Followed) -> tuple[str, ...]:
    """The sources of the formulas that this determination used, in the order of its steps."""
    sheet, row = followed.sheet, followed.row
    calibration = sheet.calibration
    kinds = {r.kind for r in calibration.references} if calibration else set()
    mixed = "water_mass_fraction_wet" in row
    used = [
        (any(r.mounting or r.session for r in sheet.readings), _NESTED),
        (any("Grubbs" in sentence for sentence in followed.warnings), _GRUBBS),
        (bool(calibration and calibration.references and calibration.model == "offset and slope"), _LINE),
        ("water" in kinds or mixed, _WATER),
        ("sucrose" in kinds, _SUCROSE),
        (any("fitted to" in step.note for step in followed.index.steps), _FORM),
        (any("two-parameter" in step.note for step in followed.index.steps), _CAUCHY),
        (mixed, _MIXED),
        (len({r.temperature_degC for r in sheet.readings}) > 1, _SLOPE),
        ("volume_expansion_per_K" in row, _EXPANSION),
        (any(r.basis != "air" for r in sheet.readings) or "water" in kinds, _AIR),
        (sheet.lens is not None, _POWER),
        ("labelled_power_D" in row, _DECISION),
        (followed.evaluation.only("refraction_shift_D") is not None, _EYE),
        (True, _VERIFY),
    ]
    return (*_ALWAYS, *(sentence for is_used, sentence in used if is_used))
