"""What the commands ask of an implant in an eye, arrays, and what is refused in words."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.eye import (
    implant_path,
    implanted,
    index_error_behind,
    largest_u_n_lens_for,
    published_eye,
    refraction_change,
    refraction_of_index_error,
    refraction_slope,
    thin_implanted,
    what_if,
)

ONE_MEDIUM = published_eye("bennett_rabbetts")


def made(eye=ONE_MEDIUM, **more):
    return implanted(eye, **{"front_radius_mm": 15.0, "back_radius_mm": -18.0, "center_thickness_mm": 0.9, "n_lens": 1.49, **more})


def test_departures_work_as_they_should():
    assert refraction_change(ONE_MEDIUM, made(), made(longer_mm=1.0)).refraction_change_D.value < -2.0
    assert refraction_change(ONE_MEDIUM, made(), made(steeper_D=1.0)).refraction_change_D.value < -0.9
    assert refraction_change(ONE_MEDIUM, made(), made(deeper_mm=0.5)).refraction_change_D.value > 0.5


def test_arrays_go_through_and_keep_their_bits():
    n = np.array([1.48, 1.49, 1.50])
    together = implant_path(ONE_MEDIUM, made(n_lens=n)).refraction_D
    alone = [float(implant_path(ONE_MEDIUM, made(n_lens=np.array([x]))).refraction_D[0]) for x in n]
    assert together.tolist() == alone


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"longer_mm": 23.5}, "longer_mm = 23.5 mm: must be -4 to 4 mm.*is it the whole length"),
        ({"steeper_D": 43.0}, "steeper_D = 43 D: must be -8 to 8 D"),
        ({"deeper_mm": float("nan")}, "deeper_mm = nan mm"),
        ({"deeper_mm": "0,5"}, "deeper_mm = '0,5' is not a number"),
        ({"n_lens": 14.9}, "n_lens = 14.9: must be 1 to 3; is the decimal point one place off"),
        ({"front_radius_mm": 0.015}, "is it in metres"),
        ({"front_radius_mm": 0}, "never 0"),
        ({"center_thickness_mm": 30.0}, "reaches the retina"),
        ({"n_aqueous": 0.9}, "n_aqueous = 0.9"),
    ],
)
def test_odd_values_are_refused_in_words(wrong, told):
    with pytest.raises(InputError, match=told):
        made(**wrong)


@pytest.mark.parametrize(("name", "most"), [("deeper_mm", 2.0), ("longer_mm", 4.0), ("steeper_D", 8.0)])
def test_a_departure_may_go_as_far_as_is_stated(name, most):
    plain = made()
    for end in (most, -most):
        moved = made(**{name: end})
        assert sum(b - a for a, b in zip(plain, moved, strict=True)) == end
        with pytest.raises(InputError, match=f"{name} = {1.001 * end:g}.* must be -{most:g} to {most:g}") as refused:
            made(**{name: np.array([0.0, 1.001 * end, -1.002 * end])})  # the first is told
        assert refused.value.limits == (-most, most)


def test_a_millimetre_is_left_to_the_retina():
    eye = published_eye("gullstrand_simplified")  # 24 mm long, the implant at 4.5 mm
    assert made(eye, center_thickness_mm=18.5).center_thickness_mm == 18.5
    with pytest.raises(InputError, match=r"center_thickness_mm = 18\.501 mm: the implant reaches the retina"):
        made(eye, center_thickness_mm=18.501)


# R = 2000·(n − 1.336)/F: 2000/64 = 31.25, and 62.5 D of n = 1.336 + 1/64 make 0.5 mm; 1000/1e-4 = 1e7
@pytest.mark.parametrize(
    ("power", "n", "radius", "beyond"), [(62.5, 1.336 + 1 / 64, 0.5, 62.6), (-62.5, 1.336 + 1 / 64, -0.5, -62.6), (1e-4, 1.836, 1e7, 0.99e-4)]
)
def test_a_thin_implant_may_have_the_smallest_and_the_largest_radius(power, n, radius, beyond):
    s = thin_implanted(ONE_MEDIUM, power, n_lens=n)
    assert (s.front_radius_mm, s.back_radius_mm) == (radius, -radius)
    worst = f"{abs(radius) * power / beyond:.3g} mm, and must be 0.5 to 1e+07 mm"
    with pytest.raises(InputError, match=re.escape(f"its radii would be {worst}")):
        thin_implanted(ONE_MEDIUM, np.array([20.0, beyond, 1.5 * beyond]) if beyond > 1 else beyond, n_lens=n)


@pytest.mark.parametrize("n", [1.3, 1.4, 1.6])
def test_a_thin_implant_has_its_power_whatever_its_index(n):
    """One medium, 1.336: two thin surfaces of (n − 1.336)·1000/R and as much again are 20 D; below the medium's index the lens is hollow."""
    hollow = thin_implanted(ONE_MEDIUM, 20.0, n_lens=n)
    assert hollow.front_radius_mm == pytest.approx(2000.0 * (n - 1.336) / 20.0, rel=1e-12, abs=0.0)
    assert implant_path(ONE_MEDIUM, hollow).refraction_D == pytest.approx(
        float(implant_path(ONE_MEDIUM, thin_implanted(ONE_MEDIUM, 20.0)).refraction_D), abs=1e-11
    )


