"""Every public function that gives a number says how accurate it is, and every figure that is said is measured in this folder."""

import inspect
from importlib import import_module
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest
from measured import stated

import lenscalc

HERE = Path(__file__).parent
ROOMS = ("light", "material", "refractometer", "lens", "eye", "decision", "uncertainty")

# Why a function says no figure of its own.
GIVES_NO_NUMBER = (  # text, a record, a truth value, a check, a file read, or whole numbers, which are exact
    "checked_terms", "moved", "zernike_index", "zernike_orders", "polymer", "polymers", "contact_liquid_problem", "contact_liquid_remark",
    "cannot_be_carried", "read_sheet", "sheet_from_data", "sheet_from_text", "refuse_other_kinds", "why_not", "comes_from_in_front", "in_words",
    "published_eye", "published_eyes", "schematic_eyes", "planes_with_implant", "image_system", "read_criterion", "read_limit", "keeps", "pareto_set",
    "read_tolerance_table", "shipped_tolerance_table", "by_rules", "rank_candidates", "as_text", "to_frame", "with_u", "probability_text",
    "decimals_for", "budget", "would_be_noticed", "slips", "lens_in_words", "correlation_matrix", "errors_only", "two_sets", "more_mountings_text",
)  # fmt: skip
ONE_OPERATION = (  # a rounding to a half, a table's own number, a sum, a difference or a product: the last bit
    "power_tolerance_D", "proposed_label_D", "departure", "numerical_tolerance", "estimate", "to_the", "u_water_index",
    "u_saline_index", "molar_refraction", "molar_refraction_from_increments", "one_medium", "toric_conformity", "media_shift", "sucrose_index",
)  # fmt: skip
BY_ANOTHER = (  # collects what functions with a figure of their own give, side by side or one after the other
    "volume_of", "hydration_of", "retool", "ladder", "recut_estimates", "toric_estimates", "in_another_condition", "dimension_in_use",
    "chromatic_focus", "conic_for_aberration", "implanted", "thin_implanted", "image_size_ratio", "eye_sensitivities", "refraction_change",
    "refraction_change_with_medium", "refraction_change_with_temperature", "chromatic_change", "chromatic_span", "chromatic_span_change",
    "in_proportion", "largest_u_n_lens_for", "light_way", "what_if", "decide", "decimals_table", "instrument_adequacy",
    "replicates_worth", "mountings_worth", "work_on_first", "lot_forecast", "remeasured",
    "columns_of_sheet", "carry_to_use", "calibrate", "drift_on_prism",
    "nested_mean", "grubbs", "evaluate", "follow", "follow_index", "border_brightness", "corrected", "medium_reading",
    "reference_as_read",
)  # fmt: skip
BY_QUADRATURE = (  # what limits it are the points over the pupil or the common error, which its own tests compare with more points and with libraries
    "best_focus", "spot", "mtf", "through_focus_mtf", "point_spread", "wavefront_um", "zernike_coefficients", "strehl_ratio", "eye_mtf",
    "image_with_moved_index", "yield_below_probability", "yield_quantile", "guard_band_at_global_risk",
    "seidel_sums", "trace_rays",  # the first beside `third_order_aberration`, the second beside `trace`, which go through them
)  # fmt: skip
BY_ROUNDS = (  # solved for by rounds to a stated nearness, in its own tests
    "conic_for_exact_aberration", "least_aberration_shape", "index_error_behind",
)  # fmt: skip
BY_TRIALS = ("interval_by_trials", "run_trials", "sobol_indices", "rank_trials")  # random: they state their own statistical error

WITHOUT = {*GIVES_NO_NUMBER, *ONE_OPERATION, *BY_ANOTHER, *BY_QUADRATURE, *BY_ROUNDS, *BY_TRIALS}


def functions():
    found = {}
    for room in ROOMS:
        module = import_module(f"lenscalc.{room}")
        found |= {name: getattr(module, name) for name in module.__all__}
    found |= {name: getattr(lenscalc, name) for name in lenscalc.__all__}
    # a function kept in a cache is one as well
    return {name: f for name, f in found.items() if inspect.isfunction(inspect.unwrap(f)) if not inspect.isclass(f)}


@pytest.mark.parametrize("name", sorted(functions()))
def test_a_public_function_states_its_accuracy_or_why_it_has_none(name):
    says = stated(functions()[name]) is not None
    assert says != (name in WITHOUT), f"{name}: " + ("its docstring has a figure, and it stands on a list" if says else "no 'Accuracy: ...'")


def test_the_lists_hold_no_name_that_is_gone_and_none_twice():
    listed = [*GIVES_NO_NUMBER, *ONE_OPERATION, *BY_ANOTHER, *BY_QUADRATURE, *BY_ROUNDS, *BY_TRIALS]
    assert len(listed) == len(set(listed))
    assert set(listed) - set(functions()) <= {"follow_index", "lens_in_words", "as_text"}  # of the chain's own


def cases_of(room):
    """Of the file beside this one; other folders have tests of the same name."""
    spec = spec_from_file_location(f"accuracy_of_{room}", HERE / f"test_{room}.py")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.CASES


def test_every_figure_that_is_stated_is_measured():
    measured = {case.function.__name__ for room in ROOMS for case in cases_of(room)}
    assert {name for name, f in functions().items() if stated(f) is not None} <= measured
