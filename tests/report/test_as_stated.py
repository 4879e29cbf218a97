"""What is decided at a number is printed with all its digits, and what is uncertain with no more than it has; print, picture and command alike."""

import re

import pytest
from called import lenscalc
from sheets import C

from lenscalc.charts import power_against_index, power_in_tolerance
from lenscalc.charts.powers_about_labels import powers_about_labels
from lenscalc.report import determine
from lenscalc.uncertainty import probability_text

# ± 0.155 D about 20.41 D, by hand: 20.255 and 20.565 D, which two decimals would move by 0.005 D
NARROW = C.replace("labelled_power_D = 20.5", 'labelled_power_D = 20.41\ntolerance_D = 0.155\ntolerance_from = "our own"')


def figures(text):
    return {f.quantity: f.text for s in determine(text).tree.sections for g in s.groups for f in g.figures}


def of_command(tmp_path, text):
    (tmp_path / "sheet.toml").write_text(text, encoding="utf-8")
    found = re.findall(r"^  (\S.*?) {2,}(\S.*)$", lenscalc("follow", str(tmp_path / "sheet.toml")).stdout, re.MULTILINE)
    return dict(found)


def test_limits_and_label_are_not_rounded(tmp_path):
    printed = figures(NARROW)
    assert (printed["labelled_power_D"], printed["limits_D"]) == ("20.41 D", "20.255 to 20.565 D")
    assert of_command(tmp_path, NARROW)["label and limits"] == "20.41 D, 20.255 to 20.565 D"
    assert figures(C)["limits_D"] == "20.10 to 20.90 D"


def test_what_is_far_outside_names_the_very_limit():
    (said,) = {s.says[0] for s in determine(NARROW.replace("20.41", "22.125")).tree.sections if s.question == "What to improve first?"}
    assert "below the lower limit of 21.97 D" in said  # 22.125 − 0.155
    (said,) = {s.says[0] for s in determine(NARROW.replace("20.41", "22.12")).tree.sections if s.question == "What to improve first?"}
    assert "below the lower limit of 21.965 D" in said


def test_pictures_name_the_very_limits():
    drawn = power_in_tolerance(20.42, 0.06, 20.255, 20.565, labelled_power_D=20.41).to_dict()
    assert drawn["description"].endswith("the tolerance of 20.255 to 20.565 D.")
    assert "Tolerance of the label 20.41 D: 20.255 to 20.565 D" in [row["text"] for row in drawn["datasets"]["words"]]
    limits = {"labelled_power_D": 20.125, "lower_limit_D": 19.725, "upper_limit_D": 20.525}
    drawn = power_against_index(15.0, -15.0, 0.9, 1.49, **limits).to_dict()
    assert drawn["description"].endswith("; tolerance 19.725 to 20.525 D.")
    assert {row["text"] for row in drawn["datasets"]["limits"]} == {"upper limit 20.525 D", "label 20.125 D", "lower limit 19.725 D"}


@pytest.mark.parametrize(("text", "focus"), [(C, "65.02 mm"), (C.replace("u_calibration = 0.0002", "u_calibration = 0.02"), "65.0 mm")])
def test_the_back_focal_length_has_the_digits_of_the_power(tmp_path, text, focus):
    """By hand for 20.42 D, u 0.060 D, and 65.023 mm: u 65.0·0.060/20.4 = 0.19 mm; with a calibration of 0.02, u of the power 2.7 D, 8.5 mm."""
    assert figures(text)["back_focal_length_mm"] == focus
    assert of_command(tmp_path, text)["back focal length"] == focus


def test_a_probability_beside_the_required_one_is_told_from_it():
    """Φ(1.644) = 0.94991, not enough for 0.95: that it is "0.950" and yet not enough would be read as an error."""
    assert probability_text(0.94991, required=0.95) == "0.9499"
    assert probability_text(0.949999999, required=0.95) == "0.950"  # nearer than anybody asks
    assert probability_text(0.95, required=0.95) == "0.950"
    assert probability_text(0.99991, required=1.0) == "0.9999"
    assert probability_text(0.99991) == "above 0.999"


def test_a_picture_writes_one_minus():
    drawn = power_in_tolerance(-20.42, 0.06, -20.9, -20.1, labelled_power_D=-20.5, acceptance_lower_D=-20.78, acceptance_upper_D=-20.22).to_dict()
    assert drawn["description"] == "Power −20.420 D, 95 % interval −20.538 to −20.302 D, inside the tolerance of −20.90 to −20.10 D."
    assert not any("-" in row["text"] for row in drawn["datasets"]["words"])


def test_a_row_of_candidates_names_the_very_label():
    limits = {"half_D": [0.1], "label_D": [-20.125], "lower_D": [-20.525], "upper_D": [-19.725]}
    drawn = powers_about_labels.drawing(["A"], [-20.11], **limits, kinds=["yes"], all_kinds=["yes"])
    assert drawn.tables["rows"]["text"].tolist() == ["A: −20.11 D for −20.125 D"]
