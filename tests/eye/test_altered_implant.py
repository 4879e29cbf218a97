"""The slopes of "what if" against light followed by hand, in the teaching eye and in published ones."""

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import (
    TEACHING_EYE,
    Plane,
    eye_sensitivities,
    implant_path,
    implanted,
    light_path_of,
    planes_with_implant,
    published_eye,
    refraction,
    refraction_change,
    thin_implanted,
    what_if,
)
from lenscalc.eye.refraction import comes_from_in_front

LE_GRAND = published_eye("le_grand_full")


def backwards(P, K, L, d, n, v):
    """The refraction of a thin cornea and a thin implant: from the retina to the spectacles, distances of the focus instead of vergences (mm)."""
    at_implant = 1 / (1 / (L - d) - P / (1000 * n))  # behind it the retina is the focus; in front of it, where the focus would be
    at_cornea = 1 / (1 / (at_implant + d) - K / (1000 * n)) / n  # in air now
    return 1000 / (at_cornea + v)


@given(st.floats(10.0, 30.0), st.floats(-1.0, 1.0), st.floats(-1.5, 1.5))
def test_the_teaching_eyes_slopes_are_those_of_the_focus(label, more, shift):
    K, L, d, n, v = (mpmath.mpf(x) for x in TEACHING_EYE)
    found = what_if(label, label + more, position_shift_mm=shift)
    with mpmath.workdps(30):
        P, at = mpmath.mpf(label + more), d + mpmath.mpf(shift)
        assert found.refraction_shift_D == pytest.approx(float(backwards(P, K, L, at, n, v) - backwards(mpmath.mpf(label), K, L, d, n, v)), abs=1e-11)
        for got, slope in (
            (found.d_refraction_d_power, mpmath.diff(lambda x: backwards(x, K, L, at, n, v), P)),
            (found.d_refraction_d_position_mm, mpmath.diff(lambda x: backwards(P, K, L, x, n, v), at)),
            (found.d_refraction_d_length_mm, mpmath.diff(lambda x: backwards(P, K, x, at, n, v), L)),
        ):
            assert got == pytest.approx(float(slope), rel=1e-9, abs=0.0)


@pytest.mark.parametrize("key", ["le_grand_full", "bennett_rabbetts"])
def test_a_published_eyes_slopes_are_those_of_small_steps(key):
    """Of the label's power, the place and the length, with an implant whose index is not the usual one."""
    eye = published_eye(key)

    def by_planes(power, deeper, longer):
        return float(implant_path(eye, thin_implanted(eye, power, n_lens=1.46, deeper_mm=deeper, longer_mm=longer)).refraction_D)

    at, h = np.array([20.5, 0.3, 0.0]), 1e-3
    slopes = [(by_planes(*(at + h * one)) - by_planes(*(at - h * one))) / (2.0 * h) for one in np.eye(3)]
    assert what_if(20.0, 20.5, eye=key, position_shift_mm=0.3, n_lens=1.46)[1:4] == pytest.approx(slopes, rel=1e-6, abs=0.0)


def test_a_shift_of_two_millimetres_is_the_largest():
    assert what_if(20.0, 20.0, position_shift_mm=2.0).refraction_shift_D > 0 > what_if(20.0, 20.0, position_shift_mm=-2.0).refraction_shift_D
    for shift in (2.000001, -2.000001):
        with pytest.raises(InputError, match="must be -2 to 2 mm") as refused:
            what_if(20.0, 20.0, position_shift_mm=shift)
        assert refused.value.limits == (-2.0, 2.0)


# the light that ends on the retina of the teaching eye, L = 23.5, d = 5, n = 1.336, K = 43.08, in front of an implant P: V = 1336/18.5 − P.
# Its focus lies in the cornea where V = −1336/5: P = 339.416. It lies in the spectacles 12 mm before the cornea where the ocular refraction is
# −1000/12: in the cornea W = 43.08 − 83.333 = −40.253, V = W/(1 − 5·W/1336) = −34.983, P = 107.199.
@pytest.mark.parametrize(("vertex", "largest"), [(12.0, 107.199), (0.0, 339.416)])
def test_the_strongest_implant_puts_the_focus_into_the_first_plane(vertex, largest):
    eye = TEACHING_EYE._replace(vertex_distance_mm=vertex)
    assert refraction(largest - 0.002, eye=eye).refraction_D < -1000.0
    with pytest.raises(InputError, match="no light from in front of the eye"):
        refraction(largest + 0.002, eye=eye)


def test_a_focus_in_the_plane_itself_is_one_on_the_way():
    seen = refraction(20.0)
    eye = TEACHING_EYE._replace(implant_depth_mm=4.0, n_medium=1.0, vertex_distance_mm=10.0)
    assert comes_from_in_front(seen._replace(before_implant_D=-249.0, ocular_refraction_D=-99.0), eye)
    assert not comes_from_in_front(seen._replace(before_implant_D=-250.0, ocular_refraction_D=-99.0), eye)  # 4 mm in front of it, in a medium of 1
    assert not comes_from_in_front(seen._replace(before_implant_D=-249.0, ocular_refraction_D=-100.0), eye)  # 10 mm


def test_a_plate_counts_where_its_middle_stands():
    plate = implanted(LE_GRAND, front_radius_mm=float("inf"), back_radius_mm=float("inf"), center_thickness_mm=1.0, n_lens=1.5)
    *before, front, back = planes_with_implant(LE_GRAND, plate)
    half = front.distance_mm / 2.0
    stepped = [*before, front._replace(distance_mm=half), Plane("thin", 1e-30j, half, front.n_behind), back]
    slope = light_path_of(stepped).refraction_D.imag / 1e-30
    assert eye_sensitivities(LE_GRAND, plate).per_dioptre == pytest.approx(slope, rel=1e-12, abs=0.0)


def test_a_change_to_what_the_eye_cannot_take_is_refused():
    made = thin_implanted(LE_GRAND, 20.0)
    for pair in ((made, thin_implanted(LE_GRAND, 20.0)._replace(front_radius_mm=1.0)), (made._replace(front_radius_mm=1.0), made)):
        with pytest.raises(InputError):
            refraction_change(LE_GRAND, *pair)


def test_a_plate_is_a_lens_that_is_all_but_one():
    plate = implanted(LE_GRAND, front_radius_mm=float("inf"), back_radius_mm=float("inf"), center_thickness_mm=1.0, n_lens=1.5)
    nearly = plate._replace(front_radius_mm=1e6, back_radius_mm=-1e6)
    of_plate, of_lens = (eye_sensitivities(LE_GRAND, x).per_dioptre for x in (plate, nearly))
    assert of_plate == pytest.approx(of_lens, rel=5e-4, abs=0.0)  # aqueous and vitreous differ a little
