"""The registry: every quantity once. Commands, checks, batch columns, page inputs and tables are all made from it."""

from __future__ import annotations

from dataclasses import replace
from math import inf

from lenscalc.errors import UnknownNameError
from lenscalc.quantities.quantity import Quantity

_METRES, _MICROMETRES = (1000.0, "is it in metres? write it in mm"), (0.001, "is it in µm? write it in mm")
_LENGTHS = (_METRES, (10.0, "is it in cm? write it in mm"), _MICROMETRES)
_ONE_PLACE, _TWO_PLACES = "is the decimal point one place off?", "is the decimal point two places off?"
# a spreadsheet whose decimals have a comma takes the point of 1.4903 for one between thousands
_INDEX_SHIFT = ((0.1, _ONE_PLACE), (0.01, _TWO_PLACES), *((factor, "is the decimal point lost?") for factor in (1e-3, 1e-4, 1e-5)))
_WAVELENGTHS = ((1000.0, "is it in µm? write it in nm"), (0.1, "is it in Å? write it in nm"))
_TEMPERATURES = ((1.0, "is it in K? write it in °C", -273.15), (5.0 / 9.0, "is it in °F? write it in °C", -160.0 / 9.0))
_PLUS_FOR_MINUS = (-1.0, "is the minus missing?")
_SLOPES = (_PLUS_FOR_MINUS, (0.1, _ONE_PLACE), *((10.0**-k, f"is it in 1e-{k}/K? write it in 1/K") for k in (3, 4, 5, 6)))
_PERCENT = (0.01, "is it a percentage? write it as a fraction")


def _radius(name: str, symbol: str, which: str) -> Quantity:
    return Quantity(
        name, symbol, "mm", f"{which} radius", f"radius of curvature of the {which} surface in use (hydrated, 35 °C); positive when its centre lies behind the surface; "
        "inf for plano", 0.5, 1e7, 4.0, 200.0, 3, "lens", 0.1, by_magnitude=True, infinite=True, mistakes=_LENGTHS,
    )  # fmt: skip


def _index(name: str, symbol: str, label: str, meaning: str, usual: tuple[float, float], scope: str = "lot") -> Quantity:
    return Quantity(
        name, symbol, "", label, meaning, 1.0, 3.0, *usual, 5, scope, 0.0005, mistakes=_INDEX_SHIFT  # type: ignore[arg-type]
    )  # fmt: skip


