"""A toric lens against entered tolerances; differences by hand."""

import pytest

from lenscalc import InputError
from lenscalc.decision import toric_conformity

LABEL = {"labelled_sphere_D": 20.0, "labelled_cylinder_D": 3.0, "labelled_axis_deg": 175.0}
LIMITS = {"tolerance_mean_power_D": 0.4, "tolerance_cylinder_D": 0.3, "tolerance_axis_deg": 5.0}


def test_each_of_the_three_counts():
    c = toric_conformity([20.0, 20.6, 19.8, 20.0], cylinder_D=[3.0, 3.0, 3.4, 3.0], axis_deg=[175.0, 175.0, 175.0, 1.0], **LABEL, **LIMITS)
    assert c.mean_power_difference_D == pytest.approx([0.0, 0.6, 0.0, 0.0])
    assert c.cylinder_difference_D == pytest.approx([0.0, 0.0, 0.4, 0.0])
    assert c.axis_difference_deg == pytest.approx([0.0, 0.0, 0.0, 6.0])
    assert c.within_tolerance.tolist() == [True, False, False, False]


def test_an_axis_is_the_same_after_half_a_turn():
    assert toric_conformity(20.0, cylinder_D=3.0, axis_deg=-5.0, **LABEL, **LIMITS).within_tolerance is True


def test_there_is_no_default_tolerance():
    with pytest.raises(TypeError, match="tolerance_axis_deg"):
        toric_conformity(20.0, cylinder_D=3.0, axis_deg=175.0, **LABEL, tolerance_mean_power_D=0.4, tolerance_cylinder_D=0.3)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"tolerance_cylinder_D": -0.1}, "must be 0 or more"), ({"tolerance_axis_deg": "five"}, "is not a number"),
        ({"tolerance_axis_deg": 10**400}, "tolerance_axis_deg is a whole number too large for any measurement"),
        ({"labelled_cylinder_D": -3.0}, "opposite signs"), ({"labelled_sphere_D": float("nan")}, "sphere_D is missing"),
    ],
)  # fmt: skip
def test_what_cannot_be_compared_is_refused(change, told):
    with pytest.raises(InputError, match=told):
        toric_conformity(20.0, cylinder_D=3.0, axis_deg=175.0, **{**LABEL, **LIMITS, **change})
