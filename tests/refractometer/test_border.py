"""The border of a critical-angle instrument: where Snell's law puts it, how it moves, how bright the field is."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.light import fresnel, snell_deg
from lenscalc.refractometer import border, border_brightness, critical_angle_index

SPECIMEN, PRISM = st.floats(1.3, 1.7), st.floats(1.71, 2.0)


@given(SPECIMEN, PRISM)
def test_the_border_is_the_arcsine_of_the_ratio_and_reads_back(n, N):
    at = border(n, N).angle_deg
    assert at == pytest.approx(math.degrees(math.asin(n / N)), abs=1e-12)
    assert critical_angle_index(N, at) == pytest.approx(n, abs=1e-14)


@given(SPECIMEN, PRISM)
def test_it_moves_as_a_small_step_of_the_index_says(n, N):
    step = 1e-6
    moved = (border(n + step, N).angle_deg - border(n - step, N).angle_deg) / (2 * step)
    assert border(n, N).movement_deg_per_index == pytest.approx(moved, rel=1e-6, abs=0.0)


@given(SPECIMEN, PRISM, st.floats(0.0, 90.0))
def test_what_goes_through_and_what_is_reflected_is_all(n, N, angle):
    through, reflected = (border_brightness(n, N, angle, light=light) for light in ("through", "reflected"))
    assert through + reflected == pytest.approx(1.0, abs=1e-12)
    if angle > border(n, N).angle_deg + 1e-9:
        assert (through, reflected) == (0.0, 1.0)


@given(SPECIMEN, PRISM, st.floats(0.0, 89.0))
def test_the_face_lets_the_same_part_through_both_ways(n, N, angle):
    """The field is the transmittance of the ray that came through the specimen, followed forwards from there by Snell's law."""
    inside = float(snell_deg(n, N, angle))
    assert border_brightness(n, N, inside) == pytest.approx(fresnel(n, N, angle).transmittance, abs=1e-9)


@given(SPECIMEN, PRISM)
def test_the_field_ends_at_the_border_as_a_root_does(n, N):
    """T ≈ 4·cos θ1·(…): near the border cos θ1 goes with the root of the distance, so a quarter of the distance leaves half the light."""
    assume(N - n > 0.02)
    at = border(n, N).angle_deg
    near, nearer = (border_brightness(n, N, at - d) for d in (4e-6, 1e-6))
    assert near / nearer == pytest.approx(2.0, rel=0.02, abs=0.0)


def test_columns_and_words():
    at = border([1.33, 1.49], 1.75)
    assert np.shape(at.angle_deg) == (2,)
    assert isinstance(border(1.49, 1.75).angle_deg, float)
    assert np.shape(border_brightness(1.49, 1.75, np.linspace(0, 90, 7))) == (7,)
    with pytest.raises(InputError, match=r"n_prism = 1\.49: must be above the specimen's index, 1.6") as told:
        border(1.6, 1.49)
    assert told.value.quantity == "n_prism"
    with pytest.raises(InputError, match=r"n_reading = 14\.9: must be 1 to 3; is the decimal point one place off"):
        border(14.9, 1.75)
    with pytest.raises(InputError, match="unknown light 'throuhg'; did you mean through"):
        border_brightness(1.49, 1.75, 10.0, light="throuhg")
    with pytest.raises(InputError, match="angle_deg = 91"):
        border_brightness(1.49, 1.75, 91.0)


def test_the_first_of_several_that_have_no_border_is_named():
    with pytest.raises(InputError, match=r"n_prism = 1\.5: .*specimen's index, 1\.55"):
        border([1.49, 1.55, 1.6], 1.5)


def test_a_prism_of_the_specimens_own_index_has_no_border():
    with pytest.raises(InputError, match=r"n_prism = 1\.5: "):
        border(1.5, 1.5)


def test_a_prism_has_an_index_of_1_to_3():
    assert border(1.49, 3.0).angle_deg == pytest.approx(np.rad2deg(np.arcsin(1.49 / 3.0)), rel=1e-14, abs=0.0)
    with pytest.raises(InputError, match=r"n_prism = 3\.001: must be 1 to 3"):
        border(1.49, 3.001)
