"""What few cases meet: refusals with their sentences, searches for want of a quicker way, endings of loops. By room, in the order of the rooms."""

import re
import tomllib
from importlib.resources import files

import numpy as np
import pytest

import lenscalc
from lenscalc import InputError, decision, eye, light, material, refractometer, uncertainty
from lenscalc.decision import Criterion, Limit
from lenscalc.demo import demo_text
from lenscalc.errors import SheetError
from lenscalc.lens import edge_thickness_mm, ladder, mass_mg, recut, volume_mm3
from lenscalc.lens.chromatic_focus import chromatic_difference_D
from lenscalc.light import Beam, Surface, System
from lenscalc.material.dispersion_fit import Form
from lenscalc.quantities import as_number, quantity
from lenscalc.quantities.check import remark
from lenscalc.uncertainty import Input

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
EYE = eye.published_eye("le_grand_full")
MADE = eye.implanted(EYE, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)


REFUSED = {
    "coverage of a half-width": (lambda: Input.from_certificate(1.0, 0.1, probability=0.95, dof=0.0), "degrees of freedom must be above 0"),
    "no finite derivative": (
        lambda: uncertainty.propagate(lambda x: np.sqrt(x), {"x": Input(0.0, 0.1)}, second_order=True), "not finite"),
    "a function that has no Taylor series here": (
        lambda: uncertainty.propagate(lambda x: np.arccosh(x), {"x": Input(2.0, 0.1)}, second_order=True), "numpy's arccosh is not among"),
    "far out of focus": (lambda: light.strehl_ratio(LENS, Beam(6.0), wavelength_nm=546.07, focus=-60.0), "too many waves for a Strehl ratio"),
    "a field too wide": (
        lambda: light.point_spread(LENS, Beam(3.0), wavelength_nm=546.07, half_width_mm=5.0, points=5), "too wide, or the plane too far off"),
    "an oxygen bound to nitrogen": (lambda: material.molar_refraction("CN=O"), "there is no increment"),
    "a carbon with two bonds to sulphur": (lambda: material.molar_refraction("CC=S"), "there is no increment"),
    "no index at a wavelength": (lambda: _far_from_its_readings(), "the form gives no index there"),
    "beyond the prism": (lambda: _raised(refractometer.contact_liquid_problem(1.81, 1.85, 1.80)), "liquid = 1.85 is not below n_prism = 1.8"),
    "beyond the block": (lambda: refractometer.v_block_deviation_deg(1.4, 1.75), "too far from the block's"),
    "a V-block whose light leaves along its face": (lambda: refractometer.v_block_deviation_deg(1.52, 1.859), "too far from the block's"),
    "a double bond where the chain goes on": (lambda: material.molar_refraction("[*]=CC=[*]"), "no increment for one of its bonds; known are"),
    "a way of numpy's that has no Taylor series here": (
        lambda: uncertainty.propagate(lambda x: np.multiply(x, x, where=True), {"x": Input(2.0, 0.1)}, second_order=True), "not among"),
    "a volume below nothing": (lambda: mass_mg(-1.0, 1200.0), "must be 0 or more"),
    "a ladder of a grid": (
        lambda: ladder([[1.49, 1.5]], from_power_D=10, to_power_D=11, step_D=1, center_thickness_mm=0.9), "one index a candidate"),
    "a medium that is no aqueous": (lambda: chromatic_difference_D(15.0, -15.0, 0.9, 1.49, abbe_d=50.0, n_medium=1.0), "must be 1.32 to 1.36"),
    "no power at all within reach": (
        lambda: recut(20.0, 1.49, wanted_edge_thickness_mm=0.0, optic_diameter_mm=6.0, back_radius_mm=-2.0),
        "wider|no lens of this kind|cannot be reached"),
    "too strong for any eye": (lambda: eye.refraction(400.0), "no light from in front of the eye"),
    "no index error that large": (lambda: eye.index_error_behind(EYE, MADE, 80.0), "no error of the index within"),
    "a shape that a budget does not carry": (
        lambda: eye.refraction_change(EYE, MADE, MADE, u={"longer_mm": Input.from_half_width(0.0, 0.5, "trapezoid", top_to_base=0.5)}),
        "a trapezoid has a shape"),
    "a comparison": (lambda: decision.keeps(Limit("power_D", "~", 20.0), [20.0]), "comparison '~'"),
    "a direction": (lambda: decision.departure([1.0], "sideways"), "direction 'sideways'"),
    "near what": (lambda: decision.departure([1.0], "near"), "needs a target"),
    "half a trial": (lambda: decision.rank_trials([1.0, 2.0], u=0.1, trials=0.5), "must be a whole number"),
    "a missing value": (lambda: decision.rank_trials([1.0, np.nan], u=0.1), "missing or infinite"),
    "a missing uncertainty": (
        lambda: decision.rank_candidates({"power_D": [1.0, 2.0]}, [Criterion("power_D", "high")], u={"power_D": [0.1, np.inf]}),
        "missing or infinite"),
}  # fmt: skip