INPUTS: tuple[Quantity, ...] = (
    _radius("front_radius_mm", "R1", "front"),
    _radius("back_radius_mm", "R2", "back"),
    Quantity("center_thickness_mm", "t", "mm", "centre thickness", "thickness on the axis in use (hydrated, 35 °C); 0 for a thin lens",
             0.0, 100.0, 0.1, 5.0, 3, "lens", 0.05, mistakes=_LENGTHS),
    Quantity("optic_diameter_mm", "D", "mm", "optic diameter", "diameter over which both surfaces are cut; the edge must not be thinner than 0 there",
             0.5, 100.0, 3.0, 8.0, 2, "lens", 0.1, mistakes=_LENGTHS),
    Quantity("front_conic", "k1", "", "front conic constant", "conic constant of the front surface: 0 sphere, -1 paraboloid, below -1 hyperboloid",
             -1000.0, 1000.0, -50.0, 5.0, 4, "lens", 0.1),
    Quantity("back_conic", "k2", "", "back conic constant", "conic constant of the back surface: 0 sphere, -1 paraboloid, below -1 hyperboloid",
             -1000.0, 1000.0, -50.0, 5.0, 4, "lens", 0.1),
    Quantity("density_kg_per_m3", "ρ", "kg/m³", "density of the lens", "density of the polymer in use (hydrated, 35 °C); with the volume it gives the mass",
             500.0, 3000.0, 900.0, 1600.0, 0, "lot", 10.0, mistakes=((1000.0, "is it in g/cm³? write it in kg/m³"),)),
    _index("n_lens", "n", "index of the lens", "refractive index of the lens in use, relative to air (546.07 nm, 35 °C, hydrated)", (1.336, 1.75)),
    _index("n_medium", "m", "index of the medium", "refractive index around the lens, or in front of it; 1.336 by convention for a labelled power",
           (1.0, 1.45), "convention"),
    _index("n_medium_behind", "m2", "index behind", "refractive index behind the lens where it differs from the one in front", (1.0, 1.45), "convention"),
    _index("n_measured_medium", "mm", "index of a measured medium",
           "measured index of an aqueous or a saline, at the conditions in use; gives the power in it, which is never decided on", (1.32, 1.36), "instrument"),
    _index("n_reading", "n", "reading", "index as the refractometer shows it (mean of the replicates)", (1.3, 1.75)),
    _index("n_second_reading", "n'", "reading at a second wavelength", "index read at a second wavelength, same specimen and temperature", (1.3, 1.75)),
    Quantity("reading_wavelength_nm", "λ", "nm", "wavelength of the reading", "wavelength in air; a white-light compensated reading is at 589.29",
             200.0, 2000.0, 400.0, 800.0, 2, "instrument", 1.0, mistakes=_WAVELENGTHS),
    Quantity("second_wavelength_nm", "λ'", "nm", "second wavelength", "wavelength in air of the second reading",
             200.0, 2000.0, 400.0, 800.0, 2, "instrument", 1.0, mistakes=_WAVELENGTHS),
    Quantity("reading_temperature_degC", "T", "°C", "temperature of the reading", "temperature of the specimen when it was read",
             -20.0, 150.0, 10.0, 45.0, 2, "instrument", 0.5, mistakes=_TEMPERATURES),
    Quantity("abbe_d", "V", "", "Abbe number", "(n_d − 1)/(n_F − n_C)", 5.0, 150.0, 20.0, 75.0, 1, "lot", 0.5,
             mistakes=((10.0, _ONE_PLACE), (0.1, _ONE_PLACE), (100.0, _TWO_PLACES), (0.01, _TWO_PLACES))),
    Quantity("dn_dt_per_K", "dn/dT", "1/K", "change of index with temperature", "change of index per kelvin, in the state of use (hydrated)",
             -0.01, 0.01, -0.001, 0.0, 6, "lot", 0.00001, mistakes=_SLOPES),
    Quantity("hydration_shift", "Δn", "", "shift on hydration", "measured n(hydrated) − n(dry) at the temperature of the reading",
             -0.5, 0.5, -0.2, 0.0, 4, "lot", 0.001, mistakes=(_PLUS_FOR_MINUS, (0.1, _ONE_PLACE), (0.01, _TWO_PLACES))),
    Quantity("water_mass_fraction_wet", "w", "", "water content", "mass of water over mass of the hydrated polymer at equilibrium",
             0.0, 0.99, 0.0, 0.8, 4, "lot", 0.01, mistakes=(_PERCENT,)),
    Quantity("dry_density_kg_per_m3", "ρ", "kg/m³", "density of the dry polymer", "density of the dry polymer at the temperature of the reading",
             500.0, 3000.0, 800.0, 1600.0, 0, "lot", 10.0, mistakes=((1000.0, "is it in g/cm³? write it in kg/m³"),)),
    Quantity("volume_expansion_per_K", "α", "1/K", "volume expansion", "volume expansion of the hydrated polymer, three times the linear one",
             0.0, 0.01, 5e-5, 1e-3, 6, "lot", 0.00001),
    Quantity("glass_transition_degC", "Tg", "°C", "glass transition", "glass transition of the polymer as it is used (hydrated)",
             -150.0, 400.0, -130.0, 250.0, 1, "lot", 1.0),
    Quantity("labelled_power_D", "label", "D", "labelled power", "power on the label, given independently of the reading",
             -60.0, 80.0, -20.0, 40.0, 2, "convention", 0.5, mistakes=((0.1, _ONE_PLACE), (0.01, _TWO_PLACES))),
    Quantity("tolerance_D", "T", "D", "tolerance", "half-width of the tolerance about the labelled power", 0.0, 10.0, 0.1, 1.0, 2, "convention", 0.05),
    Quantity("power_D", "F", "D", "power", "equivalent power of the lens in its medium", -300.0, 1000.0, -40.0, 60.0, 3, "result", 0.5),
    Quantity("required_probability", "p", "", "required probability", "conformance probability that a decision must reach",
             0.5, 0.9999999, 0.8, 0.999, 3, "convention", 0.01, mistakes=(_PERCENT,)),
    Quantity("calibration", "cal", "", "calibration of the refractometer", "offset of the index scale, common to everything read on the instrument",
             -0.1, 0.1, -0.001, 0.001, 5, "instrument", 0.0001),
    Quantity("front_curvature_per_mm", "c1", "1/mm", "front curvature", "1/front radius; its uncertainty serves plano surfaces", -2.0, 2.0, -0.25, 0.25, 5, "lens", 0.001),
    Quantity("back_curvature_per_mm", "c2", "1/mm", "back curvature", "1/back radius; its uncertainty serves plano surfaces", -2.0, 2.0, -0.25, 0.25, 5, "lens", 0.001),
    Quantity("front_sag_mm", "s1", "mm", "front sag", "sag at the edge of the optic; its uncertainty serves plano surfaces", -50.0, 50.0, -1.0, 1.0, 4, "lens", 0.01),
    Quantity("back_sag_mm", "s2", "mm", "back sag", "sag at the edge of the optic; its uncertainty serves plano surfaces", -50.0, 50.0, -1.0, 1.0, 4, "lens", 0.01),
)  # fmt: skip

