"""`lenscalc eye`: differences of refraction, the light's way, the index error in proportion, the coloured focus of two polymers."""

import pytest
from called import answer, lenscalc


def test_eye_answers_with_a_difference_only():
    a = answer("eye", "--labelled-power-D", "20.855", "--power-D", "21.855")
    # dR/dP is −0.704 at 20.855 D (worked outside the package); it grows by a few hundredths over a dioptre
    assert -0.704 - 0.02 < a["refraction_shift_D"] < -0.704
    assert "refraction_D" not in a


def test_eye_names_its_eye_and_moves_the_implant():
    a = answer("eye", "--labelled-power-D", "20", "--position-shift-mm", "0.1", "--schematic-eye", "le_grand_full")
    assert a["power_D"] == 20
    assert a["refraction_shift_D"] == pytest.approx(0.1 * a["d_refraction_d_position_mm"], rel=0.02, abs=0.0)
    assert "Le Grand" in a["eye"]
    b = answer("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--u-n-lens", "0.0004")
    assert b["u_n_lens_for_quarter_dioptre"] == pytest.approx(0.125 / abs(b["d_refraction_d_n_lens"]))
    assert b["u_refraction_shift_D"] == pytest.approx(0.0004 * abs(b["d_refraction_d_n_lens"]))
    assert b["refraction_shift_D"] == pytest.approx(0.001 * b["d_refraction_d_n_lens"], rel=0.02, abs=0.0)
    assert b["caution"]


def test_eye_tells_the_bias_of_a_lot_with_the_caution():
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001")
    assert done.returncode == 0
    for word in ("no number of", "makes 1 %", "index must be known", "Not a medical device"):
        assert word in done.stdout


def test_eye_shows_the_lights_way_as_vergences_and_their_changes():
    a = answer("eye", "--labelled-power-D", "20.5", "--power-D", "21.0", "--light-path")
    cornea, implant = a["light_path"]
    # by hand: 43.08/(1 − 0.005·43.08/1.336) = 51.3608 D before the implant; nothing changes there, and 0.5 D behind it
    assert cornea["behind_D"] == 43.08
    assert implant["before_D"] == pytest.approx(51.3608, abs=5e-5)
    assert [implant["change_before_D"], implant["change_behind_D"]] == pytest.approx([0.0, 0.5])
    # 1336/71.8608 − 1336/72.3608 mm nearer
    assert a["focus_shift_mm"] == pytest.approx(1336 / 72.3608 - 1336 / 71.8608, abs=1e-5)
    assert "refraction_D" not in str(a)
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--position-shift-mm", "0.2", "--light-path", "--schematic-eye", "le_grand_full")
    assert done.returncode == 0
    for word in ("back of the cornea, 0.55 mm", "focus", "No label is chosen for an eye here", "the retina", "Not a medical device"):
        assert word in done.stdout


def test_eye_sets_the_index_error_in_proportion():
    a = answer("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--in-proportion")
    shares = {x["source"]: x["share"] for x in a["proportion"]}
    assert shares["implant power"] == pytest.approx(0.01)  # printed in the abstract
    assert sum(shares.values()) == pytest.approx(1.0)
    assert a["lot_bias_D"] == pytest.approx(0.001 * a["d_refraction_d_n_lens"])
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--in-proportion")
    assert done.stdout.count("no number of") == 1
    for word in ("implant position, foreseen", "not a scatter: a bias", "Norrby 2008", "Not a medical device"):
        assert word in done.stdout


def test_eye_tells_the_chromatic_change_of_two_polymers():
    asked = ["eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--schematic-eye", "le_grand_full"]
    a = answer(*asked, "--abbe-d", "58", "--other-abbe-d", "40")
    # thin lens: −dR/dP·F·(Δ(n_F − n_C))/(n − m), with n_d 1.488
    rough = -a["d_refraction_d_power"] * 20.5 * 0.488 * (1 / 40 - 1 / 58) / (1.49 - 1.336)
    assert a["chromatic_span_change_D"] == pytest.approx(rough, rel=0.05, abs=0.0)
    assert answer(*asked, "--abbe-d", "40", "--other-abbe-d", "58")["chromatic_span_change_D"] == pytest.approx(-a["chromatic_span_change_D"])
    done = lenscalc(*asked, "--abbe-d", "58", "--other-abbe-d", "40")
    assert done.returncode == 0
    for word in ("as labelled", "span that is wider", "Not a medical device"):
        assert word in done.stdout