def _raised(sentence):
    raise InputError(sentence)


def _far_from_its_readings():
    steep = material.Dispersion.fit([480.0, 500.0, 520.0], [1.9, 1.5, 1.45], form="cauchy")
    steep.n(2000.0)


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_a_sentence(name):
    call, told = REFUSED[name]
    with pytest.raises(InputError, match=told):
        call()


SHEETS = {  # what is put in place of what, and what is said
    "a correction without its u": (
        'state = "hydrated"\nglass_transition_degC', 'state = "hydrated"\ndn_dt_per_K = -1e-4\nglass_transition_degC', "u_dn_dt_per_K is missing"),
    "a calibration of the future": ("date = 2026-11-19", "date = 2026-11-25", "lies after the readings"),
    "a slope without its u": ("certified_basis", "dn_dt_per_K = 1e-6\ncertified_basis", "u_dn_dt_per_K is missing"),
    "a medium without an index": (
        "[lens]", "[medium]\nwavelength_nm = 546.07\ntemperature_degC = 35.0\nbasis = \"air\"\n\n[lens]", "n_measured_medium is missing"),
    "a scale for another kind": ('kind = "prism contact"', 'kind = "minimum deviation"\nscale_wavelength_nm = 589.29', "belongs to prism contact"),
    "minutes that are none": ("session = [", "minutes_after_mounting = 3\nsession = [", "must be a list of minutes"),
    "a scale of another line": ("n_prism = 1.80", "n_prism = 1.80\nscale_wavelength_nm = 589.29", "is missing|prism"),
}  # fmt: skip


OTHER_SHEETS = {
    "terms beside an Abbe number": ("copolymer_c.toml", "abbe_d = 52.0", "abbe_d = 52.0\nterms = 2", "terms is given without form"),
    "a slope that nobody gives": ("copolymer_c.toml", "dn_dt_per_K = -2.0e-4\nu_dn_dt_per_K = 2.0e-5\n", "", "dn_dt_per_K is missing"),
    "a shift without its u": ("copolymer_e.toml", "u_hydration_shift = 0.0012\n", "", "u_hydration_shift is missing"),
}


@pytest.mark.parametrize("name", [*SHEETS, *OTHER_SHEETS])
def test_a_sheet_is_refused_in_a_sentence(name):
    sheet, old, new, told = OTHER_SHEETS[name] if name in OTHER_SHEETS else ("copolymer_b.toml", *SHEETS[name])
    text = demo_text(sheet)
    assert old in text
    tomllib.loads(changed := text.replace(old, new, 1))
    with pytest.raises(SheetError, match=told):
        lenscalc.follow(refractometer.sheet_from_text(changed))


def test_a_search_finds_the_lens_where_newton_leaps_over_the_largest_power():
    """Just below the most that can be reached: found along the whole stretch, and it has the power."""
    found = recut(49.4347632, 1.6, wanted_edge_thickness_mm=0.05, optic_diameter_mm=6.0, shape_factor=3.0)
    falling = recut(0.3834272999999939, 1.6, wanted_edge_thickness_mm=0.1, optic_diameter_mm=8.0, back_radius_mm=-4.0)
    for lens, power, edge, diameter in ((found, 49.4347632, 0.05, 6.0), (falling, 0.3834272999999939, 0.1, 8.0)):
        F1, F2 = 264.0 / lens.front_radius_mm, -264.0 / lens.back_radius_mm  # 1000·(1.6 − 1.336)
        assert F1 + F2 - lens.center_thickness_mm / 1600.0 * F1 * F2 == pytest.approx(power, abs=1e-8)
        assert edge_thickness_mm(*lens[:3], diameter) == pytest.approx(edge, abs=1e-9)


def test_a_lens_that_is_thin_nowhere_passes_though_a_zone_is_looked_at():
    """A conic whose thickness only touches 0 at the rim: no sentence, and a volume."""
    t = float(-edge_thickness_mm(15.0, -15.0, 0.0, 6.0, front_conic=-1.0))
    assert volume_mm3(15.0, -15.0, t * (1 + 1e-12), 6.0, front_conic=-1.0) > 0


def test_parameters_of_a_form_are_named_with_their_units():
    """Cauchy's A has none, B is in µm², C in µm⁴; of a series, the power in µm it is divided by."""
    assert material.Dispersion.fit([450.0, 550.0, 650.0], [1.5, 1.495, 1.49], form="cauchy").parameter_names == ("a", "b_um2")
    sellmeier = Form("sellmeier", 2)
    assert sellmeier.parameter_names == ("b1", "c1_um2", "b2", "c2_um2")
    assert Form("one resonance", 2).parameter_names == ("a", "b")
    assert Form("water", 3).parameter_names == ("a", "b", "c_um2")