# what is asked beside a lens, and is no column of a table
QUESTIONS: tuple[Quantity, ...] = (
    Quantity("instrument_resolution", "d", "", "resolution of the refractometer", "smallest step of index that the instrument shows",
             0.0, 0.1, 1e-6, 0.005, 6, "instrument", 0.0001),
    Quantity("instrument_u_calibration", "u", "", "calibration of the refractometer", "standard uncertainty of the instrument's calibration, as index",
             0.0, 0.1, 1e-6, 0.005, 6, "instrument", 0.0001),
    Quantity("s_reading", "s", "", "scatter of one reading", "standard deviation of one replicate of the index, each on a new mounting",
             0.0, 0.1, 1e-6, 0.01, 6, "instrument", 0.0001),
    Quantity("u_n_lens_then", "u'(n)", "", "u of the index after measuring again", "standard uncertainty that a new measurement of the index would have",
             0.0, 2.0, 0.0, 0.01, 6, "lot", 0.0001),
    Quantity("process_mean_D", "μ", "D", "mean of the process", "mean power of what is made to this label", -60.0, 80.0, -20.0, 40.0, 3, "lot", 0.5),
    Quantity("process_sd_D", "σ", "D", "spread of the process", "standard deviation of the power of what is made to this label",
             1e-6, 10.0, 0.01, 2.0, 3, "lot", 0.05),
    Quantity("wanted_yield", "Y", "", "wanted yield", "fraction of a lot's lenses that is to lie within the limits",
             0.0, 1.0, 0.5, 0.9999, 3, "convention", 0.01, mistakes=(_PERCENT,)),
    Quantity("lenses_in_lot", "N", "", "lenses in a lot", "number of lenses that are cut from one lot of material", 1.0, 1e9, 1.0, 1e6, 0, "convention", 100.0),
)  # fmt: skip

