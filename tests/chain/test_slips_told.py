"""A unit, a sign or a lot that is another one than meant: said beside the verdict, where the numbers show it."""

import numpy as np
import pytest
from one_row import READ, evaluated

FAR, WIDE = "the power lies more than 5 D from the label", "u of the power is more than 3 times the tolerance"


# ROW is 20.47 D for a label of 20.5 D (facts: the first thick lens)
@pytest.mark.parametrize(
    "changes",
    [
        {"labelled_power_D": -20.5},
        {"labelled_power_D": 2.05},
        {"front_radius_mm": -15.0, "back_radius_mm": 15.0},
        {"back_radius_mm": 15.0},
        {"front_radius_mm": 1.5, "back_radius_mm": -1.5, "u_front_radius_mm": 0.002, "u_back_radius_mm": 0.002},
        {"front_radius_mm": 15_000.0, "back_radius_mm": -15_000.0},
        {"n_lens": 1.55},
        {"n_lens": 1.333},
    ],
    ids=["label's sign", "label's point", "both signs", "one sign", "cm", "µm", "another lot", "water"],
)
def test_a_power_far_from_its_label_is_said(changes):
    assert f"{FAR}: is a unit, a sign, the label or the lot another one than meant?" in evaluated(**changes).warnings[0]


@pytest.mark.parametrize(("label", "said"), [(20.5, False), (15.5, False), (25.4, False), (15.4, True), (25.5, True), ("", False)])
def test_how_far_is_far(label, said):
    assert (FAR in evaluated(labelled_power_D=label).warnings[0]) is said


def test_of_another_medium_nothing_is_said_of_the_label():
    assert FAR not in evaluated(n_medium=1.0).warnings[0]


# dF/dn is 132.5 D, dF/dR 0.68 D/mm (facts): 0.02 of index is 2.7 D, 2 mm of each radius 1.9 D; the tolerance is 0.4 D
@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"u_n_lens": 0.02}, True), ({"u_front_radius_mm": 2.0, "u_back_radius_mm": 2.0}, True), ({"u_n_lens": 2.0}, True),
        ({"u_n_lens": 0.0092}, True), ({"u_n_lens": 0.0089}, False), ({}, False), ({"u_n_lens": 0.0089, "tolerance_D": 0.3}, True),
        ({"tolerance_D": 0.0}, True), ({"u_n_lens": np.nan}, False),
    ],
)  # fmt: skip
def test_an_uncertainty_that_decides_nothing_is_said(changes, said):
    assert (f"{WIDE}: is an uncertainty a percentage, or in another unit?" in evaluated(**changes).warnings[0]) is said


def test_a_lens_that_cannot_be_is_told_with_the_dimension_that_is_unusual():
    (told,) = evaluated(front_radius_mm=1.5, back_radius_mm=-1.5, optic_diameter_mm=6.0).problems
    assert "is too wide" in told
    assert "front_radius_mm = 1.5 mm: usual is 4 to 200; is it in cm? write it in mm" in told
    (told,) = evaluated(center_thickness_mm=0.0009, optic_diameter_mm=6.0).problems
    assert told.endswith("; center_thickness_mm = 0.0009 mm: usual is 0.1 to 5; is it in metres? write it in mm")


@pytest.mark.parametrize(
    ("changes", "first"),
    [({"abbe_d": -52}, "abbe_d = -52: must be"), ({"dn_dt_per_K": -2.0}, "dn_dt_per_K = -2 1/K: must be"),
     ({"index_state": "dry", "hydration_shift": -4.1}, "hydration_shift = -4.1: must be")],
)  # fmt: skip
def test_what_was_refused_is_not_missing_too(changes, first):
    (told,) = evaluated(READ, **changes).problems
    assert told.startswith(first)
    assert "missing" not in told