def test_a_radius_that_nobody_has_is_nan_and_what_is_usual_needs_no_remark():
    assert np.isnan(as_number("n_lens", "nan"))
    assert remark(quantity("n_lens"), 1.49) is None


def test_an_uncertainty_of_nothing_is_shown_with_six_decimals():
    assert uncertainty.decimals_for(0.0) == uncertainty.decimals_for(float("inf")) == 6


def test_strict_says_nothing_where_nothing_is_wrong():
    clean = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    e = lenscalc.evaluate(clean | {f"u_{name}": 1e-4 for name in clean} | {"n_medium": 1.336}, compute=("power_D",), strict=True)
    assert e.only("power_D") == pytest.approx(20.469666, abs=1e-6)


def test_two_media_each_with_an_uncertainty_of_its_own():
    """u² of the power by n_medium_behind alone: (∂F/∂m2·u)², ∂F/∂m2 = c2·(1 − T·F1)·1000."""
    of = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    of |= {"n_medium": 1.0, "n_medium_behind": 1.336}
    e = lenscalc.evaluate(of | {"u_n_medium_behind": 1e-3}, compute=("u_power_D",))
    slope = 1000.0 / 15.0 * (1.0 - 0.9 / 1490.0 * 1000.0 * 0.49 / 15.0)
    assert e.only("u_power_D") == pytest.approx(1e-3 * slope, rel=1e-12, abs=0.0)


def test_true_is_no_number():
    radii = np.array([15.0, True], dtype=object)
    e = lenscalc.evaluate({"front_radius_mm": radii, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49})
    assert e.problems[0] == ""
    assert "front_radius_mm = True is not a number" in e.problems[1]


def test_no_candidates_have_no_ranks():
    found = decision.rank_trials(np.zeros((0, 2)), trials=10, weights=[1.0, 1.0])
    assert found.probability.shape == (0, 0)


def test_a_target_may_be_another_column():
    values = {"power_D": [20.1, 21.0], "labelled_power_D": [20.5, 21.0]}
    found = decision.rank_candidates(values, [Criterion("power_D", "near", "labelled_power_D")])
    assert found.order.tolist() == [1, 0]


def test_a_required_probability_of_one_half_has_no_acceptance_limits_of_its_own():
    assert len(decision.by_rules(20.5, 0.1, np.inf, 20.1, 20.9, 0.5)) == len(decision.by_rules(20.5, 0.1, np.inf, 20.1, 20.9, 0.95)) - 1


def test_minus_a_taylor_series_is_minus_each_term():
    """f = −x³ has −3x²·u to the first order: the sign cancels in u."""
    both = (lambda x: x * x * x, lambda x: np.negative(x * x * x))
    one, other = (uncertainty.propagate(f, {"x": Input(2.0, 0.01)}, second_order=True) for f in both)
    assert other.value == -one.value
    assert other.u == one.u


def test_a_trial_run_that_is_stopped_before_its_first_block_is_stopped():
    with pytest.raises(KeyboardInterrupt):
        uncertainty.run_trials(_interrupted, {"x": Input(1.0, 0.1)}, trials=20_000, workers=1)


def _interrupted(x):
    raise KeyboardInterrupt


def test_the_shares_of_the_steps_are_the_whole():
    f = lenscalc.follow(refractometer.sheet_from_text(demo_text("copolymer_c.toml")))
    shares = f.index.shares()
    assert len(shares) == len(f.index.steps)
    assert sum(shares) == pytest.approx(1.0, rel=1e-12, abs=0.0)
    assert min(shares) >= 0.0


@pytest.mark.parametrize(
    ("source", "told"), [("[source]", "is empty"), ('[source]\nauthors = "A"\ntitle = "T"\nyear = 15\nread_in = "B"', "year = 15")],
)
def test_a_polymer_without_a_source_is_refused(tmp_path, source, told):
    from lenscalc.material.polymer_file import read_polymers

    published = (files("lenscalc.material") / "polymers" / "beadie_2015.toml").read_text(encoding="utf-8")
    (tmp_path / "one.toml").write_text(re.sub(r"\[source\].*?\n(?=\[)", f"{source}\n", published, flags=re.DOTALL), encoding="utf-8")
    with pytest.raises(InputError, match=told):
        read_polymers(tmp_path / "one.toml", own=True)


def test_a_day_with_a_reading_left_out_is_told(tmp_path):
    from lenscalc.refractometer.day import read_day

    (tmp_path / "day.csv").write_text("specimen,n,operator\nA,1.4901,x\nA,,y\n", encoding="utf-8")
    (one,) = read_day(str(tmp_path / "day.csv"), {})
    assert "n is empty" in one.problem
