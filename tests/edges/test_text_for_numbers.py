"""A text where a number is wanted: a sentence that names the argument, never numpy's own."""

import pytest

from lenscalc import decision, evaluate, lens, light, material, refractometer, thick_lens, uncertainty
from lenscalc.errors import InputError

LIMITS = {"lower": 20.1, "upper": 20.9}
RISKS = {"process_mean": 20.5, "process_sd": 0.1, "u_measurement": 0.1, **LIMITS}
LOT = {"power_D": 20.5, "u_common_D": 0.1, "u_individual_D": 0.1, "lower_D": 20.1, "upper_D": 20.9}
U = uncertainty

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
]  # fmt: skip


@pytest.mark.parametrize(("of", "arguments", "name"), [(of, arguments, name) for of, arguments in CALLS for name in arguments])
@pytest.mark.parametrize("text", ["1,49", [1.0, "much"]])
def test_a_text_is_told_by_its_argument(of, arguments, name, text):
    of(**arguments)  # what the others are is no reason to refuse it
    wrong = text if isinstance(text, str) else "much"
    with pytest.raises(InputError, match=f"{name} = '{wrong}' is not a number"):
        of(**{**arguments, name: text})


OTHERS = {
    "a departure": lambda x: decision.departure(x, "low"), "a target": lambda x: decision.departure([1.0], "near", x),
    "a point of the pupil": lambda x: light.zernike(4, 0, x, 0.0), "a ladder": lambda x: lens.ladder(
        x, from_power_D=10, to_power_D=11, step_D=1, center_thickness_mm=0.9),
    "a line": lambda x: uncertainty.fit_line(x, [1.0, 2.0]),
}  # fmt: skip


@pytest.mark.parametrize("name", OTHERS)
def test_a_text_in_a_list_is_told(name):
    with pytest.raises(InputError, match=r"= 'much' is not a number"):
        OTHERS[name]([1.0, "much"])


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
