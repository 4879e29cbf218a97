"""Edge thickness against plain circle geometry."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError
from lenscalc.lens import center_thickness_for_edge_mm, edge_thickness_mm, volume_mm3, why_not

radii = st.one_of(st.just(np.inf), st.floats(4.0, 200.0), st.floats(-200.0, -4.0))


def depth(R, h):
    """How far a circle of radius R lies behind its vertex at height h: R − √(R² − h²), on the side of its centre."""
    return 0.0 if np.isinf(R) else (1.0 if R > 0 else -1.0) * (abs(R) - sqrt(R * R - h * h))


@given(radii, radii, st.floats(0.0, 5.0), st.floats(0.5, 7.9))
def test_edge_is_centre_less_front_sag_plus_back_sag(R1, R2, t, D):
    assert edge_thickness_mm(R1, R2, t, D) == pytest.approx(t - depth(R1, D / 2) + depth(R2, D / 2), abs=1e-12)


def test_a_sag_of_whole_numbers():
    # circle of radius 5 at height 3: 5 − 4 = 1 (3-4-5 triangle)
    assert edge_thickness_mm(5.0, -5.0, 2.5, 6.0) == pytest.approx(0.5, abs=1e-15)
    assert edge_thickness_mm(5.0, 5.0, 0.7, 6.0) == pytest.approx(0.7, abs=1e-15)


def test_what_can_exist_has_no_complaint():
    assert why_not(5.0, -5.0, 2.5, 6.0) is None
    assert why_not(np.inf, np.inf, 0.1, 100.0) is None
    # a paraboloid of 15 mm has a sag of 9/30 = 0.3 mm at a height of 3 mm
    assert why_not(15.0, np.inf, 0.3001, 6.0, front_conic=-1.0) is None
    assert "edge thickness -0.001 mm" in why_not(15.0, np.inf, 0.299, 6.0, front_conic=-1.0)


def test_a_negative_edge_is_refused():
    text = why_not(5.0, -5.0, 1.5, 6.0)
    assert "edge thickness -0.500 mm" in text
    assert "optic_diameter_mm = 6" in text


@pytest.mark.parametrize(
    ("lens", "side", "radius"),
    [((5.0, -20.0, 3.0), "front", "5"), ((5.0, -6.0, 3.0), "front", "5"), ((-20.0, -5.0, 3.0), "back", "-5"), ((np.inf, 5.0, 3.0), "back", "5")],
)  # fmt: skip
def test_an_optic_wider_than_a_sphere_names_the_radius_that_is_too_short(lens, side, radius):
    """Half of 10.5 mm is what a sphere's radius must reach."""
    assert why_not(*lens, 10.5) == (
        f"optic_diameter_mm = 10.5 mm is too wide: the {side} radius of {radius} mm must be 5.25 mm or more in magnitude; "
        "make the optic smaller or the radius longer"
    )


def test_an_even_term_of_each_side_moves_the_centre():
    """Between planes a front term a·h⁴ takes its rise from the edge, and a back term gives it: 1e-3·3⁴ = 0.081 mm."""
    for side, center in (("front", 0.381), ("back", 0.219)):
        found = center_thickness_for_edge_mm(np.inf, np.inf, 0.3, 6.0, **{f"{side}_aspheric": {4: 1e-3}})
        assert found == pytest.approx(center, rel=1e-14, abs=0.0)


@pytest.mark.parametrize(
    ("refused", "told"),
    [
        (lambda: center_thickness_for_edge_mm([15.0, 15.0, 5.0], -15.0, 0.3, 12.0), ("optic_diameter_mm", 12.0)),
        (lambda: center_thickness_for_edge_mm([15.0, 15.0, -15.0], 15.0, 0.3, 6.0), ("wanted_edge_thickness_mm", 0.3)),
        (lambda: volume_mm3([15.0, 15.0, 5.0], -15.0, 0.9, 6.0), (None, None)),
    ],
)
def test_the_row_that_cannot_be_is_told(refused, told):
    """The third: 5 mm end before 6 mm; −15/15 mm are 2·0.303 mm thinner in the centre; 5/−15 mm lose 1.303 mm of 0.9 to the edge."""
    with pytest.raises(InputError, match=r"^row 3: ") as caught:
        refused()
    assert (caught.value.quantity, caught.value.value, caught.value.row) == (*told, 3)


def test_one_lens_that_cannot_be_has_no_row():
    with pytest.raises(InputError, match=r"^edge thickness") as caught:
        volume_mm3(5.0, -15.0, 0.9, 6.0)
    assert caught.value.row is None