# What a design, a bench or a toric lens asks for: arguments and options, no batch columns.
DESIGN: tuple[Quantity, ...] = (
    Quantity("wanted_edge_thickness_mm", "e", "mm", "wanted edge thickness", "thickness that the edge of the optic shall have; the centre follows from it",
             0.0, 20.0, 0.05, 2.0, 3, "convention", 0.05, mistakes=(_METRES, _MICROMETRES)),
    Quantity("shape_factor", "X", "", "shape factor", "(R2 + R1)/(R2 - R1): 0 equi-convex, 1 with a plano back, -1 with a plano front",
             -1000.0, 1000.0, -10.0, 10.0, 4, "convention", 0.1),
    Quantity("curvature_ratio", "c2/c1", "", "ratio of the vertex curvatures", "back over front curvature, R1/R2: -1 equi-convex, 0 with a plano back",
             -1000.0, 1000.0, -10.0, 10.0, 4, "convention", 0.1),
    Quantity("position_factor", "p", "", "position factor", "-1 for collimated light, 0 with the object at twice the focal length, 1 in the focus",
             -1e6, 1e6, -10.0, 10.0, 4, "convention", 0.1),
    Quantity("radius_increment_mm", "ΔR", "mm", "increment of the tools", "the shop's tools come in steps of radius this wide",
             1e-6, 10.0, 0.001, 1.0, 4, "convention", 0.01, mistakes=(_MICROMETRES,)),
    Quantity("to_power_D", "F", "D", "last power of a ladder", "a ladder of powers goes on to this one", -300.0, 1000.0, -40.0, 60.0, 2, "convention", 0.5),
    Quantity("step_D", "ΔF", "D", "step of a ladder", "step between the powers of a ladder", 0.001, 100.0, 0.05, 5.0, 3, "convention", 0.5),
    Quantity("n_lens_before", "n", "", "index that the tools were made for", "index of the lens for which existing tools gave the wanted power",
             1.0, 3.0, 1.336, 1.75, 5, "lot", 0.0005, mistakes=_INDEX_SHIFT),
    Quantity("sphere_D", "S", "D", "sphere", "power in the meridian of the axis", -300.0, 1000.0, -40.0, 60.0, 3, "lens", 0.25),
    Quantity("cylinder_D", "C", "D", "cylinder", "power across the axis less power along it", -300.0, 300.0, -15.0, 15.0, 3, "lens", 0.25),
    Quantity("axis_deg", "α", "°", "axis", "meridian of the sphere's power, counter-clockwise from horizontal as seen from in front; α and α + 180 are the same",
             -720.0, 720.0, 0.0, 180.0, 1, "lens", 1.0),
    Quantity("rotation_deg", "θ", "°", "rotation", "angle by which a lens is turned from where its axis should lie, counter-clockwise",
             -720.0, 720.0, -90.0, 90.0, 1, "lens", 1.0),
    Quantity("mean_power_D", "M", "D", "mean power", "mean of the powers of all meridians", -300.0, 1000.0, -40.0, 60.0, 3, "lens", 0.25),
    Quantity("j0_D", "J0", "D", "cross-cylinder at 0°", "half the power along horizontal less half the one along vertical", -300.0, 300.0, -8.0, 8.0, 3, "lens", 0.25),
    Quantity("j45_D", "J45", "D", "cross-cylinder at 45°", "half the power along 45° less half the one along 135°", -300.0, 300.0, -8.0, 8.0, 3, "lens", 0.25),
    Quantity("index_error", "Δn", "", "error of the index", "index as it is, less the one that the lens was made for", -0.2, 0.2, -0.02, 0.02, 5, "lot", 0.0005),
    Quantity("zernike_4_0_um", "c40", "µm", "Zernike (4,0)", "spherical aberration of the wavefront, OSA/ANSI order, positive when undercorrected",
             -100.0, 100.0, -2.0, 2.0, 4, "convention", 0.01, mistakes=((0.001, "is it in nm? write it in µm"),)),
)  # fmt: skip


def _result(name: str, symbol: str, unit: str, label: str, meaning: str, decimals: int) -> Quantity:
    return Quantity(name, symbol, unit, label, meaning, -inf, inf, -inf, inf, decimals, "result")


