"""What a row and a sheet are told, once and where it belongs; a label of no power."""

from dataclasses import replace

import numpy as np
import pytest

from lenscalc.chain import evaluate, follow_index
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_text
from lenscalc.refractometer.lamp import knows_prism

LENS = {"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": [0.9]}
READ = {**LENS, "n_reading": [1.49], "reading_temperature_degC": [35.0], "index_state": ["hydrated"], "index_basis": ["air"]}


@pytest.mark.parametrize("radii", [(15.0, -15.0), (-20.0, -9.0)])
def test_for_a_label_of_no_power_both_surfaces_are_flat(radii):
    """Both curvatures are multiplied by one number, and of 0 D it is 0: plano, which is an infinite radius without a sign."""
    table = {**LENS, "front_radius_mm": [radii[0]], "back_radius_mm": [radii[1]], "n_lens": [1.49], "labelled_power_D": [0.0]}
    found = evaluate(table, compute=("recut_front_radius_mm", "recut_back_radius_mm"))
    assert [found.columns[f"recut_{side}_radius_mm"].tolist() for side in ("front", "back")] == [[np.inf], [np.inf]]


def test_for_the_power_it_has_a_lens_turned_round_keeps_its_radii():
    """All curvatures times −1 is the power times −1 but for the thickness: of a thin lens the radii change their signs alone."""
    table = {**LENS, "center_thickness_mm": [0.0], "n_lens": [1.49], "n_medium": [1.336], "labelled_power_D": [-154.0 / 7.5]}
    found = evaluate(table, compute=("recut_front_radius_mm", "recut_back_radius_mm"))
    assert found.columns["recut_front_radius_mm"][0] == pytest.approx(-15.0, rel=1e-12, abs=0.0)
    assert found.columns["recut_back_radius_mm"][0] == pytest.approx(15.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("wavelength", "told"), [("green", "reading_wavelength_nm = green"), ("", "reading_wavelength_nm is missing")])
def test_a_wavelength_that_is_none_is_told_once(wavelength, told):
    (problem,) = evaluate({**READ, "reading_wavelength_nm": np.array([wavelength], dtype=object)}).problems
    assert problem.count("reading_wavelength_nm") == 1, problem
    assert told.partition(" ")[0] in problem


@pytest.mark.parametrize(("basis", "told"), [("air", False), ("unknown", True)])
def test_a_calibration_says_what_becomes_of_an_unknown_basis_and_of_no_other(basis, told):
    sheet = sheet_from_text(demo_text("copolymer_b.toml"))
    found = follow_index(replace(sheet, readings=tuple(replace(r, basis=basis) for r in sheet.readings)))
    assert any("basis unknown: the references are relative to air" in w for w in found.warnings) is told


@pytest.mark.parametrize(("lines", "known"), [(0, False), (1, False), (2, True)])
def test_the_dispersion_of_a_prism_is_known_from_two_lines_on(lines, known):
    glass = [{"wavelength_nm": 546.07, "n_prism": 1.7590}, {"wavelength_nm": 589.29, "n_prism": 1.7552}]
    assert knows_prism({"kind": "prism contact", "prism": glass[:lines], "prism_apex_deg": 60.0}) is known
