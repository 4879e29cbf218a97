"""Labels of the keys that only a sheet has, what their help says, number of decimals where it is a number; and the heads of the sheet's tables."""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """Label without unit, help, decimals shown at least."""

    label: str
    help: str = ""
    decimals: int = 5


WORDS: dict[str, Words] = {
    "title": Words("Title of the sheet"),
    "provenance": Words("Where the numbers come from", "Who read them, when; or that they are invented."),
    "date": Words("Day of the readings"),
    "specimen.material": Words("Material"),
    "specimen.lot": Words("Lot"),
    "specimen.state": Words("The specimen was read", "The lens is hydrated in the eye."),
    "specimen.preparation": Words("How it was made"),
    "specimen.equilibration_liquid": Words("Liquid in which it came to rest"),
    "specimen.equilibration_h": Words("time in the liquid", "How long it lay there before it was read.", 0),
    "specimen.u_specimen_to_lens": Words("u of the specimen against its lens", "How far the index of a lens may differ from that of its specimen."),
    "instrument.kind": Words("Kind"),
    "instrument.resolution": Words("resolution of the refractometer", "The smallest step of index that it shows."),
    "instrument.u_calibration": Words("u of its calibration", "How well the scale is known; besides the references, where there are any."),
    "instrument.u_operator": Words("u of the operator", "What another operator would read on the same specimen."),
    "instrument.n_contact_liquid": Words("index of the contact liquid"),
    "instrument.n_prism": Words("index of the prism"),
    "instrument.no_contact_liquid_because": Words("Without a contact liquid, because"),
    "instrument.scale_wavelength_nm": Words("line that the scale is made for"),
    "instrument.prism_apex_deg": Words("apex of the prism", "", 2),
    "instrument.angle_measured_inside": Words("The angle is measured inside the prism (a hemisphere)"),
    "instrument.white_light_compensated": Words("It compensates white light to the sodium line"),
    "instrument.temperature_compensation": Words("Temperature compensation", "A compensated reading is taken back by what is given here."),
    "instrument.compensation_per_K": Words("compensation by the kelvin", "", 6),
    "instrument.u_compensation_per_K": Words("u of the compensation", "", 6),
    "instrument.compensation_to_degC": Words("temperature to which it compensates"),
    "calibration.date": Words("Day of the calibration"),
    "calibration.interval_days": Words("the lab's interval", "", 0),
    "calibration.model": Words("What the references correct"),
    "calibration.within_K": Words("serves readings within", "How far from its own temperature the calibration is used.", 1),
    "calibration.check_before": Words("Check piece before the readings", "Readings of one piece, apart by blanks."),
    "calibration.check_after": Words("Check piece after the readings", "The same piece once more; half of what the zero moved is taken off."),
    "reading.u_temperature_degC": Words("u of the temperature, °C"),
    "reading.u_wavelength_nm": Words("u of the line, nm"),
    "reading.u_repeatability": Words("pooled u of one reading"),
    "reading.dof_repeatability": Words("its degrees of freedom"),
    "reading.u_session": Words("pooled u between sessions"),
    "reading.dof_session": Words("its degrees of freedom"),
    "reading.basis": Words("The index is relative to", "Refractometers read relative to air."),
    "dispersion.abbe_from": Words("The Abbe number is"),
    "dispersion.form": Words("Form fitted to three lines or more"),
    "dispersion.terms": Words("number of its terms", "", 0),
    "temperature.across_glass_transition": Words("Carry it across the glass transition all the same"),
    "hydration.mass_wet_g": Words("mass wet", "", 4),
    "hydration.mass_dry_g": Words("mass dry", "", 4),
    "hydration.u_mass_g": Words("u of a weighing", "", 4),
    "medium.name": Words("What it is"),
    "medium.n": Words("Its readings as shown", "Where it was read on the same refractometer: apart by blanks, in place of the index in use."),
    "medium.n_measured_medium": Words("its index, at 35 °C and 546.07 nm"),
    "medium.u_n_measured_medium": Words("u of its index"),
    "medium.basis": Words("Its index is relative to"),
    "medium.same_instrument": Words("Read on the same refractometer"),
    "medium.u_repeatability": Words("u of one reading of it, pooled", "", 6),
    "medium.dof_repeatability": Words("its degrees of freedom", "", 0),
    "lens.tolerance_from": Words("Where this tolerance comes from"),
    "lens.dimensions": Words("The dimensions are", "Taken as exact, as they stand on a drawing, there is no decision."),
    "lens.linear_swelling": Words("linear swelling", "Length wet over length dry, less 1.", 4),
    "lens.u_linear_swelling": Words("u of the linear swelling", "", 4),
    "lens.linear_expansion_per_K": Words("linear thermal expansion", "Relative change of length by the kelvin, hydrated.", 6),
    "lens.u_linear_expansion_per_K": Words("u of the linear thermal expansion", "", 6),
}

READING_HEADS = {
    "wavelength_nm": "line, nm", "temperature_degC": "temperature, °C", "n": "index", "mounting": "mounting", "session": "session",
    "operator": "operator", "minutes_after_mounting": "minutes", "direction": "direction",
}  # fmt: skip
PRISM_HEADS = {"wavelength_nm": "line, nm", "n_prism": "index of the prism", "u_n_prism": "u of its index"}
REFERENCE_HEADS = {
    "name": "reference", "kind": "kind", "wavelength_nm": "line, nm", "temperature_degC": "temperature, °C",
    "u_temperature_degC": "u of the temperature, °C", "n": "readings, apart by blanks", "mass_fraction": "mass fraction",
    "u_mass_fraction": "u of the mass fraction", "n_certified": "certified index", "u_certified": "u of the certified index",
    "certified_temperature_degC": "certified at, °C", "certified_basis": "relative to", "abbe_d": "Abbe number", "dn_dt_per_K": "dn/dT, 1/K",
    "u_dn_dt_per_K": "u of dn/dT, 1/K", "u_repeatability": "pooled u of one reading", "dof_repeatability": "its degrees of freedom",
}  # fmt: skip
LENS_PARTS = {"front_radius_mm": "Front", "back_radius_mm": "Back", "center_thickness_mm": "Thickness"}
GAUGE_HEADS = {"name": "gauge", "u_scale_relative": "relative u of its scale"}
