"""A text where a number is wanted: a sentence that names the argument, never numpy's own."""

from functools import partial

import numpy as np
import pytest

from lenscalc import control, decision, evaluate, eye, lens, light, material, refractometer, thick_lens, uncertainty
from lenscalc.errors import InputError

LIMITS = {"lower": 20.1, "upper": 20.9}
RISKS = {"process_mean": 20.5, "process_sd": 0.1, "u_measurement": 0.1, **LIMITS}
LOT = {"power_D": 20.5, "u_common_D": 0.1, "u_individual_D": 0.1, "lower_D": 20.1, "upper_D": 20.9}
U = uncertainty
EYE = eye.published_eye("le_grand_full")
MADE = eye.implanted(EYE, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
SYSTEM = light.System([light.Surface(15.0), light.Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
BEAM = light.Beam(3.0)
PMMA = material.Dispersion.from_abbe(1.4906, 58.0)
RADII = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9}
DIMENSIONS = {**RADII, "optic_diameter_mm": 6.0, "front_conic": 0.0, "back_conic": 0.0}
DECIDED = {"power_D": 20.5, "u_power_D": 0.05, "dof": 5.0, "u_common_D": 0.04, "dof_common": 5.0, "label_D": 20.5, "tolerance_D": 0.4}
EWMA = {"weight": 0.5, "width_sigma": 3.0, "k_sigma": 0.5, "h_sigma": 4.0, "head_start_sigma": 0.0}
MODEL = {"model": lambda x: 2.0 * x, "inputs": {"x": U.Input(1.0, 0.1)}}
ONE, A = U.Input(1.0, 0.1), U.Source("a")
SERIES = control.series([1.33299, 1.33301, 1.33298, 1.333])

CALLS = [
    (U.conformance_probability, {"value": 20.5, "u": 0.1, **LIMITS, "dof": 5.0}),
    (U.nonconformance_probability, {"value": 20.5, "u": 0.1, **LIMITS, "dof": 5.0}),
    (U.specific_risk, {"value": 20.5, "u": 0.1, **LIMITS, "acceptance_lower": 20.2, "acceptance_upper": 20.8}),
    (U.coverage_factor, {"probability": 0.95, "dof": 5.0}),
    (U.acceptance_limits, {**LIMITS, "U": 0.1}),
    (U.acceptance_limits_at, {**LIMITS, "u": 0.1, "probability": 0.95, "dof": 5.0}),
    (U.global_risks, {**RISKS, "acceptance_lower": 20.2, "acceptance_upper": 20.8}),
    (U.measurement_capability, {**LIMITS, "u": 0.1}),
    (U.process_capability, {**LIMITS, "mean": 20.5, "sd": 0.1}),
    (U.uncertainty_ratio, {"tolerance": 0.4, "U": 0.1}),
    (decision.largest_u, {"value": 20.5, **LIMITS, "required_probability": 0.95, "dof": 5.0}),
    (decision.largest_u_n_lens, {"power_D": 20.5, "lower_D": 20.1, "upper_D": 20.9, "u_other_D": 0.05, "d_power_d_n_lens": 132.5,
                                 "required_probability": 0.95}),
    (decision.better_probability, {"value": 1.0, "other": 2.0, "u": 0.1, "other_u": 0.1, "calibration_part": 0.05, "other_calibration_part": 0.05}),
    (decision.expected_yield, LOT), (decision.lot_forecast, LOT), (decision.all_off_probability, LOT), (decision.none_off_probability, LOT),
    (decision.yield_below_probability, {**LOT, "wanted_yield": 0.95}), (decision.yield_quantile, {**LOT, "probability": 0.05}),
    (refractometer.critical_angle_index, {"n_prism": 1.75, "angle_deg": 58.0}), (refractometer.critical_angle_deg, {"n": 1.49, "n_prism": 1.75}),
    (refractometer.minimum_deviation_index, {"apex_deg": 60.0, "deviation_deg": 37.0}),
    (refractometer.minimum_deviation_deg, {"apex_deg": 60.0, "n": 1.5}), (refractometer.v_block_index, {"n_block": 1.5, "deviation_deg": 0.1}),
    (refractometer.v_block_deviation_deg, {"n_block": 1.52, "n": 1.49}),
    (material.water_index_at_density, {"wavelength_nm": 589.0, "temperature_K": 298.15, "density_kg_per_m3": 997.0}),
    (material.abbe_number, {"n_d": 1.49, "n_F": 1.496, "n_C": 1.488}),
    (material.by_abbe_number, {"n": 1.49, "wavelength_nm": 589.3, "abbe_d": 55.0, "to_nm": 546.07}),
    (material.by_second_reading, {"n": 1.49, "wavelength_nm": 589.3, "n_second": 1.496, "second_nm": 486.1, "to_nm": 546.07}),
    (partial(material.vacuum_to_air, wavelength_nm=589.3, temperature_degC=20.0), {"n": 1.5}),
    (partial(material.air_to_vacuum, wavelength_nm=589.3, temperature_degC=20.0), {"n": 1.5}),
    (control.average_run_length, {"shift_sigma": 1.0, **EWMA}), (partial(control.average_run_length, "cusum"), {"shift_sigma": 1.0, **EWMA}),
    (control.width_for_run_length, {"run_length": 500.0, "weight": 0.5}), (control.interval_for_run_length, {"run_length": 500.0, "k_sigma": 0.5}),
    (partial(control.limits_from, SERIES), {"centre": 1.333, "sigma": 1e-5}),
    (decision.decide, {**DECIDED, "required_probability": 0.95}), (decision.slips, {x: DECIDED[x] for x in ("power_D", "u_power_D", "tolerance_D")}
     | {"labelled_power_D": 20.5}),
    (decision.by_rules, {"power_D": 20.5, "u_power_D": 0.1, "dof": 5.0, "lower_D": 20.1, "upper_D": 20.9, "required_probability": 0.95}),
    (decision.instrument_adequacy, {"d_power_d_n_lens": 132.0, "tolerance_D": 0.4, "resolution": 1e-4, "u_calibration": 1e-4, "u_other_D": 0.0,
                                    "required_probability": 0.95, "k": 2.0}),
    (partial(decision.keeps, decision.Limit("abbe_d", ">", 40.0)), {"values": 45.0}),
    (decision.mountings_worth, {"s_reading": 1e-4, "u_rest": 1e-4}), (decision.replicates_worth, {"s_reading": 1e-4, "u_rest": 1e-4, "part": 0.3}),
    (decision.remeasured, {**LOT, "d_power_d_n_lens": 100.0, "u_n_lens": 1e-3, "u_n_lens_then": 1e-4, "lenses": 100}),
    (decision.all_off_probability, {**LOT, "lenses": 10}),
    (decision.rank_trials, {"values": [20.0, 20.0], "u": 0.1, "calibration_part": 0.05, "weights": 1.0, "trials": 100, "seed": 1, "workers": 1}),
    (eye.would_be_noticed, {"shift_D": -0.25, "u_D": 0.1}), (eye.in_proportion, {"power_scatter_D": 0.1, "lot_bias_D": 0.1}),
    (partial(eye.what_if, 20.0, 20.5), {"position_shift_mm": 0.1, "n_lens": 1.49}),
    (partial(eye.chromatic_change, EYE, MADE, PMMA), {"wavelength_nm": 500.0}),
    (partial(eye.chromatic_span, EYE, MADE, PMMA), {"short_nm": 486.0, "long_nm": 656.0}),
    (partial(eye.eye_mtf, EYE, MADE, frequency_per_mm=50.0), {"cornea_zernike_4_0_um": 0.1, "at_pupil_mm": 6.0}),
    (partial(eye.refraction_of_index_error, EYE, MADE), {"index_error": 1e-3}),
    (partial(eye.index_error_behind, EYE, MADE), {"refraction_change_D": -0.25}),
    (partial(eye.largest_u_n_lens_for, EYE, MADE), {"refraction_change_D": 0.25, "coverage": 2.0}),
    (partial(eye.refraction_change_with_temperature, EYE, MADE), {"temperature_degC": 30.0, "dn_dt_per_K": -1e-4, "linear_expansion_per_K": 1e-4}),
    (partial(eye.refraction_change_with_medium, EYE, MADE), {"n_medium": 1.34}),
    (lens.edge_thickness_mm, DIMENSIONS), (lens.why_not, DIMENSIONS),
    (lens.meridional_sag_mm, {"radius_along_mm": 15.0, "radius_across_mm": 12.0, "height_mm": 3.0, "meridian_deg": 30.0}),
    (lens.toric_edge_thickness_mm, {**RADII, "optic_diameter_mm": 6.0, "back_radius_across_mm": -12.0, "meridian_deg": 30.0}),
    (light.aspheric_sag_mm, {"radius_mm": 15.0, "height_mm": 3.0, "conic": -1.0}), (light.snell_deg, {"n1": 1.0, "n2": 1.5, "angle_deg": 30.0}),
    (light.cut_off_per_mm, {"pupil_diameter_mm": 3.0, "convergence_D": 60.0, "wavelength_nm": 546.0}),
    (light.diffraction_mtf, {"frequency_per_mm": 50.0, "cut_off_per_mm": 100.0}),
    (partial(light.moved, SYSTEM), {"shift_x_mm": 0.1, "shift_y_mm": 0.1, "tilt_x_deg": 1.0, "tilt_y_deg": 1.0, "pivot_mm": 0.0}),
    (partial(light.wavefront_um, SYSTEM, BEAM), {"pupil_x": 0.5, "pupil_y": 0.5}),
    (partial(light.trace, SYSTEM), {"x_mm": 1.0, "y_mm": 0.0, "vergence_D": 1.0, "plane_mm": 1.0}),
    (partial(light.mtf, SYSTEM, BEAM), {"frequency_per_mm": 50.0, "wavelength_nm": 546.0, "azimuth_deg": 0.0}),
    (refractometer.prism_exit_angle_deg, {"n": 1.49, "n_prism": 1.75, "apex_deg": 60.0}),
    (partial(refractometer.drift_on_prism, [1.49, 1.4901, 1.4901, 1.4903]), {"minutes": [0.0, 1.0, 2.0, 3.0], "resolution": 1e-4}),
    (partial(refractometer.grubbs, [1.49, 1.4901, 1.4902]), {"level": 0.05, "resolution": 1e-4}),
    (partial(refractometer.two_sets, [1.49, 1.4901, 1.4902]), {"resolution": 1e-4}),
    (partial(U.standard_u, distribution="rectangular"), {"half_width": 0.1}),
    (partial(U.fit_line, [0.0, 1.0, 2.0], [0.0, 1.0, 2.1]), {"u": 0.1, "x0": 1.0}),
    (partial(U.agreement, U.estimate(1.0, 0.1, U.Source("a")), U.estimate(1.1, 0.1, U.Source("b"))), {"k": 2.0}),
    (partial(U.interval_by_trials, U.estimate(1.0, 0.1, U.Source("a"))), {"probability": 0.95, "trials": 1000, "seed": 1}),
    (partial(U.run_trials, **MODEL), {"trials": 10_000, "probability": 0.95, "seed": 1, "workers": 1}),
    (partial(U.sobol_indices, **MODEL), {"trials": 100_000, "seed": 1, "workers": 1}),
]  # fmt: skip


@pytest.mark.parametrize(("of", "arguments", "name"), [(of, arguments, name) for of, arguments in CALLS for name in arguments])
@pytest.mark.parametrize("text", ["1,49", [1.0, "much"]])
def test_a_text_is_told_by_its_argument(of, arguments, name, text):
    of(**arguments)  # what the others are is no reason to refuse it
    wrong = text if isinstance(text, str) else "much"
    with pytest.raises(InputError, match=f"{name} = '{wrong}' is not a number"):
        of(**{**arguments, name: text})


@pytest.mark.parametrize(("of", "arguments", "name"), [(of, arguments, name) for of, arguments in CALLS for name in arguments])
def test_a_whole_number_that_no_double_holds_is_told_by_its_argument(of, arguments, name):
    """Without its digits, of which Python prints 4300 at most."""
    with pytest.raises(InputError, match=f"^(?!.*{'0' * 20}).*{name} is a whole number too large for any measurement"):
        of(**{**arguments, name: 10**5000})


OTHERS = {
    "a departure": lambda x: decision.departure(x, "low"), "a target": lambda x: decision.departure([1.0], "near", x),
    "a point of the pupil": lambda x: light.zernike(4, 0, x, 0.0), "a ladder": lambda x: lens.ladder(
        x, from_power_D=10, to_power_D=11, step_D=1, center_thickness_mm=0.9),
    "a weight": lambda x: decision.read_criterion("abbe_d:high", x),
    "an index": lambda x: decision.decimals_table([20.0], [x]),
    "an index of an implant": lambda x: eye.implant_path(EYE, MADE._replace(n_lens=x)),
    "an implant after": lambda x: eye.refraction_change(EYE, MADE, MADE._replace(n_lens=x)),
    "an implant whose index is off": lambda x: eye.eye_sensitivities(EYE, MADE._replace(n_lens=x)),
    "an implant's image": lambda x: eye.eye_mtf(EYE, MADE._replace(n_lens=x), frequency_per_mm=50.0),
    "an implant's image size": lambda x: eye.image_size_mm_per_radian(EYE, MADE._replace(depth_mm=x)),
    "an implant in colours": lambda x: eye.chromatic_change(EYE, MADE._replace(n_lens=x), PMMA, 500.0),
    "u of an implant": lambda x: eye.refraction_change(EYE, MADE, MADE, u={"longer_mm": x}),
    "an input": lambda x: uncertainty.propagate(**MODEL | {"inputs": {"x": uncertainty.Input(x, 0.1)}}),
    "u of an input": lambda x: uncertainty.propagate(**MODEL | {"inputs": {"x": uncertainty.Input(1.0, x)}}),
    "a correlation": lambda x: uncertainty.propagate(lambda x, y: x + y, {"x": ONE, "y": ONE}, {("x", "y"): x}),
    "dof": lambda x: uncertainty.Source("a", dof=x),
    "an azimuth": lambda x: light.through_focus_mtf(SYSTEM, BEAM, focus_shift_mm=[0.0], frequency_per_mm=50, wavelength_nm=546, azimuth_deg=x),
    "a value": lambda x: uncertainty.estimate(x, 0.1, A), "its u": lambda x: uncertainty.estimate(1.49, x, A),
    "a part": lambda x: uncertainty.Estimate(1.49, {A: x}), "a part alone": lambda x: uncertainty.errors_only({A: x}),
    "a sum": lambda x: uncertainty.combine(x, []), "a coefficient": lambda x: uncertainty.combine(1.0, [(x, uncertainty.estimate(1.0, 0.1, A))]),
    "a candidate": lambda x: decision.rank_candidates({"abbe_d": x}, [decision.Criterion("abbe_d", "high")]),
    "u of a candidate": lambda x: decision.rank_candidates({"abbe_d": [40.0, 45.0]}, [decision.Criterion("abbe_d", "high")], u={"abbe_d": x}),
    "a short list": lambda x: decision.rank_candidates({"abbe_d": [40.0, 45.0]}, [decision.Criterion("abbe_d", "high")], among=x),
    "a line": lambda x: uncertainty.fit_line(x, [1.0, 2.0]),
}  # fmt: skip


@pytest.mark.parametrize("name", OTHERS)
def test_a_text_in_a_list_is_told(name):
    with pytest.raises(InputError, match=r"= 'much' is not a number"):
        OTHERS[name]([1.0, "much"])


@pytest.mark.parametrize(
    "name", ["a value", "its u", "a part", "a part alone", "a sum", "a coefficient", "u of an implant", "an index of an implant"]
)
def test_a_text_that_no_sum_would_notice_is_told(name):
    with pytest.raises(InputError, match=r"= '1,49' is not a number; write the decimals with a point"):
        OTHERS[name]("1,49")


def test_an_estimate_keeps_what_arithmetic_takes_and_makes_numbers_of_the_rest():
    parts = {A: 1e-4 + 1e-30j}
    kept = U.Estimate(columns := np.array([1.49, 1.5]), parts)
    assert kept.value is columns
    assert kept.parts is parts
    made = U.estimate(["1.49", 1.5], (0.1, "0.2"), A)
    assert made.value.tolist() == [1.49, 1.5]
    assert made.u.tolist() == [0.1, 0.2]
    assert U.combine("1.5", [("2", made)]).u.tolist() == [0.2, 0.4]


@pytest.mark.parametrize("order", [("2", 0), (2, "0"), (2.5, 0), ([2, "much"], 0)])
def test_an_order_of_zernike_that_is_no_whole_number_is_told(order):
    with pytest.raises(InputError, match="n and m are whole numbers"):
        light.zernike_index(*order)


def test_one_number_is_wanted_where_there_is_one():
    with pytest.raises(InputError, match="shift_D holds 2 numbers: must be a single one"):
        eye.would_be_noticed([0.1, 0.2])


def test_lists_of_different_lengths_are_told_with_their_lengths():
    with pytest.raises(InputError, match=r"columns of different lengths cannot be combined: value \(2,\), u \(3,\)"):
        uncertainty.conformance_probability([1.0, 2.0], [0.1, 0.2, 0.3], 0.0, 1.0)


@pytest.mark.parametrize("digits", [400, 5000])  # Python prints no whole number of more than 4300
def test_a_whole_number_that_no_double_holds_is_told_without_its_digits(digits):
    huge = 10**digits
    for asked in (
        lambda: thick_lens(15.0, -15.0, 0.9, huge), lambda: uncertainty.conformance_probability([0.0, huge], 0.1, 0.0, 1.0),
        lambda: uncertainty.Input.from_data([1.0, huge]),
    ):  # fmt: skip
        with pytest.raises(InputError, match="is a whole number too large for any measurement"):
            asked()
    rows = {"front_radius_mm": [15.0, 15.0], "back_radius_mm": [-15.0, -15.0], "center_thickness_mm": [0.9, 0.9], "n_lens": [huge, 1.49]}
    assert evaluate(rows).problems.tolist() == ["n_lens is a whole number too large for any measurement", ""]
