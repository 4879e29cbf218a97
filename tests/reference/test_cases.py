"""The reference cases agree, and are what they say they are."""

import copy
from math import inf
from pathlib import Path

import pytest

from lenscalc import material
from lenscalc.verified import FUNCTIONS
from lenscalc.verify import half_unit, lines_of, reference_files, run, worst_by_source

ROOT = Path(__file__).parents[2]
FILES = reference_files()
CASES = [(data, case) for data in FILES for case in data["case"]]


@pytest.mark.parametrize(("data", "case"), CASES, ids=[case["name"] for _, case in CASES])
def test_a_case_agrees_with_what_is_printed(data, case):
    for line in lines_of({**data, "case": [case]}):
        assert line.agrees, f"{line.quantity}: computed {line.computed!r}, printed {line.expected}, allowed ±{line.tolerance:g}; {line.source}"


def is_published(source):
    return source["kind"] == "published" and source["seen"] in ("read", "quoted")


def test_enough_of_them_from_outside():
    published = {(s["authors"], s["title"]) for d in FILES for s in d["sources"].values() if is_published(s)}
    cases = [c for d in FILES for c in d["case"] if is_published(d["sources"][c["source"]])]
    assert len(cases) >= 60
    assert len(published) >= 12


def test_names_are_unique():
    names = [case["name"] for _, case in CASES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("data", FILES, ids=[d["subject"] for d in FILES])
def test_a_file_is_well_formed(data):
    used = {case["source"] for case in data["case"]}
    assert used == set(data["sources"])
    for name, source in data["sources"].items():
        assert {"authors", "title", "seen", "kind"} <= set(source)
        assert source["seen"] in ("read", "quoted", "memory")
        assert source["kind"] in ("published", "derived by hand", "reference library", "common practice, no source")
        if source["seen"] == "quoted":
            assert source["quoted_in"]
        if source["kind"] == "derived by hand":
            assert "working" in source or all(c["note"].startswith("working:") for c in data["case"] if c["source"] == name)
        if source["kind"] == "reference library":
            assert source["version"]
            assert (ROOT / source["script"]).is_file()
    for case in data["case"]:
        assert case["where"]
        assert all(isinstance(printed, str) for printed in case["expected"].values())
        assert ("tolerance" in case) == ("tolerance_reason" in case)
        assert set(case.get("tolerance", {})) <= set(case["expected"])


# steps that are the working of others: a ratio of two formulas below, the step between wavelengths whose spread is part of its result, the bodies
# of formulas below, the counting of increments (tests/material/test_composition.py), all polymers at once; an uncertainty is a statement, no result
NOT_PRINTED_BY_OTHERS = {
    "air_to_vacuum", "by_abbe_number", "by_second_reading", "hydration_of", "linear_swelling_of", "molar_refraction", "polymers", "u_saline_index",
    "u_water_index", "vacuum_to_air",
}  # fmt: skip
FORMULAS = {
    *(name for name in material.__all__ if name[0].islower() and name not in NOT_PRINTED_BY_OTHERS),
    "thick_lens", "power_sensitivity", "conformance_probability", "coverage_factor", "propagate", "run_trials", "sobol_indices", "power_tolerance_D",
    "aspheric_sag", "edge_thickness", "center_thickness_for_edge", "volume", "mass", "recut", "index_from_power", "in_another_condition",
    "power_from_back_focal_length", "rotation_residual", "toric_lens", "toric_edge_thickness", "chromatic_focus", "third_order_aberration",
    "conic_for_aberration", "least_aberration_shape_factor", "conic_for_exact_aberration", "least_aberration_shape", "reflection",
    "trace", "paraxial_image", "seidel_sums", "longitudinal_spherical_aberration_mm", "wavefront_um", "zernike_coefficients", "mtf",
    "diffraction_mtf", "fresnel",
    "vergence_downstream", "snell_deg", "critical_angle_index", "minimum_deviation_index", "v_block_index",
    "prism_reading_index", "without_compensation", "nested_mean", "grubbs", "fit_line",
    "acceptance_limits_at", "global_risks", "guard_band_at_global_risk", "process_capability", "lot_forecast",
    "chart_constants", "control_chart", "average_run_length",
    "better_probability", "rank_trials", "pareto_set",
    "refraction_change", "eye_sensitivities", "image_size_mm_per_radian", "image_size_ratio", "chromatic_change",
    "eye_mtf",
}  # fmt: skip
ALSO_CHECKED = {  # an entry of FUNCTIONS that takes several formulas, or one under the name of what it answers
    "welch_satterthwaite": "Estimate.dof", "spectacle_refraction": "vergence_upstream", "refraction_shift": "refraction",
    "dispersion_from_abbe": "Dispersion.from_abbe", "dispersion_fit": "Dispersion.fit", "grubbs_critical": "grubbs",
    "crossed_cylinders": "power_vector and sphere_cylinder",
    "cardinal_points": "PublishedEye.cardinal_points",
}  # fmt: skip


def test_every_public_formula_is_checked():
    assert set(FUNCTIONS) == FORMULAS | set(ALSO_CHECKED)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_public_formula_has_a_case_from_outside(function):
    outside = [data["sources"][case["source"]] for data, case in CASES if case["function"] == function]
    # nobody was found who prints the first, the last is a unit; of the others, test_optics.py and test_scale.py of the refractometer follow a ray
    by_hand = ("lorentz_lorenz_dn_dt", "prism_reading_index", "v_block_index", "mass")
    allowed = ("derived by hand",) if function in by_hand else ()
    assert any(is_published(s) or s["kind"] in ("reference library", *allowed) for s in outside)


def test_a_falsified_value_is_found():
    data = copy.deepcopy(next(d for d in FILES if any(c["name"] == "rayoptics_biconvex_in_aqueous" for c in d["case"])))
    case = next(c for c in data["case"] if c["name"] == "rayoptics_biconvex_in_aqueous")
    assert all(line.agrees for line in lines_of({**data, "case": [case]}))
    case["expected"]["power_D"] = "20.4696672"
    wrong = [line.quantity for line in lines_of({**data, "case": [case]}) if not line.agrees]
    assert wrong == ["power_D"]


@pytest.mark.parametrize(("data", "case"), CASES, ids=[case["name"] for _, case in CASES])
@pytest.mark.parametrize("sign", [-1, 1])
def test_no_value_agrees_when_it_is_moved_by_more_than_twice_its_tolerance(data, case, sign):
    true = list(lines_of({**data, "case": [case]}))
    tolerance = {x.quantity: x.tolerance for x in true}
    # `repr` has more digits than what is printed, so the tolerance must be given
    moved = {x.quantity: repr(float(x.expected) + sign * 2.01 * x.tolerance) for x in true}
    wrong = list(lines_of({**data, "case": [{**case, "expected": moved, "tolerance": tolerance}]}))
    assert [x.agrees for x in wrong] == [False] * len(true)


@pytest.mark.parametrize(("printed", "front_radius_mm", "agrees"), [("inf", inf, True), ("inf", 15.0, False), ("100.0", inf, False)])
def test_what_is_infinite_agrees_with_nothing_else(printed, front_radius_mm, agrees):
    inputs = {"front_radius_mm": front_radius_mm, "back_radius_mm": inf, "center_thickness_mm": 0.9, "n_lens": 1.49}
    source = {"authors": "nobody", "title": "a window has no focus", "seen": "read", "kind": "derived by hand"}
    case = {"name": "x", "source": "s", "where": "-", "function": "thick_lens", "inputs": inputs, "expected": {"back_focal_length_mm": printed}}
    lines = list(lines_of({"subject": "-", "sources": {"s": source}, "case": [case]}))
    assert [x.agrees for x in lines] == [agrees]
    assert [w.worst for w in worst_by_source(lines)] == [0.0 if agrees else inf]


def test_an_unknown_model_is_refused():
    with pytest.raises(ValueError, match="gauge_block"):
        FUNCTIONS["propagate"](model="gauge_blok")


def test_the_tolerance_is_half_a_unit_of_the_last_digit():
    assert half_unit("1.33299") == 5e-6
    assert half_unit("2.50") == 0.005
    assert half_unit("50000838") == 0.5


def test_the_worst_of_each_source_counts_every_value():
    lines = run()
    worst = worst_by_source(lines)
    assert sum(w.values for w in worst) == len(lines)
    assert all(w.worst <= 1 + 1e-6 for w in worst)
