"""A back radius typed without its minus: the power with the other sign, by hand, and when it is said."""

import tomllib
from math import inf

import pytest

from lenscalc.chain import follow
from lenscalc.chain.back_sign import back_sign_told, other_back_sign_D
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_data

ROW = {"front_radius_mm": 15.2, "back_radius_mm": 15.2, "center_thickness_mm": 0.92, "optic_diameter_mm": 6.0, "labelled_power_D": 21.5}


def said(n=1.5, power=0.0714, **changes):
    return other_back_sign_D(ROW | changes, n_lens=n, power_D=power)


def test_the_power_with_the_other_sign_by_hand():
    """F1 = F2 = 0.164/0.0152 = 10.789474 D; F = 21.578947 − (0.00092/1.5)·116.412742 = 21.578947 − 0.071400 = 21.507547 D."""
    assert said() == pytest.approx(21.507547, abs=2e-6)


def test_a_hollow_back_by_hand():
    """A biconcave lens: front −20, back typed −20 in place of 20. F1 = F2 = −0.164/0.02 = −8.2; F = −16.4 − (0.0005/1.5)·67.24 = −16.422413 D."""
    hollow = {"front_radius_mm": -20.0, "back_radius_mm": -20.0, "center_thickness_mm": 0.5, "labelled_power_D": -16.0}
    assert said(power=0.0, **hollow) == pytest.approx(-16.422413, abs=2e-6)


def test_a_lens_of_less_index_than_its_medium_by_hand():
    """Of 1.30 the surfaces of −30 and 30 mm have −0.036/−0.03 = 1.2 D each: 2.4 − (0.0005/1.3)·1.44 = 2.399446 D."""
    low = {"front_radius_mm": -30.0, "back_radius_mm": -30.0, "center_thickness_mm": 0.5, "labelled_power_D": 2.4}
    assert said(n=1.30, power=0.0, **low) == pytest.approx(2.399446, abs=2e-6)


def test_a_nearly_flat_back_of_a_lens_near_its_label_is_no_slip():
    """10.79 D from the front, and ∓0.016 D from a back of ±10 m: both signs are near the label."""
    assert said(power=10.773, back_radius_mm=1e4, labelled_power_D=10.8) is None


@pytest.mark.parametrize(
    "changes",
    [
        {"labelled_power_D": 0.0}, {"labelled_power_D": 2.0714}, {"labelled_power_D": 22.508}, {"labelled_power_D": 20.507}, {"back_radius_mm": inf},
        {"center_thickness_mm": 0.5}, {"n": 1.336},
    ],
)  # fmt: skip
def test_it_is_not_said(changes):
    """Near its label already, or by 2 D; no nearer than 1 D with the other sign; plano; an edge of 0.5 − 2·0.299 mm; no power at all."""
    assert said(**changes) is None


def test_it_is_said_up_to_its_limits():
    assert said(labelled_power_D=22.507) is not None
    assert said(labelled_power_D=20.508) is not None


def test_without_a_label_nothing_is_said():
    row = {name: value for name, value in ROW.items() if name != "labelled_power_D"}
    assert other_back_sign_D(row, n_lens=1.5, power_D=0.07) is None


def test_a_sheet_says_it_of_the_radius_as_it_was_measured():
    data = tomllib.loads(demo_text("copolymer_e.toml"))
    [whole] = [r for r in [follow(sheet_from_data(data))] if not any("back radius of" in w for w in r.warnings)]
    data["lens"]["back_radius_mm"]["value"] = 11.2  # dry; wet it is larger, and the power is that of the wet lens
    told = follow(sheet_from_data(data)).warnings[-1]
    assert told == back_sign_told(11.2, whole.evaluation.only("power_D"))
    assert told == "with a back radius of −11.2 mm the power would be 21.43 D: a back surface that bulges outwards has a minus"