RESULTS: tuple[Quantity, ...] = (
    _result("front_surface_power_D", "F1", "D", "front surface power", "(n − m)/R1", 3),
    _result("back_surface_power_D", "F2", "D", "back surface power", "(m2 − n)/R2", 3),
    _result("front_vertex_power_D", "Fv", "D", "front vertex power", "F/(1 − (t/n)F2), positive for a positive lens", 3),
    _result("back_vertex_power_D", "F'v", "D", "back vertex power", "F/(1 − (t/n)F1)", 3),
    _result("equivalent_focal_length_mm", "f'", "mm", "equivalent focal length", "m2/F, from the back principal plane", 3),
    _result("front_focal_length_mm", "ffl", "mm", "front focal length", "from the front vertex to the front focus, along +z", 3),
    _result("back_focal_length_mm", "bfl", "mm", "back focal length", "from the back vertex to the back focus, along +z", 3),
    _result("front_principal_plane_mm", "H1", "mm", "front principal plane", "from the front vertex, along +z", 4),
    _result("back_principal_plane_mm", "H2", "mm", "back principal plane", "from the back vertex, along +z", 4),
    _result("edge_thickness_mm", "e", "mm", "edge thickness", "thickness at the edge of the optic", 3),
    _result("volume_mm3", "V", "mm³", "volume", "volume of the optic, haptics not counted", 3),
    _result("mass_mg", "m", "mg", "mass", "volume times density, haptics not counted", 3),
    _result("front_reflectance", "ρ1", "", "reflection at the front", "part of the light that the bare front surface reflects, at normal incidence", 5),
    _result("back_reflectance", "ρ2", "", "reflection at the back", "part of the light that the bare back surface reflects, at normal incidence", 5),
    _result("double_reflectance", "ρ12", "", "double reflection", "part of the light that crosses the lens after a reflection at its back and one at its front", 8),
    _result("double_reflectance_growth", "ρ12'/ρ12", "", "growth of the double reflection", "factor by which it grows when the index is 0.01 higher", 3),
    _result("chromatic_difference_D", "F_F - F_C", "D", "chromatic difference", "power at the line F less power at C, in the dispersing aqueous", 3),
    _result("recut_front_radius_mm", "R1", "mm", "front radius after the re-cut", "front radius that gives the label with this index, ratio of curvatures held", 4),
    _result("recut_back_radius_mm", "R2", "mm", "back radius after the re-cut", "back radius that gives the label with this index, ratio of curvatures held", 4),
    _result("u_power_common_D", "u", "D", "common part of u(power)", "standard uncertainty that all lenses of the lot share", 3),
    _result("u_power_individual_D", "u", "D", "individual part of u(power)", "standard uncertainty that each lens has for itself", 3),
    _result("calibration_part_power_D", "c·u", "D", "calibration's part of the power", "signed part of u(power) from the stated calibration of the index scale; references that were read stand in the budget one by one", 4),
    _result("power_in_measured_medium_D", "F", "D", "power in the measured medium", "equivalent power in the measured medium; never decided on", 3),
    _result("conformance_probability", "p", "", "conformance probability", "probability that the power lies within the tolerance about the label", 3),
    _result("u_power_by_trials_D", "u", "D", "u of the power by trials", "standard deviation of 100,000 trials of the lens, every source drawn from its own distribution", 3),
    _result("trials_lower_D", "F_L", "D", "lower end by trials", "lower end of the 95 % interval of the power by trials", 3),
    _result("trials_upper_D", "F_U", "D", "upper end by trials", "upper end of the 95 % interval of the power by trials", 3),
    _result("conformance_probability_by_trials", "p", "", "conformance probability by trials", "part of the trials whose power lies within the tolerance about the label", 3),
    _result("lot_off_probability", "p", "", "probability that the lot is off", "probability that the lot's mean power lies outside the tolerance", 3),
    _result("lower_limit_D", "T_L", "D", "lower tolerance limit", "label − tolerance", 2),
    _result("upper_limit_D", "T_U", "D", "upper tolerance limit", "label + tolerance", 2),
    _result("acceptance_lower_D", "A_L", "D", "lower acceptance limit", "lower limit + guard band", 3),
    _result("acceptance_upper_D", "A_U", "D", "upper acceptance limit", "upper limit − guard band", 3),
    _result("interval_lower_D", "F", "D", "lower end of the 95 % interval", "power − k·u(power), k for 95 % and its degrees of freedom", 3),
    _result("interval_upper_D", "F", "D", "upper end of the 95 % interval", "power + k·u(power), k for 95 % and its degrees of freedom", 3),
    _result("expected_yield", "Y", "", "expected yield", "fraction of the lot's lenses within the tolerance, averaged over the error that they share", 3),
    _result("yield_quantile", "Y", "", "yield missed with 5 % probability", "the yield that one lot in twenty falls short of", 3),
    _result("yield_below_probability", "p", "", "probability of a yield below the wanted one", "probability that the lot's yield is below the wanted one", 3),
    _result("all_off_probability", "p", "", "probability that all lenses are off", "probability that every lens of the lot lies outside the limits", 3),
    _result("none_off_probability", "p", "", "probability that no lens is off", "probability that every lens of the lot lies within the limits", 3),
    _result("measurement_capability", "C_m", "", "measurement capability index", "(T_U − T_L)/(4u)", 2),
    _result("uncertainty_ratio", "TUR", "", "test uncertainty ratio", "tolerance over U = 2u", 2),
    _result("largest_u_n_lens", "u", "", "largest u of the index that still decides", "the index must be known at least this well", 5),
    _result("proposed_label_D", "label", "D", "proposed step", "nearest half dioptre; a proposal where no label was given", 1),
    _result("refraction_shift_D", "ΔR", "D", "shift of the refraction", "spectacle refraction with this power minus with the labelled power", 3),
    _result("refraction_D", "R", "D", "refraction", "at the spectacle plane of the schematic eye", 3),
    _result("dof_power", "ν", "", "degrees of freedom", "effective degrees of freedom of u(power)", 1),
    *(
        _result(f"d_power_d_{name}", f"∂F/∂{symbol}", f"D per {unit}" if unit else "D", f"sensitivity to {label}", f"∂power/∂{name}", 4)
        for name, symbol, unit, label in (
            ("n_lens", "n", "", "index of the lens"),
            ("n_medium", "m", "", "index of the medium"),
            ("n_medium_behind", "m2", "", "index behind"),
            ("front_radius_mm", "R1", "mm", "front radius"),
            ("back_radius_mm", "R2", "mm", "back radius"),
            ("front_curvature_per_mm", "c1", "1/mm", "front curvature"),
            ("back_curvature_per_mm", "c2", "1/mm", "back curvature"),
            ("center_thickness_mm", "t", "mm", "centre thickness"),
        )
    ),
)

