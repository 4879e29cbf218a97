"""From the dimension as measured to the dimension in use; all expected values by hand."""

from math import hypot

import pytest

from lenscalc import InputError
from lenscalc.lens import Dimension, dimension_in_use
from lenscalc.uncertainty import Source, estimate

OWN = Source("front radius", scope="lens")
SWELLING = estimate(0.10, 0.01, Source("linear swelling"))
EXPANSION = estimate(7e-5, 2e-5, Source("linear expansion"))


def measured(state, temperature_degC, length=10.0, u=0.02, own=OWN):
    return Dimension("front_radius_mm", estimate(length, u, own), state, temperature_degC)


def test_measured_as_used_stays_as_it_is():
    used = dimension_in_use(measured("hydrated", 35.0), None, None)
    assert (used.value, used.u) == (10.0, pytest.approx(0.02))


def test_corrections_that_are_given_but_not_needed_do_nothing():
    used = dimension_in_use(measured("hydrated", 35.0), SWELLING, EXPANSION)
    assert (used.value, used.u, set(used.parts)) == (10.0, pytest.approx(0.02), {OWN})


@pytest.mark.parametrize("state", ["Dry", "wet", ""])
def test_a_state_that_is_none_is_not_taken_for_hydrated(state):
    with pytest.raises(InputError, match=f"^unknown state of a dimension '{state}'"):
        measured(state, 23.0)


def test_swelling():
    used = dimension_in_use(measured("dry", 35.0), SWELLING, None)
    assert used.value == pytest.approx(11.0)
    assert used.u == pytest.approx(hypot(1.1 * 0.02, 10.0 * 0.01))


def test_expansion_from_23_degrees():
    used = dimension_in_use(measured("hydrated", 23.0), None, EXPANSION)
    assert used.value == pytest.approx(10.0 * (1 + 7e-5 * 12))
    assert used.u == pytest.approx(hypot(1.00084 * 0.02, 10.0 * 12 * 2e-5))


def test_swelling_and_expansion():
    used = dimension_in_use(measured("dry", 23.0, length=-10.0), SWELLING, EXPANSION)
    assert used.value == pytest.approx(-10.0 * 1.1 * 1.00084)
    assert used.parts[OWN] == pytest.approx(1.1 * 1.00084 * 0.02)
    assert used.parts[next(iter(SWELLING.parts))] == pytest.approx(-10.0 * 1.00084 * 0.01)
    assert used.parts[next(iter(EXPANSION.parts))] == pytest.approx(-10.0 * 1.1 * 12 * 2e-5)


def test_two_radii_share_the_error_of_the_swelling():
    front = dimension_in_use(measured("dry", 35.0), SWELLING, None)
    back = dimension_in_use(measured("dry", 35.0, length=-12.0, own=Source("back radius", scope="lens")), SWELLING, None)
    assert front.covariance(back) == pytest.approx(10.0 * -12.0 * 0.01**2)


@pytest.mark.parametrize(
    ("dimension", "swelling", "expansion", "wanted"),
    [
        (measured("dry", 35.0), None, EXPANSION, "linear_swelling"),
        (measured("hydrated", 23.0), SWELLING, None, "linear_expansion_per_K"),
        (measured("dry", 23.0), SWELLING, None, "linear_expansion_per_K"),
    ],
)
def test_a_correction_that_is_needed_is_never_taken_as_nothing(dimension, swelling, expansion, wanted):
    with pytest.raises(InputError, match=wanted) as caught:
        dimension_in_use(dimension, swelling, expansion)
    assert caught.value.quantity == "front_radius_mm"