def test_what_cannot_be_asked_is_refused():
    s = made()
    with pytest.raises(InputError, match="so strong that no light"):
        implant_path(ONE_MEDIUM, made(front_radius_mm=1.0, back_radius_mm=-1.0))
    with pytest.raises(UnknownNameError, match="did you mean depth_mm"):
        refraction_change(ONE_MEDIUM, s, s, u={"dept_mm": 0.1})
    with pytest.raises(UnknownNameError, match="did you mean n_lens"):
        refraction_slope(ONE_MEDIUM, s, "n_len")
    with pytest.raises(InputError, match=r"index_error = 1.49: must be -0.1 to 0.1; an error of an index, not an index"):
        refraction_of_index_error(ONE_MEDIUM, s, 1.49)
    with pytest.raises(InputError, match="no error of the index"):
        index_error_behind(ONE_MEDIUM, s, -40.0)
    slope = refraction_slope(ONE_MEDIUM, s._replace(n_lens=1.59), "n_lens")
    just_beyond = refraction_of_index_error(ONE_MEDIUM, s, 0.1) + 0.003 * slope  # that of 0.103, which is found, and refused
    for unreached in (just_beyond, np.nan):
        with pytest.raises(InputError, match="no error of the index"):
            index_error_behind(ONE_MEDIUM, s, unreached)
    with pytest.raises(InputError, match="no error of the index"):
        index_error_behind(ONE_MEDIUM, made(front_radius_mm=np.inf, back_radius_mm=np.inf, center_thickness_mm=0.0), -0.25)
    for change in (-0.25, 0.0, float("nan")):
        with pytest.raises(InputError, match=f"refraction_change_D = {change:g} D: must be above 0"):
            largest_u_n_lens_for(ONE_MEDIUM, s, refraction_change_D=change)
    for coverage in (0.0, -2.0, float("nan")):
        with pytest.raises(InputError, match=f"coverage = {coverage:g}: must be above 0"):
            largest_u_n_lens_for(ONE_MEDIUM, s, coverage=coverage)
    with pytest.raises(InputError, match="medium's own"):
        thin_implanted(ONE_MEDIUM, 20.0, n_lens=1.336)
    with pytest.raises(InputError, match="power_D is missing"):
        thin_implanted(ONE_MEDIUM, float("nan"))
    for power in ([20.0, 3e4, -3e4], [3e4, 20.0, -3e4, 4e4]):  # the first is told
        with pytest.raises(InputError, match="power_D = 30000 D: must be"):
            thin_implanted(ONE_MEDIUM, power)


@given(st.floats(10.0, 30.0), st.floats(-1.0, 1.0), st.floats(-0.5, 0.5))
def test_the_question_of_the_command_is_answered_alike_by_both_kinds_of_eye(label, more, shift):
    for key in ("teaching", "bennett_rabbetts", "le_grand_full"):
        a = what_if(label, label + more, eye=key, position_shift_mm=shift)
        assert a.refraction_shift_D * (-0.7 * more + 0.06 * label * shift) >= 0 or abs(a.refraction_shift_D) < 0.25
        one, two = (what_if(label, label + more + h, eye=key, position_shift_mm=shift).refraction_shift_D for h in (1e-4, -1e-4))
        assert a.d_refraction_d_power == pytest.approx((one - two) / 2e-4, rel=1e-5, abs=0.0)
        deep, shallow = (what_if(label, label + more, eye=key, position_shift_mm=shift + h).refraction_shift_D for h in (1e-4, -1e-4))
        assert a.d_refraction_d_position_mm == pytest.approx((deep - shallow) / 2e-4, rel=1e-4, abs=0.0)


def test_the_question_refuses_what_is_not_one():
    with pytest.raises(UnknownNameError, match="did you mean teaching"):
        what_if(20.0, 20.5, eye="teachng")
    with pytest.raises(InputError, match=r"position_shift_mm = 4.5 mm: must be -2 to 2 mm; a shift of the implant, not its depth"):
        what_if(20.0, 20.5, position_shift_mm=4.5)


@pytest.mark.parametrize("change", [0.001, -0.003, 0.01, 0.25])
def test_a_weak_implant_tells_its_index_error_too(change):
    """200/−200 mm: the refraction is rounded to some 1e-14 D, which is 1e-14 of the index, and no step is ever smaller."""
    s = implanted(ONE_MEDIUM, front_radius_mm=200.0, back_radius_mm=-200.0, center_thickness_mm=0.9, n_lens=1.49)
    assert refraction_of_index_error(ONE_MEDIUM, s, index_error_behind(ONE_MEDIUM, s, change)) == pytest.approx(change, abs=1e-12)