# what real rays and an image ask for beside the dimensions; columns of the chain too, read where an image is asked for
IMAGE_INPUTS: tuple[Quantity, ...] = (
    Quantity("pupil_diameter_mm", "Ø", "mm", "pupil diameter", "diameter of the beam at the front vertex of the lens", 0.01, 100.0, 1.0, 8.0, 2, "convention", 0.5,
             mistakes=_LENGTHS),
    Quantity("vergence_D", "L", "D", "vergence onto the lens", "vergence of the light at the front vertex; 0 for collimated light, positive where it converges",
             -1000.0, 1000.0, -20.0, 60.0, 2, "convention", 0.5),
    Quantity("wavelength_nm", "λ", "nm", "wavelength", "wavelength in air; the indices must be those at it", 150.0, 5000.0, 300.0, 1100.0, 2, "convention", 1.0,
             mistakes=_WAVELENGTHS),
    Quantity("frequency_per_mm", "ν", "1/mm", "spatial frequency", "line pairs per mm in the image", 0.0, 1e5, 0.0, 1000.0, 1, "convention", 10.0),
)  # fmt: skip

IMAGE_RESULTS: tuple[Quantity, ...] = (
    _result("longitudinal_spherical_aberration_mm", "LSA", "mm", "longitudinal spherical aberration",
            "where the marginal ray crosses the axis minus the paraxial focus; negative where the rim is focused in front", 4),
    _result("best_focus_shift_mm", "δ", "mm", "best focus", "plane of the least RMS spot minus the paraxial focus", 4),
    _result("rms_spot_best_focus_mm", "r", "mm", "RMS spot at best focus", "RMS radius of the spot about its centre", 5),
    _result("rms_wavefront_um", "W", "µm", "RMS wavefront error", "at best focus, without piston and tilt", 5),
    _result("strehl_ratio", "S", "", "Strehl ratio", "irradiance at the image of a point over that without aberration, at best focus", 4),
    _result("mtf", "MTF", "", "MTF", "modulation transfer at the spatial frequency, at best focus", 4),
    _result("diffraction_mtf", "MTF", "", "MTF of diffraction alone", "modulation transfer of a perfect lens in the same beam", 4),
    _result("zernike_4_0_after_um", "c40", "µm", "Zernike (4,0) with the moved index", "spherical aberration of the wavefront, radii and conics as they are", 5),
    _result("mtf_after", "MTF", "", "MTF with the moved index", "modulation transfer at the best focus of the moved lens", 4),
    _result("mtf_in_old_plane", "MTF", "", "MTF in the old plane", "modulation transfer with the moved index in the plane that was best before", 4),
    _result("focus_moved_mm", "Δz", "mm", "way of the best focus", "plane of the least RMS spot with the moved index minus that before", 4),
    _result("cut_off_per_mm", "ν0", "1/mm", "cut-off", "frequency beyond which nothing is imaged", 2),
)  # fmt: skip

# what a ranking of candidates says of each
RANKING_RESULTS: tuple[Quantity, ...] = (
    _result("rank", "r", "", "rank", "place by the score, from 1; equal scores share the better one", 0),
    _result("score", "S", "", "score", "mean of the normalised criteria by their weights: 1 where a candidate is the best in all, 0 the worst in all", 3),
    _result("better_than_next_probability", "p", "", "probability of being better than the next", "probability that a candidate really is better than the one ranked after it", 3),
    _result("first_probability", "p", "", "probability of rank 1", "part of the trials in which the candidate has rank 1", 3),
    _result("mean_rank", "r", "", "mean rank", "mean of the rank over the trials", 1),
    _result("rank_lower", "r", "", "lower end of the ranks", "better end of the 95 % interval of the rank by trials", 0),
    _result("rank_upper", "r", "", "upper end of the ranks", "worse end of the 95 % interval of the rank by trials", 0),
)  # fmt: skip

_BY_NAME: dict[str, Quantity] = {q.name: q for q in (*INPUTS, *QUESTIONS, *DESIGN, *IMAGE_INPUTS, *RESULTS, *IMAGE_RESULTS, *RANKING_RESULTS)}


def is_quantity(name: str) -> bool:
    """Whether the registry, or a `u_` before a name of it, knows this name.

    >>> is_quantity("n_lens"), is_quantity("u_n_lens"), is_quantity("color")
    (True, True, False)
    """
    return name in _BY_NAME or (name.startswith("u_") and name[2:] in _BY_NAME)


def quantity(name: str) -> Quantity:
    """The quantity of this name; for `u_` before a name, the standard uncertainty of that quantity.

    Raises
    ------
    UnknownNameError
        with the nearest known name.

    >>> quantity("center_thickness_mm").unit
    'mm'
    >>> quantity("u_n_lens").label
    'standard uncertainty of the index of the lens'
    >>> quantity("n_lense")
    Traceback (most recent call last):
    lenscalc.errors.UnknownNameError: unknown quantity 'n_lense'; did you mean n_lens?
    """
    if name in _BY_NAME:
        return _BY_NAME[name]
    if name.startswith("u_") and name[2:] in _BY_NAME:
        base = _BY_NAME[name[2:]]
        span = base.upper - base.lower if not base.by_magnitude else base.upper
        return replace(
            base,
            name=name,
            symbol=f"u({base.symbol})",
            label=f"standard uncertainty of the {base.label}",
            meaning=f"standard uncertainty of the {base.label}",
            lower=0.0,
            upper=span,
            usual_lower=0.0,
            usual_upper=inf,
            decimals=base.decimals + 1,
            step=base.step / 10 if base.step else 0.0,
            by_magnitude=False,
            infinite=False,
            mistakes=(),
        )
    raise UnknownNameError(name, _BY_NAME, what="quantity")
